"""How much rock, for a projector: rock along the bottom, pinned simulated tanks out of ten up the side.

All words are at least a thirtieth of the height of the page, all marks dark on white and told apart
by their shape.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from ..document.plain import called
from ..questions.rock.answer import RockAnswer
from ..questions.rock.grid import COVER, Grid
from ..questions.rock.least import FOUND, NONE_DOES
from ..questions.rock.words import one_in, verdict_sentences
from .look import FAINT, FONT, INK, MARGIN, PAPER, ROOM, WIDTH, casing
from .projector import NOT_YOURS, PITCH, SIZE, ProjectorPage
from .rock_map import rock_map
from .rock_page import interval, page_of, told
from .save import Place, SavedPicture, save_figure

BAND = "#d7dcd9"
LEFT, RIGHT = 170.0, 60.0  # pixels left free beside the axes
TOP = 780.0  # of the axes
LANE_LEAST, LANE_NOW = 852.0, 806.0  # middles of the two labels above the axes
BELOW = 3 * PITCH + 24  # under the axes, for what stands along the bottom
CASING = 11.0  # a white rim lets a bar cross a line and still be seen

Floats = NDArray[np.float64]


class _Side(NamedTuple):
    """The axes and where they lie on the page."""

    axes: Axes
    at: Floats  # [K] where each amount stands along the bottom: % of the floor, cm or piles
    bottom: float  # pixel of the page

    def pixel(self, x: float) -> float:
        low, high = self.axes.get_xlim()
        return LEFT + (x - low) / (high - low) * (WIDTH - LEFT - RIGHT)


def rock_sweep(answer: RockAnswer, grid: Grid) -> Figure:
    """The picture: points along one side, or a map where two things were varied."""
    return rock_map(answer, grid) if len(grid.axes) == 2 else rock_line(answer, grid)


def save_rock(answer: RockAnswer, grid: Grid, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title, caption = f"How much rock: {answer.title}", rock_caption(answer, grid)
    return save_figure(rock_sweep(answer, grid), path, title=title, caption=caption)


def rock_caption(answer: RockAnswer, grid: Grid) -> str:
    """What the picture shows, in words."""
    shown = [
        f"{one.said}{' (your tank now)' if one.own else ''}: {one.pinned.hits} of {one.pinned.of}"
        for one in answer.amounts
    ]
    said = " ".join(text for line in answer.lines for text in verdict_sentences(answer, grid, line))
    return (
        f"In how many of ten simulated tanks {answer.species} was pinned, by "
        f"{' and '.join(axis.title for axis in grid.axes)}, with 95 % intervals. Simulated tanks in which "
        f"it was pinned: {'; '.join(shown)}. {said} {NOT_YOURS}"
    )


def rock_line(answer: RockAnswer, grid: Grid) -> Figure:
    """Every amount with its interval, the wanted level, the least amount and the keeper's own."""
    page = page_of(answer)
    bottom = page.foot_of(told(answer, grid, answer.lines[0])) + BELOW
    whom = called(answer.species, answer.species)
    page.put(f"simulated tanks out of ten in which {whom} was pinned", MARGIN, 898)
    axes = page.axes_at(x=LEFT, y=bottom, width=WIDTH - LEFT - RIGHT, height=TOP - bottom)
    scale = 100.0 if grid.axes[0].name == COVER else 1.0
    side = _Side(axes, np.array([scale * point.values[0] for point in grid.points]), bottom)
    room = 0.06 * float(side.at[-1] - side.at[0]) or 1.0
    axes.set(xlim=(side.at[0] - room, side.at[-1] + room), ylim=(-0.25, 10.25))
    axes.axhline(10 * answer.level, color=INK, linewidth=3, linestyle=(0, (6, 3)), zorder=1.5)
    _points(side, answer)
    _least(page, side, answer, grid)
    _now(page, side, answer)
    _along_the_bottom(page, side, answer, grid)
    return page.figure


def _points(side: _Side, answer: RockAnswer) -> None:
    """Raw points with their intervals, joined by a thin line; the fit where one was asked for."""
    shown = [k for k, one in enumerate(answer.amounts) if one.pinned.of]
    heights = [10 * answer.amounts[k].pinned.share for k in shown]
    side.axes.plot(side.at[shown], heights, color=FAINT, linewidth=2, zorder=2)
    fitted = answer.lines[0].least.fitted
    if fitted is not None:
        style = (0, (1.5, 1.5))
        side.axes.plot(side.at, 10 * np.array(fitted), color=INK, linewidth=5, linestyle=style, zorder=2.2)
    point: dict[str, Any] = {"markeredgecolor": INK, "markeredgewidth": 4, "zorder": 3, "clip_on": False}
    for k, height in zip(shown, heights, strict=True):
        count, own, x = answer.amounts[k].pinned, answer.amounts[k].own, side.at[k]
        ends = [10 * count.low, 10 * count.high]
        casing(side.axes, [x, x], ends, colour=INK, wide=CASING, width=5.0, zorder=2.5, clip_on=False)
        marker, size, face = ("D", 22, PAPER) if own else ("o", 19, INK)
        side.axes.plot(x, height, marker=marker, markersize=size, markerfacecolor=face, **point)


def _least(page: ProjectorPage, side: _Side, answer: RockAnswer, grid: Grid) -> None:
    """A grey band over the interval of the least amount, a line at the amount, the words above it."""
    line = answer.lines[0]
    least, last = line.least, len(side.at) - 1
    left, edge = side.axes.get_xlim()
    half = 0.008 * (edge - left)
    if least.verdict != NONE_DOES:
        end = edge if least.high > last else side.at[least.high] + half
        side.axes.axvspan(side.at[least.low] - half, end, color=BAND, linewidth=0, zorder=0.5)
    if least.place > last:
        words = "no amount does" if least.verdict == NONE_DOES else "no amount does so far"
        _label(page, words, spot=WIDTH - RIGHT, y=LANE_LEAST)
        return
    start = "least that does" if least.verdict == FOUND else "least so far"
    spot = side.pixel(float(side.at[least.place]))
    side.axes.axvline(side.at[least.place], color=INK, linewidth=4, zorder=1)
    page.axes.plot([spot, spot], [TOP, LANE_LEAST - 22], color=INK, linewidth=4)
    words = f"{start}: {grid.short(line.places[least.place])} ({interval(grid, line)})"
    _label(page, words, spot=spot, y=LANE_LEAST)


def _now(page: ProjectorPage, side: _Side, answer: RockAnswer) -> None:
    """The words beside the line of the least amount where they would lie on it."""
    own = next((k for k, one in enumerate(answer.amounts) if one.own), None)
    if own is None:
        return
    side.axes.axvline(side.at[own], color=INK, linewidth=2.5, linestyle=(0, (1, 2.5)), zorder=0.9)
    words, spot = "◇ your tank now", side.pixel(float(side.at[own]))
    place = answer.lines[0].least.place
    wide = page.wide(words, bold=True)
    if place < len(side.at):
        mark = side.pixel(float(side.at[place]))
        if abs(mark - spot) < wide / 2 + 16:
            fits_right, fits_left = mark + 16 + wide < WIDTH - MARGIN, mark - 16 - wide >= MARGIN
            turn = 1 if fits_right and (spot >= mark or not fits_left) else -1
            spot = mark + turn * (16 + wide / 2)
    _label(page, words, spot=spot, y=LANE_NOW)


def _label(page: ProjectorPage, words: str, *, spot: float, y: float) -> None:
    """Words above the axes, as near to their place along the bottom as they fit."""
    half = page.wide(words, bold=True) / 2
    middle = min(max(spot, MARGIN + half), WIDTH - MARGIN - half)
    page.put(words, middle, y, bold=True, ha="center", va="center")


def _along_the_bottom(page: ProjectorPage, side: _Side, answer: RockAnswer, grid: Grid) -> None:
    """Amounts tried and simulated tanks at each, where they do not crowd; the keeper's own always."""
    axes = side.axes
    axes.tick_params(labelsize=SIZE, labelfontfamily=FONT, colors=INK, length=9, width=2)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set(color=INK, linewidth=2.5)
    axes.set_facecolor("none")
    axes.set_yticks([0, 2, 4, 6, 8, 10])
    axes.set_xticks(side.at, labels=[""] * len(side.at))
    name = grid.axes[0].name
    amount_y, tanks_y = side.bottom - 50, side.bottom - 50 - PITCH
    unit = {COVER: "%", "height": "cm"}.get(name, name)
    for words, y in ((unit, amount_y), ("tanks", tanks_y)):
        page.put(words, MARGIN, y)
    for k in _uncrowded(page, side, answer):
        middle = side.pixel(float(side.at[k]))
        page.put(f"{side.at[k]:.0f}", middle, amount_y, ha="center")
        page.put(str(answer.amounts[k].run), middle, tanks_y, ha="center")
    level = one_in(answer.level).replace("simulated tank ", "").replace(" of the simulated tanks", "")
    words = f"{grid.axes[0].title}; tanks: simulated at each; dashed: wanted, at most {level}"
    page.put(words, MARGIN, tanks_y - PITCH, room=ROOM)


def _uncrowded(page: ProjectorPage, side: _Side, answer: RockAnswer) -> list[int]:
    """Amounts whose numbers have room, the keeper's own first."""
    widest = [
        max(page.wide(f"{x:.0f}"), page.wide(str(one.run)))
        for x, one in zip(side.at, answer.amounts, strict=True)
    ]
    kept: list[int] = []
    for k in sorted(range(len(side.at)), key=lambda k: not answer.amounts[k].own):
        middle = side.pixel(float(side.at[k]))
        gaps = [abs(middle - side.pixel(float(side.at[j]))) - (widest[k] + widest[j]) / 2 for j in kept]
        if all(gap > 12 for gap in gaps):
            kept.append(k)
    return kept
