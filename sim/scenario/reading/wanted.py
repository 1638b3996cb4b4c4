"""The [wanted] table: a wish list, held against the species, the tank and itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ...species.species import library
from ..hints import OwnWords
from ..scenario import Scenario, StockRow, TankSpec
from ..stock import individuals
from ..units import say_length_cm
from ..wanted import Liked, ShopTank, Span, Wanted
from . import limits
from .kinds import Names
from .limits import LIMITS
from .problems import Book, ScenarioError
from .stock import Asked, check_row, read_length
from .tables import Table
from .wanted_text import values_of

MALES, FEMALES = (1, 2), (2, 8)  # of a species without numbers: several females a male (common practice)
_MOST = int(LIMITS["stock.males"].high)


def wanted_said(text: str, scenario: Scenario, *, name: str) -> Wanted:
    """The wish list of a text such as "duboisi 1m 3-6f; moorii; at most 20 fish".

    ``name``: what messages call it. Raises ScenarioError.
    """
    values, problems = values_of(text)
    book = Book(problems=problems)
    names = Names({**library(), **scenario.species})
    table = Table(values, place=("wanted",), book=book)
    found = read_wanted(table, names, scenario.tank, scenario.stock) if not problems else None
    if found is None or book.problems:
        raise ScenarioError(name, book.problems)
    return found


def read_wanted(table: Table, names: Names, tank: TankSpec, stock: Sequence[StockRow]) -> Wanted | None:
    """The wish list; None after a problem. ``stock``: the fish that are in the tank already."""
    before = len(table.book.problems)
    there = individuals(stock)
    kinds_there = {one.species for one in there}
    tanks = _tanks(table, tank)
    shortest_cm = min((one.length_cm for one in tanks), default=tank.length_cm)
    liked = _liked(table, names, tank, shortest_cm)
    kinds = {one.species for one in liked} | kinds_there
    fish = _fish(table, len(there))
    unread = len(table.book.problems) > before  # then it is not known how many they are
    species = _species(table, len(kinds_there), 0 if unread else len(kinds))
    rock = _optional(table, "rock")
    found = Wanted(
        liked=tuple(liked),
        kinds={one.species: names.species[one.species] for one in liked},
        fish=fish,
        species=species,
        rock_kg=rock,
        rock_price=_optional(table, "rock_price"),
        spend=_optional(table, "spend"),
        tanks=tuple(tanks),
    )
    table.close()
    if len(table.book.problems) == before:
        _check_together(table, found, len(there), kinds_there)
    return found if len(table.book.problems) == before else None


# ---- its parts


def _liked(table: Table, names: Names, tank: TankSpec, shortest_cm: float) -> list[Liked]:
    rows = table.rows("fish")
    allowed = "[[wanted.fish]] tables, one for each species you like"
    if not rows and "fish" not in table.values:
        table.problem("fish", allowed=allowed)
    elif not 1 <= len(rows) <= limits.MOST_LIKED and isinstance(table.raw("fish"), list):
        found = OwnWords(f"there are {len(rows)} species")
        table.problem("fish", found=found, allowed=f"1 to {limits.MOST_LIKED}")
    found_rows: list[Liked] = []
    for row in rows[: limits.MOST_LIKED]:
        one = _one(row, names, tank, shortest_cm)
        if one is not None and any(other.species == one.species for other in found_rows):
            row.problem("species", allowed=f"one table for {one.species}, not two")
        elif one is not None:
            found_rows.append(one)
    return found_rows


def _one(row: Table, names: Names, tank: TankSpec, shortest_cm: float) -> Liked | None:
    before = len(row.book.problems)
    species = row.text("species", default=None, longest=limits.LONGEST_NAME)
    length = read_length(row.raw("length"), row.problem) if "length" in row else None
    least = row.whole("at_least", default=0) if "at_least" in row else 0
    most = row.whole("at_most", default=_MOST) if "at_most" in row else _MOST
    unsaid = "males" not in row and "females" not in row
    males, females = _usual(least, most) if unsaid else ((0, 0), (0, 0))
    males, females = _span(row, "males", males), _span(row, "females", females)
    must = row.flag("must")
    price = _optional(row, "price")
    row.close()
    asked = Asked(species, males=1, length_cm=length, good=False, report=row.problem)
    shortest = TankSpec(shortest_cm, tank.width_cm, tank.height_cm, tank.water_cm)
    stock_row = check_row(asked, names, shortest)
    if stock_row is None or len(row.book.problems) > before:
        return None
    together = (max(least, males[0] + females[0], 1), min(most, males[1] + females[1]))
    if together[0] > together[1]:
        words = OwnWords(f"at least {together[0]} and at most {together[1]} fish")
        allowed = "males, females, at_least and at_most that go together"
        key = next((key for key in ("at_most", "at_least", "females") if key in row.values), "males")
        row.problem(key, found=words, allowed=allowed)
        return None
    return Liked(stock_row.species, males, females, together, must, price, length, species)


def _usual(least: int, most: int) -> tuple[Span, Span]:
    """Males and females where only their sum is said, or not even that."""
    if most < MALES[0] + FEMALES[0]:
        return (0, most), (0, most)
    return MALES, (FEMALES[0], max(FEMALES[1], least))


def _span(row: Table, key: str, default: Span) -> Span:
    """A number of fish, or the least and the most."""
    if key not in row:
        return default
    value: Any = row.raw(key)
    ends = value if isinstance(value, list) else [value, value]
    whole = [one for one in ends if isinstance(one, int) and not isinstance(one, bool)]
    if len(whole) == len(ends) == 2 and 0 <= whole[0] <= whole[1] <= _MOST:
        return whole[0], whole[1]
    row.problem(key, allowed=limits.DECLARED[f"wanted.fish.{key}"].allowed)
    return default


def _tanks(table: Table, tank: TankSpec) -> list[ShopTank]:
    rows = table.rows("tank")
    if len(rows) > limits.MOST_SHOP_TANKS:
        found = OwnWords(f"there are {len(rows)} tanks")
        table.problem("tank", found=found, allowed=f"at most {limits.MOST_SHOP_TANKS}")
    found_rows = []
    for row in rows[: limits.MOST_SHOP_TANKS]:
        sides = (
            row.amount("length"),
            row.amount("front_to_back", default=tank.width_cm),
            row.amount("height", default=tank.height_cm),
        )
        found_rows.append(ShopTank(*sides, _optional(row, "price")))
        below_rim = tank.height_cm - tank.water_cm
        if sides[2] - below_rim < LIMITS["tank.water_level"].low:
            row.problem("height", allowed=f"more: the water stands {say_length_cm(below_rim)} below the rim")
        row.close()
    return [one for one in found_rows if not math.isnan(one.length_cm + one.width_cm + one.height_cm)]


def _fish(table: Table, there: int) -> Span:
    least = table.whole("at_least", default=0) if "at_least" in table else max(2, there + 1)
    most = table.whole("at_most", default=0) if "at_most" in table else max(limits.WANTED_FISH, least)
    if "at_most" in table and "at_least" not in table:
        least = min(least, max(most, 1))
    if least > most:
        table.problem("at_least", allowed=f"no more than at_most, {most}")
    return least, most


def _species(table: Table, there: int, known: int) -> Span:
    least = table.whole("species_at_least", default=1) if "species_at_least" in table else 1
    own = "species_at_most" in table
    most = table.whole("species_at_most", default=known) if own else max(known, 1)
    if not own and not known:
        return least, max(least, most)
    if least > most:
        table.problem("species_at_least", allowed=f"no more than species_at_most, {most}")
    elif least > known >= 1:
        table.problem("species_at_least", allowed=f"at most {known}: those you like and those in the tank")
    if there > most:
        table.problem("species_at_most", allowed=f"at least {there}, the species that are in the tank")
    return least, min(most, max(known, 1))


def _optional(table: Table, key: str) -> float | None:
    value = table.amount(key) if key in table else math.nan
    return None if math.isnan(value) else value


def _check_together(table: Table, found: Wanted, there: int, kinds_there: set[str]) -> None:
    """Limits that no stock can hold, whatever is taken."""
    must = [one for one in found.liked if one.must]
    least = there + sum(one.fish[0] for one in must)
    most = there + sum(one.fish[1] for one in found.liked)
    if found.fish[1] < there + (0 if there else 1):
        table.problem("at_most", allowed=f"at least {max(there, 1)}, the fish that are in the tank")
    elif least > found.fish[1]:
        table.problem("at_most", allowed=f"at least {least}: what must be there comes to that")
    if most < found.fish[0]:
        table.problem("at_least", allowed=f"at most {most}: all that you like comes to that")
    species = len({one.species for one in must} | kinds_there)
    if species > found.species[1]:
        table.problem("species_at_most", allowed=f"at least {species}: what must be there comes to that")
