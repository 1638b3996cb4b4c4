"""The stock: rows of the scenario file, and the checks every row passes wherever it was written."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Protocol

from ...species.species import Species
from .. import units
from ..hints import Hint
from ..scenario import Scenario, StockRow, TankSpec
from . import limits
from .kinds import Names
from .limits import LIMITS
from .problems import Book, OwnWords, Place
from .tables import Table

SEXES = ("males", "females", "unsexed")


class Report(Protocol):
    """Notes a problem with one field of a row, at its line (and column)."""

    def __call__(self, key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None: ...


@dataclass(frozen=True, kw_only=True)
class Asked(StockRow):
    """A row as written: values within the limits, not yet held against species and tank.

    ``species`` is as the keeper wrote it, "" when it could not be read.
    """

    good: bool = False  # nothing was wrong with the row so far
    report: Report

    def row(self, species: str) -> StockRow:
        """The row alone, of the species of a key."""
        rest = {one.name: getattr(self, one.name) for one in fields(StockRow)[1:]}
        return StockRow(species, **{**rest, "typed": self.species})


def read_rows(rows: Sequence[Table]) -> list[Asked]:
    """The ``[[stock]]`` rows."""
    return [read_row(row) for row in rows]


def read_row(row: Table) -> Asked:
    """What a table says of fish in the words of ``[[stock]]``."""
    before = len(row.book.problems)
    asked = Asked(
        species=row.text("species", default=None, longest=limits.LONGEST_NAME),
        length_cm=read_length(row.raw("length"), row.problem) if "length" in row else None,
        report=row.problem,
        **row.part("species", "length"),
    )
    row.close()
    return replace(asked, good=len(row.book.problems) == before)


def read_length(value: object, report: Report, *, plain: str = "cm") -> tuple[float, float] | None:
    """Total length, low and high, within the limits; None after a problem."""
    text = value.strip() if isinstance(value, str) else ""
    if text.upper().endswith("TL"):
        value = text[:-2]
    limit = LIMITS["stock.length"]
    if isinstance(value, list) and any(map(units.is_imperial, value)) and any(map(units.is_bare, value)):
        report("length", allowed='a unit with both: ["2 in", "3 in"] or "2-3 in"')
        return None
    try:
        low, high = units.length_range_cm(value, plain=plain)
    except units.UnitError as error:
        allowed = f'{error.allowed}; for a range "2-3 in" or [8, 10]'
        report("length", allowed=allowed, nearest=error.hint)
        return None
    if low < limit.low or high > limit.high:
        report("length", allowed=limit.say())
        return None
    return low, high


def check_stock(asked: Sequence[Asked], *, names: Names, tank: TankSpec, book: Book) -> tuple[StockRow, ...]:
    """Hold every row against the species and the tank; the rows that stand."""
    rows = [row for row in (check_row(one, names, tank) for one in asked) if row is not None]
    check_total(sum(one.males + one.females + one.unsexed for one in asked), book)
    return tuple(rows)


def check_total(total: int, book: Book, *, place: Place = ("stock",)) -> None:
    """No more fish than a run can hold."""
    if total > limits.MOST_FISH:
        found = OwnWords(f"there are {total} fish in all")
        book.add(place, found=found, allowed=f"at most {limits.MOST_FISH}")


def check_stay(scenario: Scenario, book: Book, *, place: Place = ("stock",)) -> None:
    """Somebody must be there while it is measured."""
    if scenario.stock and not scenario.measured_fish:
        found = OwnWords(f"no fish are left on day {scenario.measured_days[0]:g}, when measuring starts")
        book.add(place, found=found, allowed="at least one fish that stays longer")


def check_row(asked: Asked, names: Names, tank: TankSpec) -> StockRow | None:
    """Hold one row against its species and the tank; None when the species is unknown."""
    key = names.resolve(asked.species) if asked.species else None
    if key is None and asked.species:
        none = names.explain(asked.species)
        asked.report("species", found=none.found, allowed=none.allowed, nearest=none.nearest)
    if asked.out_day is not None and asked.out_day <= asked.day:
        asked.report("out", allowed=f"a day after day {asked.day:g}, on which they go in")
    if asked.good:
        _check_counts(asked)
    if key is None:
        return None
    species = names.species[key]
    _check_length(asked, species, tank)
    if asked.holding and not species.is_mouthbrooder:
        asked.report("holding", allowed=f"0: {species.key} does not hold eggs in the mouth")
    return asked.row(key)


def _check_counts(asked: Asked) -> None:
    if asked.males + asked.females + asked.unsexed == 0:
        allowed = "males, females or unsexed above 0"
        asked.report("males", found=OwnWords("no fish in this row"), allowed=allowed)
    if asked.holding > asked.females:
        asked.report("holding", allowed=f"at most the number of females, {asked.females}")


def _check_length(asked: Asked, species: Species, tank: TankSpec) -> None:
    longest = _longest(species)
    if asked.length_cm is None:
        if longest > tank.length_cm:
            found = OwnWords(
                f"no length is given, and {species.key} can grow to {units.say_length_cm(longest)}"
            )
            allowed = f"a length shorter than the tank ({units.say_length_cm(tank.length_cm)})"
            asked.report("length", found=found, allowed=allowed)
        return
    high = asked.length_cm[1]
    if high >= tank.length_cm:
        asked.report(
            "length", allowed=f"less than the length of the tank ({units.say_length_cm(tank.length_cm)})"
        )
    elif high > limits.OVER_MAXIMUM * longest:
        asked.report(
            "length",
            allowed=f"at most {limits.OVER_MAXIMUM:g} times the largest known {species.key}, "
            f"{units.say_length_cm(longest)}; if yours are longer, set length_max_male_cm in "
            f'[species."{species.key}"]',
        )


def _longest(species: Species) -> float:
    """Greatest length believed of either sex, cm; nan when the species says none."""
    names = {"length_max_male_cm", "length_max_female_cm"} & species.traits.keys()
    return max((species.traits[name].high for name in names), default=math.nan)
