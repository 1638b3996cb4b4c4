"""The slide of a life: curves of what each kind keeps, dated changes numbered, tanks gone wrong below."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from ..document.typed import Typed
from ..questions.life.drawn import DrawnLife
from ..questions.life.reach import MONTH_D
from ..talk.deck import Deck, Slide
from .look import FONT, LINES, MARGIN, MARKERS, ROOM, short_name
from .talk_look import CEILING, FLOOR, SMALL, Canvas, Theme

_LEFT, _KEY = 190.0, 560.0  # pixels for the numbers beside the curves, and for the names
_MOST = 3  # lines along the bottom


def life_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """Month by month."""
    life = deck.plans[slide.place]
    assert isinstance(life, DrawnLife)
    said = life.said.replace(" %", "\u00a0%")
    high = len(canvas.lines(said, room=ROOM, most=_MOST)) * canvas.pitch()
    canvas.block(said, MARGIN, FLOOR + high - 8, room=ROOM, most=_MOST)
    low = FLOOR + high + 62 + 2 * canvas.pitch()
    wide = ROOM - (_LEFT - MARGIN) - _KEY
    axes = canvas.axes_at(x=_LEFT, y=low, width=wide, height=CEILING - 60 - low)
    draw_kept(axes, life, theme=canvas.theme)
    canvas.put("free swimming kept", _LEFT, CEILING - 40, bold=True)
    canvas.put("month", _LEFT - 30, low - 50, ha="right", level=True)
    for text, y in (("gone wrong by then,", low - 62), (f"of {life.tanks} tanks", low - 62 - canvas.pitch())):
        canvas.put(text, _LEFT + wide + 30, y, room=_KEY - 30, level=True, color=canvas.faint)
    for k, count in enumerate(life.wrong):
        x = _LEFT + wide * (k + 0.6) / (life.months + 0.2)
        if k % max(1, life.months // 12) == 0:
            canvas.put(str(count), x, low - 84, ha="center", level=True, color=canvas.faint)
    typed = Typed(deck.facts.scenario)
    _key(canvas, life, typed, x=_LEFT + wide + 40, top=CEILING - 90, low=low)


def draw_kept(axes: Axes, life: DrawnLife, *, theme: Theme) -> None:
    """The curves, each with its own mark and dashes, and numbered lines where something is dated."""
    x = np.arange(1, life.months + 1, dtype=float)
    for k, (own, colour) in enumerate(zip(life.kept.values(), colours(theme), strict=False)):
        y = np.array([np.nan if one is None else one for one in own])
        style = {"color": colour, "marker": MARKERS[k], "markersize": 15, "linestyle": LINES[k]}
        axes.plot(x, y, linewidth=6 if k == 0 else 3.5, **style)
    for month, ends in zip(x, life.ends, strict=True):
        if ends is not None:
            axes.vlines(month, *ends, color=theme.ink, linewidth=4, alpha=0.6)
    for k, (_, days) in enumerate(life.dates, 1):
        for day in days:
            axes.axvline(day / MONTH_D + 0.5, color=theme.faint, linewidth=3, linestyle=(0, (2, 2)), zorder=0)
        where = days[0] / MONTH_D + 0.5
        axes.text(
            where,
            0.04,
            str(k),
            fontsize=SMALL,
            fontfamily=FONT,
            color=theme.ink,
            ha="center",
            va="bottom",
            bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 3},
        )
    axes.set(xlim=(0.4, life.months + 0.6), ylim=(0.0, 1.05))
    axes.xaxis.set_major_locator(MaxNLocator(min(12, life.months), integer=True))
    axes.set_yticks([0.0, 0.5, 1.0], ["0 %", "50 %", "100 %"])
    axes.grid(axis="y", color=theme.panel, linewidth=2)
    axes.set_axisbelow(True)


def colours(theme: Theme) -> tuple[str, str, str]:
    """Of the curves, the first the one it is about."""
    return theme.ink, theme.accent, theme.faint


def _key(canvas: Canvas, life: DrawnLife, typed: Typed, *, x: float, top: float, low: float) -> None:
    y = top
    for k, (name, colour) in enumerate(zip(life.kept, colours(canvas.theme), strict=False)):
        canvas.axes.plot([x + 16], [y + 2], marker=MARKERS[k], markersize=15, color=colour)
        for line in canvas.lines(typed.name(short_name(name)), room=_KEY - 100, most=2):
            canvas.put(line, x + 50, y, level=True)
            y -= canvas.pitch()
    y -= canvas.pitch() / 2
    for text in life.dated_said:
        left = int((y - low) / canvas.pitch())
        if left < 1:
            return
        lines = canvas.lines(typed.name(text), room=_KEY - 40, most=left)
        for line in lines:
            canvas.put(line, x, y, level=True, color=canvas.faint)
            y -= canvas.pitch()
