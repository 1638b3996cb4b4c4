"""Changes to the stock: of the tank as it is in its [[stock]], of a copy as the changes that lead to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.limits import MOST_FISH
from ....sim.scenario.reading.problems import Book, show
from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.reading.stock import check_row, read_rows
from ....sim.scenario.reading.tables import Table, one_of
from ....sim.scenario.scenario import StockRow
from ..viewing.fields import plain
from ..viewing.read import names_of
from ..viewing.stock import FIELDS, present
from .bench import NO_TANK, Bench, write_in_list
from .copies import stock_of_copy, write_stock
from .rock import plain_value
from .written import EditError


def set_in_row(bench: Bench, change: Mapping[str, Any]) -> None:
    """One field of one row.

    Raises EditError when there is no such row or field; for a copy also when the value cannot be read.
    """
    field = str(change.get("field"))
    value = _value(change.get("field"), change.get("value"))
    if bench.which:
        base, rows = stock_of_copy(bench)
        k = _row_number(change.get("row"), len(rows))
        given = {"species": rows[k].species, field: value}
        new = _read(bench, given)
        stock = [*rows[:k], *_changed(rows, k, field, new), *rows[k + 1 :]]
        write_stock(bench, base, stock, typed=_typed(new, given))
        return
    k = _row_number(change.get("row"), len(_own_rows(bench)))
    bench.put(("stock", k, field), value)


def add_row(bench: Bench, change: Mapping[str, Any]) -> None:
    """A row at the end.

    Raises EditError when a name means nothing; for a copy also when a value cannot be read.
    """
    values = change.get("values")
    if not isinstance(values, Mapping):
        raise EditError(f"values is {show(values)}; use the names and values of a row")
    row = {field: _value(field, value) for field, value in values.items() if value is not None}
    if not row:
        raise EditError("values is empty; use at least a species")
    if bench.which:
        base, rows = stock_of_copy(bench)
        new = _read(bench, row)
        write_stock(bench, base, [*rows, new], typed=_typed(new, row))
        return
    number = len(_own_rows(bench))
    if number >= MOST_FISH:
        raise EditError(
            f"there are {number} rows of stock already; use at most {MOST_FISH}, as each has at least one "
            "fish"
        )
    bench.put(("stock", number), row)


def drop_row(bench: Bench, change: Mapping[str, Any]) -> None:
    """Without a row.

    Raises EditError when there is no such row; for a copy also when no fish would be left.
    """
    if bench.which:
        base, rows = stock_of_copy(bench)
        k = _row_number(change.get("row"), len(rows))
        write_stock(bench, base, [*rows[:k], *_ghost(rows, k), *rows[k + 1 :]])
        return
    k = _row_number(change.get("row"), len(_own_rows(bench)))
    bench.put(("stock", k), None)


def _own_rows(bench: Bench) -> list[Any]:
    """The rows of the tank as it is, all in the file by then."""
    write_in_list(bench)
    rows = bench.sheet.get("stock")
    return rows if isinstance(rows, list) else []


def _row_number(row: object, rows: int) -> int:
    if type(row) is not int or not 0 <= row < rows:
        allowed = f"0 to {rows - 1}" if rows else "none: there are no rows"
        raise EditError(f"row is {show(row)}; use {allowed}")
    return row


def _value(field: object, value: object) -> Any:
    if field not in FIELDS:
        raise EditError(f"field is {show(field)}; use {one_of(FIELDS)}")
    if field == "length" and isinstance(value, list) and len(value) == 2:
        return [plain_value("length", one) for one in value]
    return plain_value(str(field), value)


# ---- rows of a copy


def _read(bench: Bench, given: Mapping[str, Any]) -> StockRow:
    """A row with the values that are given; raises EditError with what the reader says."""
    book = Book()
    values = {field: value for field, value in given.items() if value is not None}
    (asked,) = read_rows([Table(values, place=("stock",), book=book)])
    row = check_row(replace(asked, good=False), names_of(bench.sheet.values), NO_TANK)
    if row is None or book.problems:
        short = (replace(one, place=one.place[-1:]) for one in book.problems)
        raise EditError(*ScenarioError("", short).sentences())
    return row


def _typed(row: StockRow, given: Mapping[str, Any]) -> dict[tuple[float, float], object]:
    """The length of a row as it was typed."""
    ends = row.length_cm
    return {} if ends is None else {(plain(ends[0]), plain(ends[1])): given["length"]}


def _changed(rows: tuple[StockRow, ...], k: int, field: str, new: StockRow) -> list[StockRow]:
    """A row with a field of another; fish that leave it are its last, and nobody after is renumbered."""
    row = rows[k]
    if field in SEX_OF:
        return [_counted(rows, k, field, getattr(new, field))]
    if field == "species":
        if new.species == row.species:
            return [row]
        return [*_ghost(rows, k), replace(row, **present(row), species=new.species, left_out=())]
    name = {"length": "length_cm", "out": "out_day"}.get(field, field)
    return [replace(row, **{name: getattr(new, name)})]


def _counted(rows: tuple[StockRow, ...], k: int, field: str, wanted: int) -> StockRow:
    """Another number of one sex: those left out come back first, the last leave first."""
    row, sex = rows[k], SEX_OF[field]
    mine = _names(rows, k, field)
    here = [name for name in mine if name not in row.left_out]
    back = [name for name in mine if name in row.left_out][: max(0, wanted - len(here))]
    more = max(0, wanted - len(here) - len(back))
    stay = {*here[:wanted], *back}
    if not more and not any(getattr(one, field) for one in rows[k + 1 :] if one.species == row.species):
        while mine and mine[-1] not in stay:  # nobody's number hangs on the last ones
            mine.pop()
    others = [name for name in row.left_out if not name.startswith(f"{sex} ")]
    left_out = (*others, *(name for name in mine if name not in stay))
    fish: dict[str, Any] = {field: len(mine) + more}
    new = replace(row, **fish, left_out=left_out)
    new = replace(new, holding=min(new.holding, new.females))
    if not any(value for name, value in present(new).items() if name != "holding"):
        raise EditError("no fish are left in the row; keep at least one, or take the row out")
    return new


def _names(rows: tuple[StockRow, ...], k: int, field: str) -> list[str]:
    """The fish of one sex of a row, numbered on from earlier rows of their species: "male 3"."""
    first = sum(getattr(one, field) for one in rows[:k] if one.species == rows[k].species) + 1
    return [f"{SEX_OF[field]} {first + j}" for j in range(getattr(rows[k], field))]


def _ghost(rows: tuple[StockRow, ...], k: int) -> list[StockRow]:
    """What stays of a row that leaves: its numbers, where later rows of its species go on from them."""
    row = rows[k]
    later = [one for one in rows[k + 1 :] if one.species == row.species]
    if not any(getattr(row, field) and getattr(one, field) for one in later for field in SEX_OF):
        return []
    return [replace(row, left_out=tuple(name for field in SEX_OF for name in _names(rows, k, field)))]
