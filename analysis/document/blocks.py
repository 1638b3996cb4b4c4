"""The blocks of a document: headings, paragraphs, notes, lists, tables, lines to copy, figures.

Texts are whole and unwrapped, cells are bare. How wide a line is, what is escaped and what a heading looks
like is the business of whoever shows them (:mod:`.text`, :mod:`.html`, :mod:`.values`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Heading:
    """What the blocks below it are about."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """A sentence or a few.

    Attributes
    ----------
    depth : 0 stands by itself, 1 stands under a heading, 2 belongs to the paragraph above it.
    """

    text: str
    depth: int = 0


@dataclass(frozen=True)
class Note:
    """How to read what stands above it."""

    text: str


@dataclass(frozen=True)
class Code:
    """Lines to be copied as they are."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Item:
    """One of a list, with what belongs to it."""

    text: str
    below: tuple[Block, ...] = ()


@dataclass(frozen=True)
class Bullets:
    """A list; ``numbered`` where the order says something."""

    items: tuple[Item, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a table.

    Attributes
    ----------
    head : its name; "" without.
    width : characters that it takes at least where a text is laid out; 0: as many as its cells need.
    left : words, flush left and wrapped where they are long; otherwise figures, flush right.
    """

    head: str = ""
    width: int = 0
    left: bool = False


@dataclass(frozen=True)
class Table:
    """Rows of cells.

    Attributes
    ----------
    columns : the first holds what the rows are of.
    rows : cells; those at the end may be missing, and a row of its first cell alone names the rows below it.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def has_head(self) -> bool:
        """Whether any column has a name."""
        return any(one.head for one in self.columns)


@dataclass(frozen=True)
class Figure:
    """A picture as PNG; the caption says in words what it shows."""

    png: bytes
    caption: str


Block = Heading | Paragraph | Note | Code | Bullets | Table | Figure
Text = str | Paragraph  # a paragraph under a heading may be given as its text


@dataclass(frozen=True)
class Section:
    """Blocks that stand together, set off from what comes before and after."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Document:
    """Sections from first to last."""

    sections: tuple[Section, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """All blocks in order."""
        return tuple(block for one in self.sections for block in one.blocks)


def document(*sections: Section | None) -> Document:
    """A document of those sections that there are."""
    return Document(tuple(one for one in sections if one is not None))


def section(heading: str, *blocks: Block | str) -> Section:
    """Blocks under a heading; a text is a paragraph, and an empty one is left out."""
    made = (Paragraph(one, depth=1) if isinstance(one, str) else one for one in blocks if one)
    return Section((Heading(heading), *made))


def flush(*texts: str) -> Section:
    """Paragraphs under no heading; an empty one is left out."""
    return Section(tuple(Paragraph(one) for one in texts if one))


def deeper(text: str) -> Paragraph:
    """A paragraph that belongs to the one above it."""
    return Paragraph(text, depth=2)


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    widths: Sequence[int] = (),
    left: Sequence[int] = (),
) -> Table:
    """A table, by the names of its columns.

    Parameters
    ----------
    heads : of all columns, that of the rows' names first.
    rows : see :class:`Table`.
    widths, left : see :class:`Column`; of each column, and the numbers of those that hold words.
    """
    every = [*widths, *[0] * (len(heads) - len(widths))]
    columns = (Column(head, every[k], k in left) for k, head in enumerate(heads))
    return Table(tuple(columns), tuple(tuple(row) for row in rows))
