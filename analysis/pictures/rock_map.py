"""Two things varied at once: a table of shades, with the simulated tanks of each cell in words."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure

from ..document.plain import called
from ..questions.rock.answer import Line, RockAnswer
from ..questions.rock.grid import Grid
from ..questions.rock.least import FOUND, NONE_DOES
from .look import INK, MARGIN, PAPER, RATE_MAP, WIDTH, ink_on
from .projector import PITCH, ProjectorPage
from .rock_page import page_of, short_interval

LEFT, TOP = 200.0, 836.0
SAID_ROOM = 470.0  # pixels for the answer of each line at the right
BELOW = 2 * PITCH + 30  # under the cells
_FRAMES = ((PAPER, 13.0), (INK, 7.0))  # colour and width: seen on every shade
_Box = tuple[float, float, float, float]  # x, y, width, height in pixels


def rock_map(answer: RockAnswer, grid: Grid) -> Figure:
    """One row a value of the second side, the least amount of each row framed."""
    first, second = grid.axes
    whom = called(answer.species, answer.species)
    below = (
        f"In each cell: simulated tanks in which {whom} was pinned; the darker, the more. Framed: the "
        f"least from which on that is at most {100 * answer.level:g} % (dashed: so far). ◇ your tank now."
    )
    page = page_of(answer)
    columns = list(first.values)
    bottom = page.foot_of(below) + BELOW
    wide, high = (WIDTH - LEFT - SAID_ROOM - MARGIN) / len(columns), (TOP - bottom) / len(answer.lines)
    right = WIDTH - SAID_ROOM - 10
    page.put(f"{second.title} (up)", MARGIN, TOP + 24)
    page.put("least (95 %)", right, TOP + 24)
    for row, line in enumerate(answer.lines):
        y = bottom + row * high
        assert line.other is not None
        page.put(second.short(line.other), LEFT - 16, y + high / 2, ha="right", va="center")
        page.put(short_interval(grid, line), right, y + high / 2, va="center")
        for k, place in enumerate(line.places):
            x = LEFT + columns.index(grid.points[place].values[0]) * wide
            _cell(page, answer, place, box=(x, y, wide, high))
            if line.least.place == k and line.least.verdict != NONE_DOES:
                _frame(page, line, box=(x, y, wide, high))
    for k, value in enumerate(columns):
        page.put(first.short(value), LEFT + (k + 0.5) * wide, bottom - 46, ha="center")
    page.put(first.title, LEFT, bottom - 46 - PITCH)
    return page.figure


def _cell(page: ProjectorPage, answer: RockAnswer, place: int, *, box: _Box) -> None:
    """A shade and the count in it, in as few signs as fit."""
    x, y, wide, high = box
    one, count = answer.amounts[place], answer.amounts[place].pinned
    shade: Any = RATE_MAP(count.share) if count.of else PAPER
    page.rect(x + 3, y + 3, wide - 6, high - 6, facecolor=shade, edgecolor="none")
    mark = "◇" if one.own else ""
    longer = (f"{mark} {count.hits} of {count.of}".strip(), f"{mark} {count.hits}/{count.of}".strip())
    words = next((words for words in longer if page.wide(words) <= wide - 24), f"{mark}{count.hits}")
    page.put(words, x + wide / 2, y + high / 2, color=ink_on(shade), ha="center", va="center")


def _frame(page: ProjectorPage, line: Line, *, box: _Box) -> None:
    x, y, wide, high = box
    for colour, width in _FRAMES:
        style: Any = (0, (2, 1.2)) if colour == INK and line.least.verdict != FOUND else "-"
        inner = page.rect(x + 6, y + 6, wide - 12, high - 12, fill=False)
        inner.set(edgecolor=colour, linewidth=width, linestyle=style)
