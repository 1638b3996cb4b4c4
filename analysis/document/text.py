"""A document as text for a terminal: wrapped, indented, tables in columns."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence

from .blocks import Block, Bullets, Code, Column, Document, Figure, Heading, Note, Paragraph, Section, Table

WIDTH = 100  # columns of a terminal that texts are laid out for
STEP = "  "
_LEAST = 12  # characters of the names of rows, however wide the figures beside them
_AFTER_NUMBER = re.compile(r"(?<=[0-9]) (?=[a-zA-Z%])")


def as_text(shown: Document | Section, *, width: int = WIDTH) -> str:
    """Lines of at most ``width`` characters, a blank line between sections, none at the end."""
    sections = shown.sections if isinstance(shown, Document) else (shown,)
    return "\n\n".join(
        "\n".join(line for block in one.blocks for line in _lines(block, "", width)) for one in sections
    )


def _lines(block: Block, indent: str, width: int) -> Iterator[str]:
    match block:
        case Heading(text) | Figure(_, text):
            yield from _wrapped(text, indent, width)
        case Paragraph(text, depth):
            yield from _wrapped(text, indent + depth * STEP, width)
        case Note(text):
            yield from _wrapped(text, indent + STEP, width)
        case Code(lines):
            yield from (f"{indent}{STEP}{line}" for line in lines)
        case Bullets():
            yield from _items(block, indent + STEP, width)
        case Table():
            yield from _rows(block, indent, width)


def _items(block: Bullets, indent: str, width: int) -> Iterator[str]:
    for number, one in enumerate(block.items, 1):
        mark = f"{number}. " if block.numbered else "- "
        inside = indent + " " * len(mark)
        first, *more = _wrapped(one.text, inside, width, hanging="")
        yield f"{indent}{mark}{first.strip()}"
        yield from more
        for below in one.below:
            yield from _lines(below, inside, width)


def _wrapped(text: str, indent: str, width: int, *, hanging: str = STEP) -> list[str]:
    """Lines; what goes on is indented by ``hanging`` more, and a number stays with its unit."""
    held = _AFTER_NUMBER.sub("\u00a0", text)
    lines = textwrap.wrap(held, width, initial_indent=indent, subsequent_indent=indent + hanging)
    return [line.replace("\u00a0", " ") for line in lines] or [""]


# ---- tables


def _rows(block: Table, indent: str, width: int) -> Iterator[str]:
    """Names of rows flush left and one step in, two below a name of several rows; heads above them."""
    widths = _widths(block, width - len(indent))
    if block.has_head:
        heads = [one.head for one in block.columns]
        yield from (f"{indent}{line}" for line in _row(heads, block.columns, widths, ""))
    inside = STEP
    for row in block.rows:
        if len(row) == 1:
            yield from _wrapped(row[0], indent + STEP, width)
            inside = 2 * STEP
        else:
            yield from (f"{indent}{line}" for line in _row(row, block.columns, widths, inside))


def _widths(block: Table, room: int) -> list[int]:
    """Characters of each column: what was asked for, more where a figure needs it; words get the rest."""
    rows = [[one.head for one in block.columns], *(row for row in block.rows if len(row) > 1)]
    widths = []
    for k, column in enumerate(block.columns):
        need = max(len(line) for row in rows if k < len(row) for line in row[k].split("\n"))
        wanted = column.width or need + len(STEP) * (1 if k else 3)
        # a figure keeps a blank before it; behind the name of a row there always is one
        widths.append(wanted if column.left or not k else max(wanted, need + (k > 1)))
    last = block.columns[-1]
    if last.left and not last.width:
        widths[-1] = max(_LEAST, room - sum(widths[:-1]))
    widths[0] = min(widths[0], max(_LEAST, room - sum(widths[1:])))
    return widths


def _row(row: Sequence[str], columns: Sequence[Column], widths: Sequence[int], inside: str) -> Iterator[str]:
    """Lines of one row; words that are long go on below themselves, and over empty cells beside them."""
    label = textwrap.wrap(row[0], widths[0] - 1, initial_indent=inside, subsequent_indent=inside + STEP)
    cells = [[line.ljust(widths[0]) for line in label or [""]]]
    k = 1
    while k < len(row):
        until = k + 1
        if columns[k].left:
            until = next((j for j in range(until, len(row)) if row[j]), len(row))
            gap = STEP if k > 1 and not columns[k - 1].left else ""
            cells.append(_words(row[k], sum(widths[k:until]), gap, is_last=until == len(row)))
        else:
            cells.append([line.rjust(widths[k]) for line in row[k].split("\n")])
        k = until
    for number in range(max(map(len, cells))):
        beside = (cell[number] if number < len(cell) else " " * len(cell[0]) for cell in cells)
        yield "".join(beside).rstrip()


def _words(cell: str, room: int, gap: str, *, is_last: bool) -> list[str]:
    """Lines of a cell that holds words, a blank behind them where something follows."""
    lines = textwrap.wrap(cell, room - len(gap) - (not is_last), break_on_hyphens=False)
    return [f"{gap}{line}".ljust(room) for line in lines or [""]]
