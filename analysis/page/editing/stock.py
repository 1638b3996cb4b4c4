"""Changes to the stock: of the tank as it is in its [[stock]], of a copy as the changes that lead to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ....sim.scenario.hints import Hint
from ....sim.scenario.reading.limits import LIMITS, MOST_FISH
from ....sim.scenario.reading.problems import Problem, show
from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.reading.stock import read_length
from ....sim.scenario.reading.tables import one_of
from ....sim.scenario.scenario import StockRow
from ..task import Draft
from ..viewing.fields import amount, plain
from ..viewing.read import names_of
from ..viewing.stock import FIELDS, present
from .bench import Bench, write_in_list
from .copies import stock_of_copy, write_stock
from .rock import plain_value
from .written import EditError


def set_in_row(draft: Draft, which: int, change: Mapping[str, Any]) -> Draft:
    """One field of one row.

    Raises
    ------
    EditError
        When there is no such row or field; for a copy also when the value cannot be read.
    """
    field = str(change.get("field"))
    value = _value(change.get("field"), change.get("value"))
    bench = Bench(draft, which)
    if which:
        base, rows = stock_of_copy(bench)
        k = _row_number(change.get("row"), len(rows))
        read = _read(bench, field, value)
        stock = [*rows[:k], *_changed(rows, k, field, read), *rows[k + 1 :]]
        typed = {read: value} if field == "length" and read is not None else {}
        write_stock(bench, base, [row for row in stock if row is not None], typed=typed)
        return bench.done()
    write_in_list(bench)
    k = _row_number(change.get("row"), len(_rows(bench)))
    bench.put(("stock", k, field), value)
    return bench.done()


def add_row(draft: Draft, which: int, change: Mapping[str, Any]) -> Draft:
    """A row at the end.

    Raises
    ------
    EditError
        When a name means nothing; for a copy also when a value cannot be read.
    """
    values = change.get("values")
    if not isinstance(values, Mapping):
        raise EditError(f"values: found {show(values)}; allowed: the names and values of a row")
    row = {field: _value(field, value) for field, value in values.items() if value is not None}
    if not row:
        raise EditError("values: found nothing; allowed: at least a species")
    bench = Bench(draft, which)
    if which:
        base, rows = stock_of_copy(bench)
        read = {field: _read(bench, field, value) for field, value in row.items()}
        if not read.get("species"):
            raise EditError("species: found nothing; allowed: the name of a species")
        typed = {read["length"]: row["length"]} if "length" in row else {}
        write_stock(bench, base, [*rows, _stock_row(read)], typed=typed)
        return bench.done()
    write_in_list(bench)
    if len(_rows(bench)) >= MOST_FISH:
        raise EditError(
            f"stock: found one row more; allowed: at most {MOST_FISH}, since each is of at least one fish"
        )
    bench.sheet.add_row(("stock",), row)
    return bench.done()


def drop_row(draft: Draft, which: int, change: Mapping[str, Any]) -> Draft:
    """Without a row.

    Raises
    ------
    EditError
        When there is no such row; for a copy also when no fish would be left.
    """
    bench = Bench(draft, which)
    if which:
        base, rows = stock_of_copy(bench)
        k = _row_number(change.get("row"), len(rows))
        write_stock(bench, base, [*rows[:k], *_ghost(rows, k), *rows[k + 1 :]])
        return bench.done()
    write_in_list(bench)
    k = _row_number(change.get("row"), len(_rows(bench)))
    bench.sheet.drop(("stock", k))
    return bench.done()


def _rows(bench: Bench) -> list[Any]:
    rows = bench.sheet.get("stock")
    return rows if isinstance(rows, list) else []


def _row_number(row: object, rows: int) -> int:
    if isinstance(row, bool) or not isinstance(row, int) or not 0 <= row < rows:
        raise EditError(
            f"row: found {show(row)}; allowed: {f'0 to {rows - 1}' if rows else 'none, there are no rows'}"
        )
    return row


def _value(field: object, value: object) -> Any:
    if field not in FIELDS:
        raise EditError(f"field: found {show(field)}; allowed: {one_of(FIELDS)}")
    if field == "length" and isinstance(value, list) and len(value) == 2:
        return [plain_value("length", one) for one in value]
    return plain_value(str(field), value)


# ---- rows of a copy


def _read(bench: Bench, field: Any, value: Any) -> Any:
    """A value as a row of stock holds it; raises EditError with what the reader says."""
    if field == "species":
        return _species(bench, value)
    if field == "length":
        return _length(value)
    if value is None:
        return None if field == "out" else 0
    limit = LIMITS[f"stock.{field}"]
    read = amount(value, limit) if not isinstance(value, str) or field in ("day", "out") else None
    if read is None or not limit.holds(read) or (limit.kind == "whole" and read != int(read)):
        raise EditError(f"{field}: found {show(value)}; allowed: {limit.say()}")
    return int(read) if limit.kind == "whole" else float(read)


def _species(bench: Bench, value: Any) -> str:
    names = names_of(bench.sheet.values)
    key = names.resolve(value) if isinstance(value, str) and value.strip() else None
    if key is None:
        raise EditError(str(names.unknown(value)))
    return key


def _length(value: Any) -> tuple[float, float] | None:
    if value is None:
        return None
    problems: list[str] = []

    def report(key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        problems.append(str(Problem(None, key, show(value), allowed, nearest)))

    ends = read_length(value, report)
    if ends is None:
        raise EditError(*problems)
    return plain(ends[0]), plain(ends[1])


def _stock_row(read: Mapping[str, Any]) -> StockRow:
    counts = {field: read.get(field, 0) for field in ("males", "females", "unsexed", "holding")}
    return StockRow(
        species=read["species"],
        **counts,
        length_cm=read.get("length"),
        day=read.get("day", 0.0),
        out_day=read.get("out"),
    )


def _changed(rows: tuple[StockRow, ...], k: int, field: Any, value: Any) -> list[StockRow]:
    """A row with another value; fish that leave it are its last, and nobody after them is renumbered."""
    row = rows[k]
    if field in SEX_OF:
        return [_counted(rows, k, field, value)]
    if field == "species":
        if value == row.species:
            return [row]
        here = {name: count for name, count in present(row).items() if name != "holding"}
        new = replace(row, **here, species=value, left_out=(), holding=present(row)["holding"])
        return [*_ghost(rows, k), new]
    name = {"length": "length_cm", "out": "out_day"}.get(field, field)
    return [replace(row, **{name: value})]


def _counted(rows: tuple[StockRow, ...], k: int, field: str, wanted: int) -> StockRow:
    """Another number of one sex: those left out come back first, the last leave first."""
    row, sex = rows[k], SEX_OF[field]
    first = sum(getattr(one, field) for one in rows[:k] if one.species == row.species) + 1
    mine = [f"{sex} {first + j}" for j in range(getattr(row, field))]
    out = [name for name in mine if name in row.left_out]
    while out and len(mine) - len(out) < wanted:
        out.pop(0)
    more = max(0, wanted - (len(mine) - len(out)))
    for name in reversed(mine):
        if len(mine) - len(out) <= wanted:
            break
        if name not in out:
            out.append(name)
    last = not any(getattr(one, field) for one in rows[k + 1 :] if one.species == row.species)
    count = len(mine) + more
    while last and not more and mine and mine[-1] in out:
        out.remove(mine.pop())
        count -= 1
    others = tuple(name for name in row.left_out if not name.startswith(f"{sex} "))
    fish: dict[str, Any] = {field: count}
    new = replace(row, **fish, left_out=(*others, *sorted(out, key=_number)))
    new = replace(new, holding=min(new.holding, new.females))
    if not any(value for name, value in present(new).items() if name != "holding"):
        raise EditError(f"{field}: found no fish; allowed: at least one fish in the row, or take the row out")
    return new


def _number(name: str) -> int:
    return int(name.split()[-1])


def _ghost(rows: tuple[StockRow, ...], k: int) -> list[StockRow]:
    """What stays of a row that leaves: its numbers, where later rows of its species go on from them."""
    row = rows[k]
    later = [one for one in rows[k + 1 :] if one.species == row.species]
    if not any(getattr(row, field) and getattr(one, field) for one in later for field in SEX_OF):
        return []
    names = []
    for field, sex in SEX_OF.items():
        first = sum(getattr(one, field) for one in rows[:k] if one.species == row.species) + 1
        names += [f"{sex} {first + j}" for j in range(getattr(row, field))]
    return [replace(row, left_out=tuple(names))]
