"""Changes to a stock list: pure functions from rows to rows that renumber nobody.

A fish is known by its species, its sex and its number within these over all rows, and its draws hang
on that. A fish taken out therefore stays as a number left out, fewer fish means that the last numbers
are missing, and where rows are split their parts follow each other.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..fish.population import SEXES, Individual, individuals
from ..species.species import Species
from .hints import Hint, Refusal, Shown, hint_at
from .scenario import StockRow
from .stock import say_fish

Stock = tuple[StockRow, ...]
_FIELD = {"male": "males", "female": "females", "unsexed": "unsexed"}


class ChangeError(Refusal):
    """A change that cannot be made; ``key`` is the argument it is about."""

    def __init__(self, key: str, found: str, allowed: str, hint: Hint = "") -> None:
        super().__init__(found, allowed, hint, key=key)


def numbers(stock: Stock, species: str) -> dict[str, int]:
    """How many males, females and unsexed of a species are there, and how many hold; 0 where none."""
    fish = [one for one in individuals(stock) if one.species == species]
    count = Counter(_FIELD[one.sex] for one in fish)
    return {**{field: count[field] for field in _FIELD.values()}, "holding": sum(one.holding for one in fish)}


@dataclass(frozen=True)
class Which:
    """Fish of a stocked species: all, those of one sex ("male", "female", "unsexed"), or one ("male 2")."""

    species: str
    sex: str | None = None
    fish: str | None = None

    def among(self, stock: Stock) -> list[Individual]:
        """These fish; raises ChangeError when there are none, with the nearest that is there."""
        everybody = individuals(stock)
        of_kind = [one for one in everybody if one.species == self.species]
        if not of_kind:
            there = list(dict.fromkeys(one.species for one in everybody))
            allowed = f"a species of the stock: {', '.join(there)}"
            raise ChangeError("species", Shown(f'"{self.species}"'), allowed, hint_at(self.species, there))
        if self.fish is not None:
            return self._named(self.fish, of_kind)
        found = [one for one in of_kind if self.sex in (None, one.sex)]
        if not found:
            sexes = [sex for sex in SEXES if any(one.sex == sex for one in of_kind)]
            allowed = f"a sex of {self.species} in the stock: {', '.join(sexes)}"
            raise ChangeError("sex", Shown(f'"{self.sex}"'), allowed, hint_at(str(self.sex), sexes))
        return found

    def _named(self, fish: str, of_kind: list[Individual]) -> list[Individual]:
        wanted = " ".join(fish.split()).lower().removeprefix(self.species.lower()).strip()
        found = [one for one in of_kind if one.name == wanted]
        if not found:
            alike = [one for one in of_kind if wanted.startswith(one.sex)] or of_kind
            allowed = f"a fish of {self.species} in the stock: {say_fish(of_kind, of_species=False)}"
            raise ChangeError(
                "fish", Shown(f'"{fish}"'), allowed, hint_at(wanted, [one.name for one in alike])
            )
        return found


def taken_out(stock: Stock, which: Which) -> Stock:
    """Without some fish of a species; nobody else is renumbered."""
    out = which.among(stock)
    if which.fish is not None:
        stock = tuple(_leaving(row, out) for row in stock)
    elif which.sex is not None:
        stock = counted(stock, which.species, **{_FIELD[which.sex]: 0})
    else:
        stock = tuple(row for row in stock if row.species != which.species)
    here = {one.species for one in individuals(stock)}
    return tuple(row for row in stock if row.species != which.species or which.species in here)


def _leaving(row: StockRow, out: Sequence[Individual]) -> StockRow:
    names = tuple(one.name for one in out if one.row is row)
    return replace(row, left_out=(*row.left_out, *names)) if names else row


def counted(
    stock: Stock,
    species: str,
    *,
    males: int | None = None,
    females: int | None = None,
    unsexed: int | None = None,
    holding: int | None = None,
) -> Stock:
    """Other numbers of a species; what is None stays.

    Fewer: the last numbers are taken out. More: they are numbered on and come in with the last row of
    their sex, or of the species where it has none of that sex. As many hold eggs as before or as
    there are females.

    Raises ChangeError when the species is not there, or more are to hold than there are females.
    """
    Which(species).among(stock)
    rows = list(stock)
    for sex, wanted in (("male", males), ("female", females), ("unsexed", unsexed)):
        if wanted is not None:
            _count_to(rows, species, sex, wanted)
    if holding is not None:
        _hold_to(rows, species, holding)
    return tuple(row for row in rows if row.species != species or _size(row))


def _count_to(rows: list[StockRow], species: str, sex: str, wanted: int) -> None:
    """Bring the number of fish of a sex that are there to ``wanted``, from the last row backwards."""
    field = _FIELD[sex]
    of_kind = [k for k, row in enumerate(rows) if row.species == species]
    having = [k for k in of_kind if getattr(rows[k], field)]
    more = wanted - numbers(tuple(rows), species)[field]
    if more > 0:
        k = (having or of_kind)[-1]
        rows[k] = replace(rows[k], **{field: getattr(rows[k], field) + more})
    last = sum(getattr(rows[k], field) for k in of_kind)
    while numbers(tuple(rows), species)[field] > wanted:
        k = [k for k in having if getattr(rows[k], field)][-1]
        row = replace(rows[k], **{field: getattr(rows[k], field) - 1})
        left_out = tuple(name for name in row.left_out if name != f"{sex} {last}")
        rows[k] = replace(row, holding=min(row.holding, row.females), left_out=left_out)
        last -= 1


def _hold_to(rows: list[StockRow], species: str, wanted: int) -> None:
    """Let the first females that do not hold do so, or the last that hold no longer."""
    females = numbers(tuple(rows), species)["females"]
    if wanted > females:
        raise ChangeError("holding", Shown(str(wanted)), f"at most the number of females, {females}")
    of_kind = [k for k, row in enumerate(rows) if row.species == species]
    while (more := wanted - numbers(tuple(rows), species)["holding"]) != 0:
        if more > 0:
            k = next(k for k in of_kind if rows[k].holding < rows[k].females)
        else:
            k = next(k for k in reversed(of_kind) if rows[k].holding)
        rows[k] = replace(rows[k], holding=rows[k].holding + (1 if more > 0 else -1))


def exchanged(
    stock: Stock, which: Which, *, by: Species, length_cm: tuple[float, float] | None = None
) -> Stock:
    """As many fish of another species, of the same sexes and days, instead of some.

    Their length is drawn unless given, and none of them hold where the new species lays in caves.

    Raises ChangeError when those fish are not there, or both species are one.
    """
    apart = _apart(stock)
    out = which.among(apart)
    if by.key == which.species:
        raise ChangeError("by", Shown(f'"{by.key}"'), "another species")
    new = {
        k: _of_species(by, row, [one for one in out if one.row is row], length_cm)
        for k, row in enumerate(apart)
        if any(one.row is row for one in out)
    }
    if which == Which(which.species) and all(row.species != by.key for row in stock):
        return tuple(
            new.get(k, row) for k, row in enumerate(apart) if k in new or row.species != which.species
        )
    return (*taken_out(apart, which), *new.values())


def _of_species(
    kind: Species, row: StockRow, fish: Sequence[Individual], length_cm: tuple[float, float] | None
) -> StockRow:
    """Fish of another species instead of some of a row."""
    count = Counter(one.sex for one in fish)
    return StockRow(
        species=kind.key,
        males=count["male"],
        females=count["female"],
        unsexed=count["unsexed"],
        holding=0 if kind.words["brood"].value == "cave" else sum(one.holding for one in fish),
        length_cm=length_cm,
        day=row.day,
        out_day=row.out_day,
    )


def dated(stock: Stock, which: Which, *, day: float | None = None, out_day: float | None = None) -> Stock:
    """Some fish come in, or are taken out, on other days; what is None stays.

    ``day, out_day``: d; an ``out_day`` of infinity means that they stay to the end. Raises ChangeError when
    those fish are not there, or would be out before they are in.
    """
    stock = _apart(stock)
    out = which.among(stock)
    rows: list[StockRow] = []
    for row, before in zip(stock, _numbers_before(stock), strict=True):
        one = next((one for one in out if one.row is row), None)
        new = row if one is None else _redated(row, day, out_day)
        if one is None or new == row:
            rows.append(row)
        elif which.fish is not None:
            place = one.number - before[one.sex] - 1
            rows += _split(row, new, before, one.sex, place, place + 1)
        elif which.sex is not None:
            rows += _split(row, new, before, one.sex, 0, getattr(row, _FIELD[one.sex]))
        else:
            rows.append(new)
    return tuple(rows)


def _redated(row: StockRow, day: float | None, out_day: float | None) -> StockRow:
    start = row.day if day is None else day
    end = row.out_day if out_day is None else None if math.isinf(out_day) else out_day
    if end is not None and end <= start:
        key = "out" if out_day is not None else "day"
        found = f"the fish go in on day {start:g} and come out on day {end:g}"
        raise ChangeError(key, found, "a day out that is after the day in")
    return replace(row, day=start, out_day=end)


def _split(
    row: StockRow, new: StockRow, before: Mapping[str, int], sex: str, first: int, last: int
) -> list[StockRow]:
    """The row in parts whose numbers follow each other: what stays, what is new, what comes after.

    ``first`` to ``last`` are the places, within the row and its sex, of the fish that are as in ``new``.
    """
    end = getattr(row, _FIELD[sex])
    whole = {one: (0, getattr(row, _FIELD[one])) for one in SEXES}
    parts = [
        _part(row, before, {**whole, sex: (0, first)}),
        _part(new, before, {sex: (first, last)}),
        _part(row, before, {sex: (last, end)}),
    ]
    return [part for part in parts if _size(part)]


def _part(row: StockRow, before: Mapping[str, int], spans: Mapping[str, tuple[int, int]]) -> StockRow:
    """The fish of a row from one place to another, by sex."""
    here = {f"{sex} {before[sex] + k + 1}" for sex, span in spans.items() for k in range(*span)}
    count = {sex: high - low for sex, (low, high) in spans.items()}
    low, high = spans.get("female", (0, 0))
    return replace(
        row,
        males=count.get("male", 0),
        females=count.get("female", 0),
        unsexed=count.get("unsexed", 0),
        holding=max(0, min(row.holding, high) - low),
        left_out=tuple(name for name in row.left_out if name in here),
    )


def _numbers_before(stock: Stock) -> list[dict[str, int]]:
    """For each row, how many fish of each sex its species has in the rows before it."""
    counts: Counter[tuple[str, str]] = Counter()
    before = []
    for row in stock:
        before.append({sex: counts[row.species, sex] for sex in SEXES})
        counts.update({(row.species, sex): getattr(row, _FIELD[sex]) for sex in SEXES})
    return before


def _apart(stock: Stock) -> Stock:
    """The same rows, no two of them one object, so that a fish can be asked which row it is of."""
    return tuple(replace(row) for row in stock)


def _size(row: StockRow) -> int:
    return row.males + row.females + row.unsexed
