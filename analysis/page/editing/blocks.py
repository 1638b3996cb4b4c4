"""A TOML text cut at its headers: what stands above each, the header, its lines, and what follows them.

Only the lines of a block that changes are given to tomlkit. Given the whole text it would move rows of
a list that stand apart together, count the comment above a header to the table before it, and need a
tenth of a second for a stock of two hundred rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Table

from ....sim.scenario.reading.lines import Scanner
from ....sim.scenario.reading.problems import Place
from .written import EditError

AS_WRITTEN = "this cannot be changed here as the file is written; change the file as text"
_LINE = re.compile(r"[^\n]*\n|[^\n]+")


@dataclass
class Block:
    """One header with all that belongs to it; the first block of a text has none."""

    place: Place
    lead: str = ""  # comment lines directly above the header
    head: str = ""
    body: str = ""  # from the line below the header to the last that says something
    tail: str = ""  # blank lines and comments from there to the next lead

    @property
    def said(self) -> str:
        return self.lead + self.head + self.body

    @property
    def text(self) -> str:
        return self.said + self.tail

    def lines(self) -> tomlkit.TOMLDocument:
        """The body to be changed; raises EditError where it would not come out as it is written."""
        try:
            found = tomlkit.parse(self.body)
        except (TOMLKitError, RecursionError):
            raise EditError(AS_WRITTEN) from None
        if found.as_string() != self.body:
            raise EditError(AS_WRITTEN)
        return found


def blocks_of(text: str) -> list[Block]:
    """The blocks of a text that has passed tomllib, one after the other; together they are the text."""
    scanner = _Cuts(text)
    scanner.scan()
    blocks, lead = [], ""
    ends = [*(cut.start for cut in scanner.cuts[1:]), len(text)]
    for cut, end in zip(scanner.cuts, ends, strict=True):
        after = _LINE.findall(text[cut.body_end : end])
        apart = len(after)
        while end < len(text) and apart and after[apart - 1].lstrip().startswith("#"):
            apart -= 1
        head, body = text[cut.start : cut.head_end], text[cut.head_end : cut.body_end]
        blocks.append(Block(cut.place, lead, head, body, "".join(after[:apart])))
        lead = "".join(after[apart:])
    return blocks


@dataclass
class _Cut:
    place: Place
    start: int  # of the line of the header
    head_end: int
    body_end: int


class _Cuts(Scanner):
    """Where each header and the last of its lines stand."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.cuts = [_Cut((), 0, 0, 0)]

    def header(self) -> Place:
        start = self.text.rfind("\n", 0, self.at) + 1
        place = super().header()
        self.cuts.append(_Cut(place, start, self._line_end(), self._line_end()))
        return place

    def pair(self, table: Place) -> None:
        super().pair(table)
        self.cuts[-1].body_end = self._line_end()

    def _line_end(self) -> int:
        found = self.text.find("\n", self.at)
        return len(self.text) if found < 0 else found + 1


def pairs_of(lines: tomlkit.TOMLDocument) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Number and key of each line that has one; ("tank", "length") where it is dotted."""
    for number, (key, item) in enumerate(lines.body):
        path: tuple[str, ...] = ()
        while key is not None:
            path += (key.key,)
            key, item = item.value.body[0] if isinstance(item, Table) else (None, item)
        if path:
            yield number, path
