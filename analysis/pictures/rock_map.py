"""Two things varied at once: a table of shades, with the simulated tanks of each cell in words."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from ..questions.rock.answer import Line, RockAnswer
from ..questions.rock.grid import Grid
from ..questions.rock.least import FOUND, NONE_DOES
from .look import INK, MARGIN, PAPER, RATE_MAP, WIDTH, ink_on, text_width, write
from .rock_page import PITCH, SIZE, page_of, short_interval

LEFT, TOP = 200.0, 836.0
SAID_ROOM = 470.0  # pixels for the answer of each line at the right
BELOW = 2 * PITCH + 30  # under the cells
_FRAMES = ((PAPER, 13.0), (INK, 7.0))  # colour and width: seen on every shade
_Box = tuple[float, float, float, float]  # x, y, width, height in pixels


def rock_map(answer: RockAnswer, grid: Grid) -> Figure:
    """One row a value of the second side, the least amount of each row framed."""
    first, second = grid.axes
    whom = "the mild species" if answer.mild else "it"
    below = (
        f"In each cell: simulated tanks in which {whom} was pinned; the darker, the more. Framed: the "
        f"least from which on that is at most {100 * answer.level:g} % (dashed: so far). ◇ your tank now."
    )
    figure, page, foot = page_of(answer, below=below)
    columns = list(first.values)
    bottom = foot + BELOW
    wide, high = (WIDTH - LEFT - SAID_ROOM - MARGIN) / len(columns), (TOP - bottom) / len(answer.lines)
    write(page, f"{second.title} (up)", x=MARGIN, y=TOP + 24, size=SIZE)
    write(page, "least (95 %)", x=WIDTH - SAID_ROOM - 10, y=TOP + 24, size=SIZE)
    for row, line in enumerate(answer.lines):
        y = bottom + row * high
        middle: dict[str, Any] = {"y": y + high / 2, "size": SIZE, "va": "center"}
        assert line.other is not None
        write(page, second.short(line.other), x=LEFT - 16, ha="right", **middle)
        write(page, short_interval(grid, line), x=WIDTH - SAID_ROOM - 10, **middle)
        for k, place in enumerate(line.places):
            x = LEFT + columns.index(grid.points[place].values[0]) * wide
            _cell(page, answer, place, box=(x, y, wide, high))
            if line.least.place == k and line.least.verdict != NONE_DOES:
                _frame(page, line, box=(x, y, wide, high))
    for k, value in enumerate(columns):
        write(page, first.short(value), x=LEFT + (k + 0.5) * wide, y=bottom - 46, size=SIZE, ha="center")
    write(page, first.title, x=LEFT, y=bottom - 46 - PITCH, size=SIZE)
    return figure


def _cell(page: Axes, answer: RockAnswer, place: int, *, box: _Box) -> None:
    """A shade and the count in it, in as few signs as fit."""
    x, y, wide, high = box
    one = answer.amounts[place]
    shade: Any = RATE_MAP(one.pinned.share) if one.pinned.of else PAPER
    page.add_patch(Rectangle((x + 3, y + 3), wide - 6, high - 6, facecolor=shade, edgecolor="none"))
    mark = "◇ " if one.own else ""
    fitting = [
        words
        for words in (
            f"{mark}{one.pinned.hits} of {one.pinned.of}",
            f"{mark}{one.pinned.hits}/{one.pinned.of}",
        )
        if text_width(words, size=SIZE) <= wide - 24
    ]
    words = fitting[0] if fitting else mark.strip() + str(one.pinned.hits)
    style: dict[str, Any] = {"size": SIZE, "color": ink_on(shade), "ha": "center", "va": "center"}
    write(page, words, x=x + wide / 2, y=y + high / 2, **style)


def _frame(page: Axes, line: Line, *, box: _Box) -> None:
    x, y, wide, high = box
    for colour, width in _FRAMES:
        style: Any = (0, (2, 1.2)) if colour == INK and line.least.verdict != FOUND else "-"
        inner = Rectangle((x + 6, y + 6), wide - 12, high - 12, fill=False)
        inner.set(edgecolor=colour, linewidth=width, linestyle=style)
        page.add_patch(inner)
