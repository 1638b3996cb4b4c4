"""The stock as the page shows it: rows as they are written, and what could be read of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ....sim.fish.population import SEXES
from ....sim.scenario.hints import Hint
from ....sim.scenario.reading.kinds import Names
from ....sim.scenario.reading.limits import LIMITS, MOST_FISH
from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.reading.stock import Asked, read_length
from ....sim.scenario.scenario import StockRow
from .fields import amount, plain, told

COUNTS = ("males", "females", "unsexed", "holding")
FIELDS = ("species", *COUNTS, "length", "day", "out")


Spelled = Mapping[tuple[float, float], object]  # lengths in cm as they are written somewhere in the file


def written_rows(rows: object, names: Names) -> list[dict[str, Any]]:
    """The ``[[stock]]`` rows of a file, good or bad."""
    listed = rows if isinstance(rows, list) else []
    few = enumerate(listed[:MOST_FISH])
    return [_of_written(k, row if isinstance(row, Mapping) else {}, names) for k, row in few]


def _of_written(k: int, row: Mapping[str, Any], names: Names) -> dict[str, Any]:
    name, length = row.get("species"), row.get("length")
    counts = {field: told(row.get(field, 0)) for field in COUNTS}
    days = {"day": _day("stock.day", row.get("day", 0)), "out": _day("stock.out", row.get("out"))}
    return {**_told(k, name, names, counts), "length": _length(told(length), length_cm(length)), **days}


def _told(k: int, name: object, names: Names, counts: Mapping[str, Any]) -> dict[str, Any]:
    key = names.resolve(name) if isinstance(name, str) and name.strip() else None
    common = names.species[key].common if key else ()
    shown = {"species": key or "", "common": common[0] if common else "", "written": told(name)}
    return {**shown, "row": k, **counts, "problems": {}}


def _day(name: str, value: object) -> Any:
    """A day as a number, or as it is written where it is none."""
    read = amount(value, LIMITS[name])
    return told(value) if read is None else read


def _length(written: object, ends: tuple[float, float] | None) -> dict[str, Any]:
    low, high = ends if ends is not None else (None, None)
    return {"written": written, "low": low, "high": high}


def length_cm(value: object) -> tuple[float, float] | None:
    """A written length, low and high, within the limits; None without one."""
    if value is None:
        return None

    def leave(key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None: ...

    ends = read_length(value, leave)
    return None if ends is None else (plain(ends[0]), plain(ends[1]))


def checked_rows(stock: Sequence[StockRow], names: Names, spelled: Spelled) -> list[dict[str, Any]]:
    """The rows of a copy that is good; fish left out are not counted, rows without any not shown."""
    return [
        _of_read(k, row, names, present(row), spelled)
        for k, row in enumerate(stock)
        if any(present(row).values())
    ]


def listed_rows(rows: Sequence[Asked], names: Names) -> list[dict[str, Any]]:
    """The rows of a stock list, as far as they could be read."""
    counts = [{field: getattr(row, field) for field in COUNTS} for row in rows]
    return [_of_read(k, row, names, counts[k], {}) for k, row in enumerate(rows)]


def _of_read(
    k: int, row: StockRow | Asked, names: Names, counts: Mapping[str, Any], spelled: Spelled
) -> dict[str, Any]:
    ends = row.length_cm and (plain(row.length_cm[0]), plain(row.length_cm[1]))
    return {
        **_told(k, row.species, names, counts),
        "length": _length(told(spelling(ends, spelled)), ends),
        "day": plain(row.day),
        "out": None if row.out_day is None else plain(row.out_day),
    }


def spelling(ends: tuple[float, float] | None, spelled: Spelled) -> object:
    """How a length is written: as somewhere in the file, else a number, or two."""
    if ends is None:
        return None
    low, high = ends
    return spelled.get(ends, low if low == high else [low, high])


def present(row: StockRow) -> dict[str, Any]:
    """How many fish of a row are there, and how many of them hold."""
    out = {sex: sum(name.startswith(f"{sex} ") for name in row.left_out) for sex in SEXES}
    count = {field: getattr(row, field) - out[sex] for field, sex in SEX_OF.items()}
    return {**count, "holding": min(row.holding, count["females"])}


def spellings(values: Mapping[str, Any]) -> dict[tuple[float, float], object]:
    """Lengths of fish in cm, low and high, and how each is written first in a file."""
    found: dict[tuple[float, float], object] = {}
    for row in _rows_with_length(values):
        ends = length_cm(row.get("length"))
        if ends is not None:
            found.setdefault(ends, row["length"])
    return found


def _rows_with_length(values: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    others = values.get("alternative")
    tables = [values.get("stock")]
    for one in others if isinstance(others, list) else []:
        tables += [one.get("add"), one.get("replace")] if isinstance(one, Mapping) else []
    rows = [row for one in tables for row in (one if isinstance(one, list) else [one])]
    return [row for row in rows if isinstance(row, Mapping)]
