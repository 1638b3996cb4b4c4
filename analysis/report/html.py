"""Texts of this project as HTML: headings, paragraphs and tables out of what is printed on a terminal.

The words are made in one place for both. A text that is laid out (:mod:`rockshy.analysis.rows`) is cut at
its blank lines; in each piece, rows become a table, a short line above indented ones a heading, and
lines that were only wrapped are put together again. Everything is escaped.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from ..rows import CELL, WHOLE, WIDTH

_CUT_LABEL = re.compile(f"^(\\s*){WHOLE}([^{WHOLE}]*){WHOLE}[^{CELL}]*")
_FIRST_WORD = re.compile(r"\S+(?: (?=%|[a-zA-Z])(?<=[0-9] )\S+)?")


@dataclass(frozen=True)
class Heading:
    text: str


@dataclass(frozen=True)
class Paragraph:
    text: str
    deeper: bool = False  # belongs to the one above


@dataclass(frozen=True)
class Table:
    """Rows of cells; the first is the head where its first cell is empty."""

    rows: tuple[tuple[str, ...], ...]


Piece = Heading | Paragraph | Table


def pieces(laid_out: str) -> list[Piece]:
    """A laid-out text as headings, paragraphs and tables, in order."""
    found: list[Piece] = []
    for block in re.split(r"\n\s*\n", laid_out.strip("\n")):
        found.extend(_of_block([line for line in block.split("\n") if line.strip()]))
    return found


def _of_block(lines: Sequence[str]) -> Iterator[Piece]:
    rows: list[tuple[str, ...]] = []
    texts: list[list[str]] = []  # wrapped lines of each paragraph since the last table
    head: tuple[str, ...] | None = None  # of all tables of the block, where it stands alone above them
    for line in lines:
        if CELL in line:
            yield from _texts(texts, heads=True)
            texts = []
            rows.append(_cells(line))
            continue
        if rows:
            head = rows[0] if _is_head(rows[0]) else head
            yield from _tables(rows, head)
            rows = []
        if texts and _continues(texts[-1], line):
            texts[-1].append(line)
        else:
            texts.append([line])
    if rows:
        yield from _tables(rows, head)
    yield from _texts(texts, heads=False)


def _tables(rows: Sequence[tuple[str, ...]], head: tuple[str, ...] | None) -> Iterator[Table]:
    """The table of some rows, under the head of its block; none where there is nothing but a head."""
    body = rows[1:] if _is_head(rows[0]) else rows
    if body:
        yield Table((rows[0], *body) if len(body) < len(rows) else (*([head] if head else []), *body))


def _cells(line: str) -> tuple[str, ...]:
    whole = _CUT_LABEL.sub(lambda cut: cut[1] + cut[2], line)
    first, *others = whole.split(CELL)
    return (first.rstrip() if first.strip() else "", *(cell.strip() for cell in others))


def _continues(before: Sequence[str], line: str) -> bool:
    """Whether a line only goes on because the one before was full."""
    indent = _indent(line) - _indent(before[0])
    word = _FIRST_WORD.match(line.strip())
    room = WIDTH - len(before[-1])
    return indent == 2 and word is not None and room < 1 + len(word[0])


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _texts(texts: Iterable[Sequence[str]], *, heads: bool) -> Iterator[Piece]:
    """Paragraphs; a flush first line stands over what is indented below it, or over a table."""
    those = list(texts)
    for k, lines in enumerate(those):
        text = " ".join(line.strip() for line in lines)
        flush = _indent(lines[0]) == 0
        over = those[k + 1] if k + 1 < len(those) else None
        above = heads if over is None else _indent(over[0]) > 0
        if flush and above and not text.endswith("."):
            yield Heading(text)
        else:
            yield Paragraph(text, deeper=_indent(lines[0]) > 2)


def html_of(laid_out: str, *, level: int = 3) -> str:
    """A laid-out text as HTML; headings of the given level."""
    return "\n".join(_html(piece, level) for piece in pieces(laid_out))


def _html(piece: Piece, level: int) -> str:
    if isinstance(piece, Heading):
        return f'<h{level} dir="auto">{escape(piece.text)}</h{level}>'
    if isinstance(piece, Paragraph):
        kind = ' class="deeper"' if piece.deeper else ""
        return f'<p dir="auto"{kind}>{escape(piece.text)}</p>'
    return table_html(piece.rows)


def table_html(rows: Sequence[Sequence[str]], *, caption: str = "") -> str:
    """A table; the first row is its head where it names the columns."""
    head, body = (rows[0], rows[1:]) if has_head(rows) else (None, rows)
    width = max(len(one) for one in rows)
    lines = ['<div class="wide" tabindex="0" role="region" aria-label="table"><table>']
    if caption:
        lines.append(f"<caption>{escape(caption)}</caption>")
    if head is not None:
        cells = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in _filled(head[1:], width - 1))
        lines.append(f'<thead><tr><td class="corner">{escape(head[0].strip())}</td>{cells}</tr></thead>')
    lines.append("<tbody>")
    for first, *others in body:
        cells = "".join(f"<td>{escape(cell)}</td>" for cell in _filled(others, width - 1))
        lines.append(f'<tr><th scope="row" dir="auto">{escape(first.strip())}</th>{cells}</tr>')
    lines.append("</tbody></table></div>")
    return "".join(lines)


def has_head(rows: Sequence[Sequence[str]]) -> bool:
    """Whether the first row of a table names the columns."""
    return len(rows) > 1 and _is_head(rows[0])


def _is_head(row: Sequence[str]) -> bool:
    """A head names columns: its first cell is empty and no other holds a figure, save the interval's name."""
    return not row[0].strip() and all(not re.search(r"[0-9]", cell) or cell == "95 %" for cell in row[1:])


def _filled(cells: Sequence[str], width: int) -> list[str]:
    return [*cells, *[""] * (width - len(cells))]
