"""Printed pages: A4 and Letter, black on white, lengths in points (1/72 inch) from the lower left corner."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ..document.writing import write_bytes
from .look import DPI, INK, LINE, PAPER, cut, text_width, wrapped, write

SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}  # points
EDGE = 40.0  # left free along the rim: about 14 mm, more than any printer leaves
LEAST = 8.0  # points: no text is smaller
GREY = "#d9d9d9"  # cells that stay empty; a copier keeps it apart from black and white
_PX = DPI / 72  # pixels of look.text_width in a point


class Sheet(NamedTuple):
    """A page, and its size."""

    figure: Figure
    axes: Axes
    width: float
    height: float

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.width - 2 * EDGE


def new_sheet(paper: str) -> Sheet:
    """An empty page of ``SIZES``."""
    width, height = SIZES[paper]
    figure = Figure(figsize=(width / 72, height / 72), dpi=DPI, facecolor=PAPER)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, width), ylim=(0, height))
    axes.set_axis_off()
    return Sheet(figure, axes, width, height)


def line_height(size: float) -> float:
    """From line to line."""
    return LINE * size


def wide(text: str, *, size: float, bold: bool = False) -> float:
    """Width of a text in points."""
    return text_width(text, size=size, bold=bold) / _PX


def say(page: Sheet, text: str, *, x: float, y: float, size: float, room: float = 0.0, **more: Any) -> None:
    """One line of text; with ``room`` its end is cut where it is wider."""
    bold = more.get("weight") == "bold"
    shown = cut(text, room=room * _PX, size=size, bold=bold) if room else text
    write(page.axes, shown, x=x, y=y, size=size, **more)


def lines_of(text: str, *, size: float, room: float) -> list[str]:
    """Lines no wider than the room."""
    return wrapped(text, room=room * _PX, size=size)


def block(page: Sheet, text: str, *, x: float, top: float, size: float, room: float) -> float:
    """A paragraph from ``top`` down; returns where it ends."""
    pitch = line_height(size)
    for k, one in enumerate(lines_of(text, size=size, room=room)):
        write(page.axes, one, x=x, y=top - (k + 0.8) * pitch, size=size)
    return top - len(lines_of(text, size=size, room=room)) * pitch


def rule(page: Sheet, *, x: tuple[float, float], y: tuple[float, float], width: float = 0.6) -> None:
    """A straight black line."""
    page.axes.add_line(Line2D(x, y, color=INK, linewidth=width, solid_capstyle="butt"))


def frame(page: Sheet, *, x: float, y: float, width: float, height: float, **how: Any) -> None:
    """A rectangle from its lower left corner; unfilled unless ``facecolor`` is given."""
    style: dict[str, Any] = {"facecolor": "none", "edgecolor": INK, "linewidth": 0.6}
    page.axes.add_patch(Rectangle((x, y), width, height, **style | how))


def grid(page: Sheet, *, x: float, y: float, cell: tuple[float, float], columns: int, rows: int) -> None:
    """Lines of a table of empty cells from its lower left corner; ``cell`` is width and height of one."""
    right, upper = x + columns * cell[0], y + rows * cell[1]
    across = [((x, y + k * cell[1]), (right, y + k * cell[1])) for k in range(rows + 1)]
    down = [((x + k * cell[0], y), (x + k * cell[0], upper)) for k in range(columns + 1)]
    page.axes.add_collection(LineCollection([*across, *down], colors=INK, linewidths=0.6), autolim=False)


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
