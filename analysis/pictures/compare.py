"""What if, for a projector: every alternative against the tank as it is, differences with their intervals.

Four panels side by side, so that fewer chases are never seen without hiding and pinning beside them. A
filled mark is told by the trials, an open one is not; marks differ by their shape.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from ..measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ..questions.compare.answer import WORST, Against, Comparison
from ..questions.compare.words import best_sentences, sentence
from .look import (
    DPI,
    FAINT,
    FONT,
    INK,
    LINE,
    MARGIN,
    PAPER,
    SMALL,
    WIDTH,
    axes_at,
    cut,
    new_page,
    wrapped,
    write,
)
from .save import SavedPicture, save_figure

SIZE, HEAD = 26.0, 34.0  # points; 26 are 36 pixels, a thirtieth of the height of the page
PITCH = 46.0  # pixels from line to line
NAMES = 470.0  # pixels for the names of the alternatives
ROWS = 12  # alternatives shown at most
GAP = 36.0  # between two panels
TOP, HEADS = 800.0, 884.0  # of the panels, and the upper of the two lines that name them
TICKS = 64.0  # pixels below the panels
MIDDLE, LOWER = 0.16, -0.2  # of a row: where its two marks stand
ROOM = WIDTH - 2 * MARGIN
_HEADS = {
    LOST: ("free swimming", "lost, points"),
    RECEIVED: ("chased an hour,", "model scale"),
    HIDDEN: ("hidden, points", "of lit time"),
    PINNED: ("pinned, points", "of the tanks"),
}


class _Mark(NamedTuple):
    """Where an alternative stands in a panel, for one of the two groups."""

    value: float
    low: float
    high: float
    told: bool
    row: float


def save_comparison(found: Comparison, path: str | os.PathLike[str]) -> SavedPicture:
    """Write the picture as a PNG of 1920 x 1080 pixels, replacing a file of that name.

    The caption stands in the file's ``Description`` too, for those who have the picture read to them.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    return save_figure(
        comparison_picture(found), path, title=f"What if: {found.title}", caption=comparison_caption(found)
    )


def comparison_caption(found: Comparison) -> str:
    """What the picture shows, in words."""
    said = " ".join(f"{one.name}: {sentence(one, found)}" for one in found.against[:ROWS])
    return (
        f"Differences from the tank as it is for {found.whose} and for the worst-off fish of each simulated "
        f"tank, with 95 % intervals; further left is better. {said} {best_sentences(found)[0]} Fish of the "
        "model, not yours."
    )


def comparison_picture(found: Comparison) -> Figure:
    """The picture."""
    figure, page = new_page()
    write(
        page,
        cut(f"What if? {found.title}", size=HEAD, room=ROOM, bold=True),
        x=MARGIN,
        y=1012,
        size=HEAD,
        weight="bold",
    )
    few, most = min(found.trials), max(found.trials)
    tanks = f"{few}" if few == most else f"{few} to {most}"
    below = f"against the tank as it is, in {tanks} simulated tanks each; further left is better"
    write(page, cut(below, size=SIZE, room=ROOM), x=MARGIN, y=956, size=SIZE)
    bottom = _foot(page, found) + TICKS
    shown = found.against[:ROWS]
    _names(page, [one.name for one in shown], pitch=(TOP - bottom) / len(shown))
    wide = (WIDTH - MARGIN - NAMES - (len(GOALS) - 1) * GAP) / len(GOALS)
    for k, goal in enumerate(GOALS):
        left = NAMES + k * (wide + GAP)
        for line, words in enumerate(_HEADS[goal]):
            y = HEADS - line * (PITCH - 6)
            write(page, cut(words, size=SIZE, room=wide + GAP - 8), x=left, y=y, size=SIZE)
        axes = axes_at(figure, x=left, y=bottom, width=wide, height=TOP - bottom)
        _panel(axes, shown, goal)
    return figure


def _names(page: Axes, names: Sequence[str], *, pitch: float) -> None:
    """Names of the rows, on two lines where one is too short and the row is high enough."""
    size = max(SMALL, min(SIZE, 0.36 * pitch))
    line, room = LINE * size * DPI / 72, NAMES - MARGIN - 16
    for k, name in enumerate(names):
        lines = wrapped(name, size=size, room=room)
        most = 2 if 2 * line < pitch else 1
        if len(lines) > most:
            lines = [*lines[: most - 1], cut(" ".join(lines[most - 1 :]), size=size, room=room)]
        for i, text in enumerate(lines):
            y = TOP - (k + 0.5) * pitch - (i - (len(lines) - 1) / 2) * line
            write(page, text, x=MARGIN, y=y, size=size, va="center")


def _foot(page: Axes, found: Comparison) -> float:
    """What the marks mean and which is best; returns the pixel where it ends."""
    genus, _, rest = found.whose.partition(" ")
    name = found.whose if len(found.whose) < 32 else f"{genus[:1]}. {rest}"
    lines = [
        *wrapped(best_sentences(found)[0].replace(" %", "\u00a0%"), size=SIZE, room=ROOM)[:2],
        cut(f"● {name}; ▲ worst-off fish of each tank; ○ △ the trials cannot tell", size=SIZE, room=ROOM),
    ]
    if len(found.against) > ROWS:
        lines.append(f"The first {ROWS} of {len(found.against)} alternatives; all are in the words.")
    for k, text in enumerate(reversed(lines)):
        write(page, text, x=MARGIN, y=30 + k * PITCH, size=SIZE)
    return 30 + len(lines) * PITCH


def _panel(axes: Axes, against: Sequence[Against], goal: str) -> None:
    rows = len(against)
    scale = 1.0 if goal == RECEIVED else 100.0
    marks = {
        "o": _marks(against, goal, scale, worst=False),
        "^": _marks(against, goal, scale, worst=True),
    }
    ends = [end for some in marks.values() for one in some for end in (one.low, one.high, one.value)]
    low, high = min([0.0, *_known(ends)]), max([0.0, *_known(ends)])
    room = 0.08 * (high - low) or 1.0
    axes.set(xlim=(low - room, high + room), ylim=(-rows, 0.0), yticks=[])
    axes.axvline(0.0, color=INK, linewidth=3, zorder=1)
    for k in range(1, rows):
        axes.axhline(-k, color=FAINT, linewidth=1, zorder=0.5)
    for marker, some in marks.items():
        for one in some:
            axes.plot([one.low, one.high], [one.row] * 2, color=INK, linewidth=5, zorder=2)
            axes.plot(
                one.value,
                one.row,
                marker=marker,
                markersize=17,
                markerfacecolor=INK if one.told else PAPER,
                markeredgecolor=INK,
                markeredgewidth=3.5,
                zorder=3,
            )
    _ticks(axes)


def _marks(against: Sequence[Against], goal: str, scale: float, *, worst: bool) -> list[_Mark]:
    marks = []
    for k, one in enumerate(against):
        group = one.of(WORST) if worst else one.chosen
        assert group is not None
        figure = group.figures[goal]
        found = figure.difference
        if found.trials:
            row = -k - 0.5 + (LOWER if worst else MIDDLE)
            value, low, high = (scale * x for x in (found.value, found.low, found.high))
            marks.append(_Mark(value, low, high, figure.told, row))
    return marks


def _known(values: Sequence[float]) -> list[float]:
    return [value for value in values if value == value]


def _ticks(axes: Axes) -> None:
    axes.xaxis.set_major_locator(MaxNLocator(nbins=3, min_n_ticks=2))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:+.3g}" if value else "0"))
    axes.tick_params(axis="x", labelsize=22, width=2, length=8)
    for label in axes.get_xticklabels():
        label.set_fontfamily(FONT)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
