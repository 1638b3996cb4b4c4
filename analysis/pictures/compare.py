"""What if, for a projector: every alternative against the tank as it is, differences with their intervals.

Four panels side by side, so that fewer chases are never seen without hiding and pinning beside them. A
filled mark is told by the trials, an open one is not; marks differ by their shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from ..document.plain import many
from ..measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ..questions.compare.answer import WORST, Against, Comparison
from ..questions.compare.words import best_sentences, sentence
from .look import DPI, FAINT, FONT, INK, MARGIN, PAPER, ROOM, SMALL, WIDTH, cut, short_name
from .projector import NOT_YOURS, PITCH, SIZE, ProjectorPage
from .save import Place, SavedPicture, save_figure

NAMES = 470.0  # pixels for the names of the alternatives
ROWS = 12  # alternatives shown at most
GAP = 36.0  # between two panels
TOP, HEADS = 800.0, 884.0  # of the panels, and the upper of the two lines that name them
TICKS = 64.0  # pixels below the panels
MIDDLE, LOWER = 0.16, -0.2  # of a row: where its two marks stand
_HEADS = {
    LOST: ("free swimming", "lost, %"),
    RECEIVED: ("chased an hour,", "model scale"),
    HIDDEN: ("hidden, %", "of lit time"),
    PINNED: ("pinned, %", "of the tanks"),
}


class _Mark(NamedTuple):
    """Where an alternative stands in a panel, for one of the two groups."""

    value: float
    low: float
    high: float
    told: bool
    row: float


def save_comparison(found: Comparison, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title, caption = f"What if: {found.title}", comparison_caption(found)
    return save_figure(comparison_picture(found), path, title=title, caption=caption)


def comparison_caption(found: Comparison) -> str:
    """What the picture shows, in words."""
    said = " ".join(f"{one.name}: {sentence(one, found)}" for one in found.against[:ROWS])
    return (
        f"Differences from the tank as it is for {found.whose} and for the worst-off fish of each simulated "
        f"tank, with 95 % intervals; further left is better. {said} {best_sentences(found)[0]} {NOT_YOURS}"
    )


def comparison_picture(found: Comparison) -> Figure:
    """The picture."""
    few, most = min(found.trials), max(found.trials)
    tanks = f"{few}" if few == most else f"{few} to {most}"
    over = f"over {many(found.months, 'month')}, " if found.months else ""
    below = f"{over}against the tank as it is, in {tanks} simulated tanks each; further left is better"
    page = ProjectorPage(f"What if? {found.title}", below=below, below_y=956)
    bottom = page.foot(_foot(page, found)) + TICKS
    shown = found.against[:ROWS]
    _names(page, [one.name for one in shown], pitch=(TOP - bottom) / len(shown))
    wide = (WIDTH - MARGIN - NAMES - (len(GOALS) - 1) * GAP) / len(GOALS)
    for k, goal in enumerate(GOALS):
        left = NAMES + k * (wide + GAP)
        for line, words in enumerate(_HEADS[goal]):
            page.put(words, left, HEADS - line * (PITCH - 6), room=wide + GAP - 8)
        _panel(page.axes_at(x=left, y=bottom, width=wide, height=TOP - bottom), shown, goal)
    return page.figure


def _names(page: ProjectorPage, names: Sequence[str], *, pitch: float) -> None:
    """Names of the rows, on as many lines as they need where the row is high enough."""
    size = max(SMALL, min(SIZE, 0.36 * pitch))
    most = max(1, int(pitch / page.pitch(size)))
    for k, name in enumerate(names):
        lines = page.lines(name, size=size, room=NAMES - MARGIN - 16, most=most)
        for text, y in zip(lines, page.heights(len(lines), TOP - (k + 0.5) * pitch, size=size), strict=True):
            page.put(text, MARGIN, y, size=size, va="center")


def _foot(page: ProjectorPage, found: Comparison) -> list[str]:
    """Which is best and what the marks mean."""
    name = found.whose if len(found.whose) < 32 else short_name(found.whose)
    key = f"● {name}; ▲ worst-off fish of each tank; ○ △ too close to call"
    best = page.lines(best_sentences(found)[0].replace(" %", "\u00a0%"), room=ROOM, most=2)
    lines = [*best, cut(key, size=SIZE, room=ROOM)]
    if len(found.against) > ROWS:
        lines.append(f"The first {ROWS} of {len(found.against)} alternatives; all are in the words.")
    return lines


def _panel(axes: Axes, against: Sequence[Against], goal: str) -> None:
    rows = len(against)
    size = min(17.5, 0.3 * axes.bbox.height / rows * 72 / DPI)  # so that the two of a row lie apart
    scale = 1.0 if goal == RECEIVED else 100.0
    marks = {marker: _marks(against, goal, scale, worst=marker == "^") for marker in "o^"}
    every = [x for some in marks.values() for one in some for x in (one.low, one.high, one.value) if x == x]
    low, high = min([0.0, *every]), max([0.0, *every])
    room = 0.08 * (high - low) or 1.0
    axes.set(xlim=(low - room, high + room), ylim=(-rows, 0.0), yticks=[])
    axes.axvline(0.0, color=INK, linewidth=3, zorder=1)
    for k in range(1, rows):
        axes.axhline(-k, color=FAINT, linewidth=1, zorder=0.5)
    style: dict[str, Any] = {"markersize": size, "markeredgecolor": INK, "markeredgewidth": 0.2 * size}
    for marker, some in marks.items():
        for one in some:
            axes.plot([one.low, one.high], [one.row] * 2, color=INK, linewidth=5, zorder=2)
            face = INK if one.told else PAPER
            axes.plot(one.value, one.row, marker=marker, markerfacecolor=face, zorder=3, **style)
    _ticks(axes)


def _marks(against: Sequence[Against], goal: str, scale: float, *, worst: bool) -> list[_Mark]:
    marks = []
    for k, one in enumerate(against):
        group = one.of(WORST) if worst else one.chosen
        assert group is not None
        found = group.figures[goal].difference
        if found.trials:
            row = -k - 0.5 + (LOWER if worst else MIDDLE)
            value, low, high = (scale * x for x in (found.value, found.low, found.high))
            marks.append(_Mark(value, low, high, group.figures[goal].told, row))
    return marks


def _ticks(axes: Axes) -> None:
    axes.xaxis.set_major_locator(MaxNLocator(nbins=3, min_n_ticks=2))
    signed = FuncFormatter(lambda value, _: f"{value:+.3g}".replace("-", "\u2212") if value else "0")
    axes.xaxis.set_major_formatter(signed)
    axes.tick_params(axis="x", labelsize=22, labelfontfamily=FONT, width=2, length=8)
    axes.spines[["top", "right", "left"]].set_visible(False)
