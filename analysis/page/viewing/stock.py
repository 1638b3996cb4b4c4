"""The stock as the page shows it: rows as they are written, and what could be read of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ....sim.fish.population import SEXES
from ....sim.scenario.hints import Hint
from ....sim.scenario.reading.kinds import Names
from ....sim.scenario.reading.limits import LIMITS
from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.reading.stock import Asked, read_length
from ....sim.scenario.scenario import StockRow
from .fields import amount, plain, told

COUNTS = ("males", "females", "unsexed", "holding")
FIELDS = ("species", *COUNTS, "length", "day", "out")


def written_rows(rows: object, names: Names) -> list[dict[str, Any]]:
    """The ``[[stock]]`` rows of a file, good or bad."""
    listed = rows if isinstance(rows, list) else []
    return [_of_written(k, row if isinstance(row, Mapping) else {}, names) for k, row in enumerate(listed)]


def _of_written(k: int, row: Mapping[str, Any], names: Names) -> dict[str, Any]:
    name = row.get("species")
    return {
        **_species(name if isinstance(name, str) else "", names),
        "row": k,
        "written": told(name),
        **{field: told(row.get(field, 0)) for field in COUNTS},
        "length": _length(row.get("length")),
        "day": _day("stock.day", row.get("day", 0)),
        "out": _day("stock.out", row.get("out")),
        "problems": {},
    }


def _day(name: str, value: object) -> Any:
    """A day as a number, or as it is written where it is none."""
    read = amount(value, LIMITS[name])
    return told(value) if read is None else read


def _species(name: str, names: Names) -> dict[str, Any]:
    key = names.resolve(name) if name.strip() else None
    common = names.species[key].common if key else ()
    return {"species": key or "", "common": common[0] if common else ""}


def _length(value: object) -> dict[str, Any]:
    ends = length_cm(value)
    low, high = ends if ends is not None else (None, None)
    return {"written": told(value), "low": low, "high": high}


def length_cm(value: object) -> tuple[float, float] | None:
    """A written length, low and high, within the limits; None without one."""
    if value is None:
        return None

    def leave(key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None: ...

    ends = read_length(value, leave)
    return None if ends is None else (plain(ends[0]), plain(ends[1]))


def checked_rows(
    stock: Sequence[StockRow], names: Names, spelled: Mapping[tuple[float, float], object]
) -> list[dict[str, Any]]:
    """The rows of a copy that is good; fish left out are not counted, rows without any not shown.

    Parameters
    ----------
    spelled : lengths in cm as they are written somewhere in the file.
    """
    return [
        {
            **_species(row.species, names),
            "row": k,
            "written": row.species,
            **present(row),
            "length": _spelled(row.length_cm, spelled),
            "day": plain(row.day),
            "out": None if row.out_day is None else plain(row.out_day),
            "problems": {},
        }
        for k, row in enumerate(stock)
        if any(present(row).values())
    ]


def present(row: StockRow) -> dict[str, Any]:
    """How many fish of a row are there, and how many of them hold."""
    out = {sex: sum(name.startswith(f"{sex} ") for name in row.left_out) for sex in SEXES}
    count = {field: getattr(row, field) - out[sex] for field, sex in SEX_OF.items()}
    return {**count, "holding": min(row.holding, count["females"])}


def _spelled(
    ends: tuple[float, float] | None, spelled: Mapping[tuple[float, float], object]
) -> dict[str, Any]:
    if ends is None:
        return {"written": None, "low": None, "high": None}
    low, high = plain(ends[0]), plain(ends[1])
    shown = spelled.get((low, high), low if low == high else [low, high])
    return {"written": told(shown), "low": low, "high": high}


def spellings(values: Mapping[str, Any]) -> dict[tuple[float, float], object]:
    """Lengths of fish in cm, low and high, and how each is written first in a file."""
    found: dict[tuple[float, float], object] = {}
    for row in _rows_with_length(values):
        ends = length_cm(row.get("length"))
        if ends is not None:
            found.setdefault(ends, row["length"])
    return found


def _rows_with_length(values: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    tables = [values.get("stock")]
    others = values.get("alternative")
    for one in others if isinstance(others, list) else []:
        if isinstance(one, Mapping):
            tables += [one.get("add"), one.get("replace")]
    lists = [one if isinstance(one, list) else [one] for one in tables]
    return [row for rows in lists for row in rows if isinstance(row, Mapping)]


def listed_rows(rows: Sequence[Asked], names: Names) -> list[dict[str, Any]]:
    """The rows of a stock list, as far as they could be read."""
    return [
        {
            **_species(row.species, names),
            "row": k,
            "written": row.species,
            **{field: getattr(row, field) for field in COUNTS},
            "length": _spelled(row.length_cm, {}),
            "day": plain(row.day),
            "out": None if row.out_day is None else plain(row.out_day),
            "problems": {},
        }
        for k, row in enumerate(rows)
    ]
