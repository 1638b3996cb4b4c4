"""Rows pasted out of a spreadsheet: read as a stock list is, added to the stock or in its place."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from ....sim.scenario.reading import Problem, ScenarioError
from ....sim.scenario.reading.kinds import Names
from ....sim.scenario.reading.limits import MOST_BYTES, MOST_FISH
from ....sim.scenario.reading.said import added
from ....sim.scenario.reading.stock import check_row
from ....sim.scenario.reading.stocklist import read_list
from ....sim.scenario.scenario import StockRow
from ..task import Draft
from ..viewing.read import names_of
from .bench import NO_TANK, Bench, row_values, write_in_list
from .copies import stock_of_copy, write_stock
from .written import EditError

LIST = "the pasted list"
_SEPARATORS = ("\t", ";", ",", "|")
_SEXES = ("males", "females", "unsexed")
_WHOLE = re.compile(r"[0-9]{1,3}")
_COUNTS = re.compile(r"[0-9]+\s*[mfuj♂♀].*|[0-9]+([./][0-9]+){1,2}", re.IGNORECASE)
_LENGTH = re.compile(r"[0-9].*(cm|mm|in|inch|inches|\"|″)", re.IGNORECASE)


def pasted(draft: Draft, which: int, text: str, instead: bool) -> tuple[Draft, list[str]]:
    """As :func:`pasted_and_left`, without what is left."""
    return pasted_and_left(draft, which, text, instead)[:2]


def pasted_and_left(draft: Draft, which: int, text: str, instead: bool) -> tuple[Draft, list[str], str]:
    """A draft with the rows of a list after its stock, or ``instead`` of it, and what each was read as.

    Cells are apart by tabs, commas, semicolons or bars; a header line may be missing. Lines that cannot be
    read are left, to be put right, and said; they keep no other line out.
    Raises EditError with every problem of the list, each with its line and column, when no line can be read.
    """
    if len(text) > MOST_BYTES:
        raise EditError(f"{LIST} has {len(text)} characters; use at most {MOST_BYTES}")
    bench = Bench(draft, which)
    names = names_of(bench.sheet.values)
    lines = text.splitlines()
    text, said = _headed(text, names)
    rows, problems = _read(text, names, headed=bool(said))
    left = _left(lines, problems, names)
    wrong = [f"Not taken in: {one}" for one in ScenarioError(LIST, problems).sentences()] if problems else []
    if len(rows) > MOST_FISH:
        raise EditError(f"{LIST} has {len(rows)} rows of fish; use at most {MOST_FISH} fish in all")
    said += [*(f"{added(row)}." for row in rows), *wrong]
    if which:
        base, before = stock_of_copy(bench)
        write_stock(bench, base, rows if instead else [*before, *rows])
        return bench.done(), said, left
    if instead:
        bench.put(("stock",), None)
        bench.put(("stock_list",), None)
        bench.draft = Draft(draft.text, draft.name)
    else:
        write_in_list(bench)
    there = bench.sheet.get("stock") or []
    bench.put(("stock",), [*there, *({**row_values(row, {}), "species": row.typed} for row in rows)])
    return bench.done(), said, left


def _read(text: str, names: Names, *, headed: bool) -> tuple[list[StockRow], list[Problem]]:
    problems: list[Problem] = []
    asked = read_list(text, file=LIST, problems=problems)
    rows = [(one.good, check_row(one, names, NO_TANK)) for one in asked]
    if problems and headed:  # the lines as they were pasted
        problems = [replace(one, line=one.line and one.line - 1) for one in problems]
    good = [row for is_good, row in rows if is_good and row is not None]
    if problems and (not good or any(one.line is None for one in problems)):
        raise EditError(*ScenarioError(LIST, problems).sentences())
    return good, problems


def _left(lines: Sequence[str], problems: Sequence[Problem], names: Names) -> str:
    """The lines that could not be read, below the header line of the list where it has one."""
    bad = sorted({one.line for one in problems if one.line is not None and 0 < one.line <= len(lines)})
    if not bad:
        return ""
    separator = max(_SEPARATORS, key=lines[0].count)
    cells = lines[0].split(separator)
    is_header = len(cells) > 1 and 1 not in bad and names.resolve(cells[0].strip()) is None
    return "\n".join([*lines[: int(is_header)], *(lines[number - 1] for number in bad)])


def _headed(text: str, names: Names) -> tuple[str, list[str]]:
    """The list with a header line, and what is said of one put in: where the first cell is a species."""
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        return text, []
    separator = max(_SEPARATORS, key=lines[0].count)
    cells = [[cell.strip().strip('"').strip() for cell in line.split(separator)] for line in lines]
    is_headed = names.resolve(cells[0][0]) is None or len(cells[0]) < 2
    headers = None if is_headed else _headers(cells)
    if headers is None:
        return text, []
    said = f"There was no header line; the columns were read as: {', '.join(headers)}."
    return f"{separator.join(headers)}\n{text}", [said]


def _headers(rows: Sequence[Sequence[str]]) -> list[str] | None:
    """Names of the columns by what stands in them; None where that would be a guess."""
    width = max(len(row) for row in rows)
    found: list[str | None] = ["species"]
    for column in range(1, width):
        cells = [row[column] for row in rows if column < len(row) and row[column]]
        if cells and all(_WHOLE.fullmatch(cell) for cell in cells):
            found.append(None)
        elif cells and all(_COUNTS.fullmatch(cell) or _WHOLE.fullmatch(cell) for cell in cells):
            found.append("count")
        elif cells and all(_LENGTH.fullmatch(cell) for cell in cells):
            found.append("length")
        else:
            return None
    numbers = found.count(None)
    if numbers > len(_SEXES) or (numbers and "count" in found):
        return None
    sexes = iter(["count"] if numbers == 1 else _SEXES)
    headers = [next(sexes) if one is None else one for one in found]
    return headers if len(set(headers)) == len(headers) and len(headers) > 1 else None
