"""The front of plans for a projector and on a slide: how the worst-off fare by how many fish there are."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from ..document.plain import many, percent
from ..measures.plight import WORDS, bounds
from ..questions.best.answer import Best
from ..questions.best.files import whole_json
from ..questions.best.front import HEADING, Front, front_of
from ..statistics.front import not_beaten
from .look import FAINT, FONT, INK, MARGIN, MARKERS, PAPER, ROOM, Page
from .projector import NOT_YOURS, PITCH, SIZE, ProjectorPage
from .save import Place, SavedPicture, save_figure

LEFT, TOP, BESIDE = 170.0, 900.0, 760.0  # pixels: the scale, the upper end, the list of plans


class FrontLook(NamedTuple):
    """Colours of a front."""

    bands: tuple[str, str, str, str]  # from "at ease" to "shut away"
    by_species: tuple[str, ...]
    ink: str
    faint: str
    paper: str


PLAIN = FrontLook(
    ("#dcefe3", "#eef3dc", "#f7e7d0", "#f1d6d2"),
    ("#0b5563", "#7a3e9d", "#b35806", "#2f6b2f", "#8c2d4f", "#3d4a8f", "#6a6a66"),
    INK,
    FAINT,
    PAPER,
)


def save_best(found: Best, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    front = front_of(whole_json(found))
    title = f"The best a wish list allows: {front.title}"
    return save_figure(best_picture(front), path, title=title, caption=best_caption(front))


def best_caption(front: Front) -> str:
    """What the picture shows, in words."""
    return f"{front.said} {NOT_YOURS}"


def best_picture(front: Front) -> Figure:
    """The picture."""
    page = ProjectorPage(front.question, HEADING, below=front.title, below_y=956)
    foot = page.foot_of(" ".join(filter(None, [front.then, front_key(front), NOT_YOURS])))
    draw_front(page, front, PLAIN, top=TOP, low=foot)
    return page.figure


def front_key(front: Front) -> str:
    """What the marks are."""
    others = len(front.plans) - len(front.front)
    rest = f"; hollow: {many(others, 'other')} that were tried" if others else ""
    there = f" The {many(front.there, 'fish', 'fish')} there now are counted." if front.there > 0 else ""
    return f"{front.tanks} simulated tanks.{there} Bars: 95 % by the luck of the runs{rest}."


def draw_front(page: Page, front: Front, look: FrontLook, *, top: float, low: float) -> None:
    """The marks, and beside them the plans of the front in words, between two heights."""
    wide, bottom = ROOM - (LEFT - MARGIN) - BESIDE, low + 100.0
    axes = page.axes_at(x=LEFT, y=bottom, width=wide, height=top - bottom - 40.0)
    _frame(axes, front, look)
    _bands(axes, look)
    _others(axes, front, look)
    _front(axes, front, look)
    page.put("the worst-off fish keep", LEFT, top - 20.0, bold=True)
    axes.set_xlabel("fish in the tank", fontsize=SIZE, fontfamily=FONT, color=look.ink)
    _list(page, front, look, x=LEFT + wide + 50.0, top=top, low=low + 40.0)


def _bands(axes: Axes, look: FrontLook) -> None:
    """The four words as bands, those that can be seen named."""
    shown = axes.get_ylim()
    for word, (high, low), colour in zip(WORDS, pairwise((1.6, *bounds(), 0.0)), look.bands, strict=True):
        axes.axhspan(low, high, color=colour, zorder=0)
        top, bottom = min(high, shown[1]), max(low, shown[0])
        if top - bottom > 0.1 * (shown[1] - shown[0]):
            axes.text(0.015, (top + bottom) / 2.0, word, transform=axes.get_yaxis_transform(), ha="left",
                      va="center", fontsize=SIZE, family=FONT, color=look.faint, zorder=1)  # fmt: skip
    axes.set_ylim(shown)


def _others(axes: Axes, front: Front, look: FrontLook) -> None:
    for one in front.plans:
        if not one.number:
            axes.plot(one.fish, one.kept, marker=_mark(one.species), markersize=12, markerfacecolor="none",
                      markeredgecolor=_ink(look, one.species), markeredgewidth=2, alpha=0.55,
                      zorder=2)  # fmt: skip


def _front(axes: Axes, front: Front, look: FrontLook) -> None:
    """The plans of the front; the line joins those that none with as many fish beats in how they fare."""
    shown = front.front
    stays = not_beaten([(one.fish, one.kept) for one in shown])
    steps = sorted((one.fish, one.kept) for one, stay in zip(shown, stays, strict=True) if stay)
    axes.plot(*zip(*steps, strict=True), color=look.ink, linewidth=3, linestyle=(0, (3, 2)), zorder=3)
    for one in shown:
        colour = _ink(look, one.species)
        if math.isfinite(one.low) and math.isfinite(one.high):
            axes.vlines(one.fish, one.low, one.high, color=colour, linewidth=6, zorder=4)
        axes.plot(one.fish, one.kept, marker=_mark(one.species), markersize=26, color=colour,
                  markeredgecolor=look.paper, markeredgewidth=3, zorder=5)  # fmt: skip
        is_left = any(0 < other.fish - one.fish < 3 for other in shown)
        aside = (-18, 24) if is_left else (22, 0)
        box = {"facecolor": look.paper, "edgecolor": "none", "pad": 2, "alpha": 0.8}
        axes.annotate(str(one.number), (one.fish, one.kept), aside, textcoords="offset points", va="center",
                      ha="right" if is_left else "left", fontsize=SIZE, family=FONT,
                      color=colour, weight="bold", zorder=6, bbox=box)  # fmt: skip


def _frame(axes: Axes, front: Front, look: FrontLook) -> None:
    fish = [one.fish for one in front.plans]
    kept = [one.kept for one in front.plans]
    kept += [end for one in front.front for end in (one.low, one.high) if math.isfinite(end)]
    wide = max(2.0, 0.4 * (max(fish) - min(fish)))
    axes.set_xlim(min(fish) - wide, max(fish) + 0.4 * wide)
    axes.set_ylim(max(0.0, min(kept) - 0.03), max(max(kept) + 0.03, 0.6))
    axes.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    ticks = np.arange(0.0, 1.05, 0.1)
    low, high = axes.get_ylim()
    shown = [tick for tick in ticks if low <= tick <= high]
    axes.set_yticks(shown, [percent(tick) for tick in shown])
    axes.tick_params(labelsize=SIZE, labelfontfamily=FONT, colors=look.ink, length=6, width=2)


def _list(page: Page, front: Front, look: FrontLook, *, x: float, top: float, low: float) -> None:
    """The plans of the front in words, each with its number, then what the marks say."""
    y = top - 20.0
    for told, one in enumerate(front.front):
        lines = page.lines(_whole(one.stock), room=MARGIN + ROOM - x - 34.0, most=4)
        more = len(front.front) - told - 1  # a line is left for them
        if y - (len(lines) + (more > 0)) * PITCH < low + PITCH:
            page.put(f"and {many(more + 1, 'plan')} more", x, y)
            break
        head = f"{one.number}  {many(one.fish, 'fish', 'fish')}, {percent(one.kept)}"
        page.put(head, x, y, bold=True, color=_ink(look, one.species))
        for line in lines:
            y -= PITCH
            page.put(line, x + 34.0, y)
        y -= 1.2 * PITCH
    at = x
    for kinds in sorted({one.species for one in front.plans}):
        mark, ink = _mark(kinds), _ink(look, kinds)
        page.axes.plot([at + 14.0], [low + 10.0], marker=mark, markersize=16, color=ink)
        page.put(str(kinds), at + 38.0, low)
        at += 90.0
    page.put("species", at, low)


def _whole(stock: str) -> str:
    """Lines end between species alone."""
    return re.sub(r"(?<!,) ", "\u00a0", stock)


def _mark(species: int) -> str:
    return MARKERS[species % len(MARKERS)]


def _ink(look: FrontLook, species: int) -> str:
    return look.by_species[species % len(look.by_species)]
