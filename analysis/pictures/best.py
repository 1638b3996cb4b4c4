"""The front of plans for a projector: how the worst-off fare against how many fish and species there are."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from ..document.plain import many, percent
from ..measures.plight import WORDS, bounds
from ..questions.best.answer import Best, Tried
from ..questions.best.brief import brief_of
from ..questions.best.said import stock_briefly
from ..statistics.front import not_beaten
from .look import FAINT, FONT, INK, MARGIN, MARKERS, PAPER, ROOM
from .projector import NOT_YOURS, PITCH, SIZE, ProjectorPage
from .save import Place, SavedPicture, save_figure

LEFT, TOP, BESIDE = 170.0, 900.0, 760.0  # pixels: the scale, the upper end, the list of plans
BANDS = ("#dcefe3", "#eef3dc", "#f7e7d0", "#f1d6d2")  # from "at ease" to "shut away"
BY_SPECIES = ("#0b5563", "#7a3e9d", "#b35806", "#2f6b2f", "#8c2d4f", "#3d4a8f", "#6a6a66")


def save_best(found: Best, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title = f"The best a wish list allows: {found.plan.scenario.title}"
    return save_figure(best_picture(found), path, title=title, caption=best_caption(found))


def best_caption(found: Best) -> str:
    """What the picture shows, in words."""
    plans = "; ".join(
        f"{stock_briefly(found, one)}: {many(one.fish, 'fish', 'fish')}, {percent(one.kept.value)}"
        for one in found.front
    )
    return (
        "How much of their swimming about the worst-off fish of each plan keep, by how many fish there are. "
        f"Large marks with a number are plans that no other beats in everything: {plans}. Small hollow marks "
        f"are all others that were tried. {brief_of(found).then} {NOT_YOURS}"
    )


def best_picture(found: Best) -> Figure:
    """The picture."""
    below = f"{found.tanks} simulated tanks of {len(found.tried)} stocks; bars: 95 % by the luck of the runs"
    page = ProjectorPage(brief_of(found).question, found.plan.scenario.title, below=below)
    bottom = page.foot_of(" ".join(filter(None, [brief_of(found).then, NOT_YOURS]))) + 100.0
    wide = ROOM - (LEFT - MARGIN) - BESIDE
    axes = page.axes_at(x=LEFT, y=bottom, width=wide, height=TOP - bottom - 40.0)
    _frame(axes, found)
    _bands(axes)
    _others(axes, found)
    _front(axes, found)
    page.put("the worst-off fish keep", LEFT, TOP - 20.0, bold=True)
    axes.set_xlabel("fish in the tank", fontsize=SIZE, fontfamily=FONT, color=INK)
    _list(page, found, x=LEFT + wide + 50.0, low=bottom - 60.0)
    return page.figure


def _bands(axes: Axes) -> None:
    """The four words as bands, those that can be seen named."""
    shown = axes.get_ylim()
    for word, (high, low), colour in zip(WORDS, pairwise((1.6, *bounds(), 0.0)), BANDS, strict=True):
        axes.axhspan(low, high, color=colour, zorder=0)
        top, bottom = min(high, shown[1]), max(low, shown[0])
        if top - bottom > 0.06 * (shown[1] - shown[0]):
            axes.text(0.015, (top + bottom) / 2.0, word, transform=axes.get_yaxis_transform(), ha="left",
                      va="center", fontsize=SIZE, family=FONT, color=FAINT, zorder=1)  # fmt: skip
    axes.set_ylim(shown)


def _others(axes: Axes, found: Best) -> None:
    front = {one.place for one in found.front}
    for one in found.tried:
        if one.place not in front:
            axes.plot(one.fish, one.kept.value, marker=_marker(one), markersize=12, markerfacecolor="none",
                      markeredgecolor=_colour(one), markeredgewidth=2, alpha=0.55, zorder=2)  # fmt: skip


def _front(axes: Axes, found: Best) -> None:
    """The plans of the front; the line joins those that none with as many fish beats in how they fare."""
    stays = not_beaten([(one.fish, one.kept.value) for one in found.front])
    steps = sorted((one.fish, one.kept.value) for one, stay in zip(found.front, stays, strict=True) if stay)
    axes.plot(*zip(*steps, strict=True), color=INK, linewidth=3, linestyle=(0, (3, 2)), zorder=3)
    for number, one in enumerate(found.front, 1):
        kept = one.kept
        if math.isfinite(kept.low):
            axes.vlines(one.fish, kept.low, kept.high, color=_colour(one), linewidth=6, zorder=4)
        axes.plot(one.fish, kept.value, marker=_marker(one), markersize=26, color=_colour(one),
                  markeredgecolor=PAPER, markeredgewidth=3, zorder=5)  # fmt: skip
        is_left = any(0 < other.fish - one.fish < 3 for other in found.front)
        aside = (-18, 24) if is_left else (22, 0)
        axes.annotate(str(number), (one.fish, kept.value), aside, textcoords="offset points", va="center",
                      ha="right" if is_left else "left", fontsize=SIZE, family=FONT,
                      color=_colour(one), weight="bold", zorder=6,
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 2, "alpha": 0.8})  # fmt: skip


def _frame(axes: Axes, found: Best) -> None:
    fish = [one.fish for one in found.tried]
    kept = [one.kept.value for one in found.tried]
    kept += [end for one in found.front for end in (one.kept.low, one.kept.high) if math.isfinite(end)]
    wide = max(2.0, 0.4 * (max(fish) - min(fish)))
    axes.set_xlim(min(fish) - wide, max(fish) + 0.4 * wide)
    axes.set_ylim(max(0.0, min(kept) - 0.03), max(max(kept) + 0.03, 0.6))
    axes.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    ticks = np.arange(0.0, 1.05, 0.1)
    low, high = axes.get_ylim()
    shown = [tick for tick in ticks if low <= tick <= high]
    axes.set_yticks(shown, [percent(tick) for tick in shown])
    axes.tick_params(labelsize=SIZE, labelfontfamily=FONT, colors=INK, length=6, width=2)


def _list(page: ProjectorPage, found: Best, *, x: float, low: float) -> None:
    """The plans of the front in words, each with its number, then what the marks say."""
    y = TOP - 20.0
    for number, one in enumerate(found.front, 1):
        lines = page.lines(_whole(stock_briefly(found, one)), room=MARGIN + ROOM - x - 34.0, most=3)
        if y - (1 + len(lines)) * PITCH < low + PITCH:
            break
        head = f"{number}  {many(one.fish, 'fish', 'fish')}, {percent(one.kept.value)}"
        page.put(head, x, y, bold=True, color=_colour(one))
        for line in lines:
            y -= PITCH
            page.put(line, x + 34.0, y)
        y -= 1.2 * PITCH
    at = x
    for kinds in sorted({one.species for one in found.tried}):
        page.axes.plot([at + 14.0], [low + 10.0], marker=_mark(kinds), markersize=16, color=_ink(kinds))
        page.put(str(kinds), at + 38.0, low)
        at += 90.0
    page.put("species", at, low)


def _whole(stock: str) -> str:
    """Lines end between species alone."""
    return re.sub(r"(?<!,) ", "\u00a0", stock)


def _mark(species: int) -> str:
    return MARKERS[species % len(MARKERS)]


def _ink(species: int) -> str:
    return BY_SPECIES[species % len(BY_SPECIES)]


def _marker(one: Tried) -> str:
    return _mark(one.species)


def _colour(one: Tried) -> str:
    return _ink(one.species)
