"""Printed pages: A4 and Letter, black on white, lengths in points (1/72 inch) from the lower left corner."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.lines import Line2D

from ..document.writing import write_bytes
from .look import DPI, INK, Page

SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}  # points
EDGE = 40.0  # left free along the rim: about 14 mm, more than any printer leaves
TITLE, HEAD, BODY, LEAST = 16.0, 11.0, 9.0, 8.0  # points: no text is smaller than the last
GREY = "#d9d9d9"  # cells that stay empty; a copier keeps it apart from black and white


class Sheet(Page):
    """An empty page of ``SIZES``."""

    unit, small = DPI / 72, BODY

    def __init__(self, paper: str) -> None:
        super().__init__(*SIZES[paper])
        self.room = self.width - 2 * EDGE  # between the margins

    def rule(self, x: tuple[float, float], y: float, *, width: float = 0.6, up: float = 0.0) -> None:
        """A straight black line, level or ``up`` high."""
        self.axes.add_line(Line2D(x, (y, y + up), color=INK, linewidth=width, solid_capstyle="butt"))

    def frame(self, x: float, y: float, width: float, height: float, **how: Any) -> None:
        """A rectangle from its lower left corner; unfilled unless ``facecolor`` is given."""
        style: dict[str, Any] = {"facecolor": "none", "edgecolor": INK, "linewidth": 0.6}
        self.rect(x, y, width, height, **style | how)

    def grid(self, x: float, y: float, *, cell: tuple[float, float], columns: int, rows: int) -> None:
        """Lines of a table of empty cells from its lower left corner; ``cell`` is width and height of one."""
        right, upper = x + columns * cell[0], y + rows * cell[1]
        across = [((x, y + k * cell[1]), (right, y + k * cell[1])) for k in range(rows + 1)]
        down = [((x + k * cell[0], y), (x + k * cell[0], upper)) for k in range(columns + 1)]
        lines = LineCollection([*across, *down], colors=INK, linewidths=0.6)
        self.axes.add_collection(lines, autolim=False)

    def heading(self, top: float, text: str, *, below: float) -> float:
        """Returns where what it heads begins."""
        self.put(text, EDGE, top - 12, size=HEAD, bold=True, room=self.room)
        return top - below

    def listed(
        self, sign: str, text: str, top: float, *, gap: float, bold: bool = False, aside: float = 14
    ) -> float:
        """A paragraph with a sign before it; returns where the next one begins."""
        self.put(sign, EDGE, top - 0.8 * self.pitch(), bold=bold)
        return self.block(text, EDGE + aside, top, room=self.room - aside) - gap

    def gaps(self, names: Sequence[str], y: float, *, columns: int, pitch: float, end: float) -> None:
        """What to fill in, each with a line to write on."""
        room = self.room / columns
        for k, name in enumerate(names):
            x, low = EDGE + (k % columns) * room, y - (k // columns) * pitch
            self.put(name, x, low)
            self.rule((x + self.wide(name) + 4, x + room - end), low - 2)

    def notes(self, words: str, top: float, *, low: float, pitch: float) -> None:
        """Lines to write on under a heading at ``top``, down to ``low``."""
        self.put(words, EDGE, top, bold=True)
        y = top - pitch - 2
        while y > low:
            self.rule((EDGE, self.width - EDGE), y, width=0.4)
            y -= pitch


def save_pdf(pages: Sequence[Sheet], path: str | Path, *, title: str, subject: str) -> None:
    """Write pages as one PDF, text as text.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    told = io.BytesIO()
    about = {"Title": title, "Subject": subject, "CreationDate": None}
    with PdfPages(told, metadata=about) as pdf:
        for page in pages:
            pdf.savefig(page.figure)
    write_bytes(path, told.getvalue())
