"""Slides that count: before and after, who chases whom, why, how much rock."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.patches import Rectangle

from ..talk.facts import Facts, SetUp
from ..talk.lines import SHORT_WAYS
from ..talk.plain import TEN, of_twenty, scaled, shown, tenths
from ..talk.slides import Deck, Slide
from .look import MARGIN, ink_on
from .look import species_looks as looks_of
from .talk_fish import grid_of, pattern_of, species_fish, tokens
from .talk_look import (
    BODY,
    CEILING,
    FLOOR,
    ROOM,
    SMALL,
    Canvas,
    Theme,
    axes_on,
    heading,
    line_pitch,
    lines_in,
    new_canvas,
    put,
)

SET_UPS = 6  # rows of before and after
# pixels: names, the axis, numbers, small fish, counts
_AXIS, _AXIS_END, _NUMBERS, _FISH, _COUNTS = 480.0, 880.0, 910.0, 1245.0, 1672.0
_STEP = 41.0


def change_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """Every set-up on the same scale: free swimming lost, and tanks in which they were pinned."""
    canvas, facts = new_canvas(theme), deck.facts
    heading(canvas, slide.title)
    rows = shown_setups(facts)
    top, bottom = CEILING - 66, FLOOR + 62
    pitch = min(170.0, (top - bottom) / len(rows))
    bottom = top - pitch * len(rows)
    put(canvas, "of 10 free hours lost", x=_AXIS, y=top + 20, bold=True)
    put(canvas, "pinned, of simulated tanks", x=_FISH - 16, y=top + 20, bold=True)
    axes = axes_on(canvas, x=_AXIS, y=bottom, width=_AXIS_END - _AXIS, height=top - bottom)
    low = _lowest(rows)
    axes.set(xlim=(low - 0.3, 10.3), ylim=(-len(rows), 0), yticks=[], xticks=[0, 5, 10])
    axes.axvline(0, color=theme.faint, linewidth=2, zorder=0.5)
    for k, (place, one) in enumerate(rows):
        middle = top - (k + 0.5) * pitch
        if k % 2 == 0:
            panel = Rectangle(
                (MARGIN - 20, middle - pitch / 2), ROOM + 40, pitch, facecolor=theme.panel, zorder=-2
            )
            canvas.page.add_patch(panel)
        _row(canvas, one, middle, pitch, is_base=place == 0)
        _dots(axes, one, -k - 0.5, low=low, theme=theme)
    return canvas


def shown_setups(facts: Facts) -> list[tuple[int, SetUp]]:
    """The base, then the alternatives as far as there is room; the best one always."""
    rows = list(enumerate(facts.setups))
    if len(rows) <= SET_UPS:
        return rows
    kept = rows[:SET_UPS]
    if facts.best is not None and facts.best >= SET_UPS:
        kept[-1] = rows[facts.best]
    return kept


def _lowest(rows: list[tuple[int, SetUp]]) -> float:
    known = [TEN * value for _, one in rows for value in one.by_tank if math.isfinite(value)]
    return max(-5.0, min([0.0, *(math.floor(value) for value in known)]))


def _row(canvas: Canvas, one: SetUp, middle: float, pitch: float, *, is_base: bool) -> None:
    theme, line = canvas.theme, line_pitch(SMALL)
    below = "" if is_base else SHORT_WAYS[one.way]
    most = max(1, int((pitch - 8) // line) - bool(below))
    lines = lines_in(one.name, size=SMALL, room=_AXIS - MARGIN - 30, most=min(2, most))
    told = [(text, theme.ink) for text in lines] + ([(below, theme.faint)] if below else [])
    for k, (text, colour) in enumerate(told):
        y = middle + (len(told) / 2 - k - 0.5) * line
        put(canvas, text, x=MARGIN, y=y, va="center_baseline", room=_AXIS - MARGIN - 20, color=colour)
    if math.isfinite(one.lost):
        numbers = [f"{tenths(one.lost)} of 10"]
        if math.isfinite(one.half):
            numbers.append(f"give or take {TEN * one.half:.1f}")
    else:
        numbers = ["cannot be told"]
    for k, text in enumerate(numbers):
        y = middle + (len(numbers) / 2 - k - 0.5) * line
        put(canvas, text, x=_NUMBERS, y=y, va="center_baseline", bold=k == 0)
    if one.tanks:
        hits, of = scaled(one.pinned, one.tanks), shown(one.tanks)
        columns = min(10, of)
        step = (_STEP, 40.0)
        first = middle + 0.5 * step[1] * (-(-of // columns) - 1)
        some = grid_of(hits, of, x=_FISH, y=first, columns=columns, step=step)
        tokens(canvas.page, some, long=38, theme=theme, width=1.8)
        counted = of_twenty(one.pinned, one.tanks)
        words = ["about", counted.removeprefix("about ")] if counted.startswith("about ") else [counted]
        for k, text in enumerate(words):
            y = middle + (len(words) / 2 - k - 0.5) * line
            put(canvas, text, x=_COUNTS, y=y, va="center_baseline", bold=True)
    else:
        put(canvas, "cannot be judged", x=_FISH, y=middle, va="center_baseline")


def _dots(axes, one: SetUp, row: float, *, low: float, theme: Theme) -> None:  # type: ignore[no-untyped-def]
    """A ring for each tank, strewn up and down so that equal ones are seen; a bar at what they come to."""
    values = np.clip([TEN * value for value in one.by_tank if math.isfinite(value)], low, 10)
    aside = ((np.arange(len(values)) * 0.618034) % 1.0 - 0.5) * 0.5
    style = {"linestyle": "none", "marker": "o", "markersize": 10, "markeredgewidth": 2.2}
    axes.plot(
        values,
        row + aside,
        markerfacecolor=theme.paper,
        markeredgecolor=theme.ink,
        clip_on=False,
        zorder=2,
        **style,
    )
    if math.isfinite(one.lost):
        at = float(np.clip(TEN * one.lost, low, 10))
        axes.plot([at, at], [row - 0.34, row + 0.34], color=theme.paper, linewidth=13, zorder=1.5)
        axes.plot([at, at], [row - 0.34, row + 0.34], color=theme.accent, linewidth=7, zorder=1.6)


# ---- who chases whom

_NAMES_WHO = 430.0


def who_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """A table of chases an hour between kinds, with what each hides below it."""
    canvas, chasers = new_canvas(theme), deck.facts.chasers
    assert chasers is not None
    heading(canvas, slide.title)
    count, rates = len(chasers.groups), chasers.rates
    put(
        canvas,
        "chases an hour that one fish of the column gets (model scale)",
        x=MARGIN,
        y=CEILING - 40,
        room=ROOM,
    )
    head, bottom = 170.0, FLOOR + 78
    top = CEILING - 66 - head
    high = min(180.0, (top - bottom) / count)
    wide = min(420.0, (ROOM - _NAMES_WHO) / count)
    left, low = MARGIN + _NAMES_WHO, top - count * high
    most = max(float(rates.max()), 1.0)
    for i in range(count):
        y = top - (i + 1) * high
        _named(canvas, deck, chasers.groups[i], x=MARGIN, y=y + high / 2, room=_NAMES_WHO - 20)
        for j in range(count):
            shade = theme.shades(math.sqrt(rates[i, j] / most)) if rates[i, j] > 0 else theme.paper
            x = left + j * wide
            canvas.page.add_patch(
                Rectangle((x, y), wide, high, facecolor=shade, edgecolor=theme.faint, linewidth=1.5)
            )
            ink = ink_on(shade)
            text = _rate(float(rates[i, j]))
            put(canvas, text, x=x + wide / 2, y=y + high / 2, size=BODY, bold=True, color=ink, ha="center",
                va="center_baseline")  # fmt: skip
    lines = max(len(_head_lines(deck, name, wide - 14)) for name in chasers.groups)
    for j, name in enumerate(chasers.groups):
        middle = left + (j + 0.5) * wide
        _headed(canvas, deck, name, x=middle, low=top + 14, room=wide - 14, lines=lines)
        told = f"{10 * chasers.hidden[j]:.1f}"
        put(canvas, told, x=middle, y=low - 52, ha="center", size=BODY)
        if name == deck.facts.watch:
            frame = Rectangle((left + j * wide, low), wide, count * high, fill=False, edgecolor=theme.ink)
            frame.set(linewidth=8, zorder=4)
            canvas.page.add_patch(frame)
    put(canvas, "hides, of 10 hours", x=MARGIN, y=low - 52, room=_NAMES_WHO - 20)
    return canvas


def _rate(rate: float) -> str:
    if rate <= 0:
        return "\u2013"
    if rate < 0.05:
        return "<0.1"
    return f"{rate:.1f}" if rate < 9.95 else f"{rate:.0f}"


def _looks(deck: Deck) -> dict:  # type: ignore[type-arg]
    return looks_of(row.species for row in deck.facts.scenario.stock)


def _short(deck: Deck, name: str) -> str:
    looks = _looks(deck)
    return looks[name].short if name in looks else name


def _named(canvas: Canvas, deck: Deck, name: str, *, x: float, y: float, room: float) -> None:
    """A row: its fish, and its name."""
    start = x
    looks = _looks(deck)
    if name in looks:
        k = list(looks).index(name)
        species_fish(canvas.page, looks[name], pattern=pattern_of(k), x=x + 50, y=y, long=92)
        start = x + 112
    put(canvas, _short(deck, name), x=start, y=y, room=room - (start - x), va="center_baseline")


def _head_lines(deck: Deck, name: str, room: float) -> list[str]:
    return lines_in(_short(deck, name), size=SMALL, room=room, most=2)


def _headed(canvas: Canvas, deck: Deck, name: str, *, x: float, low: float, room: float, lines: int) -> None:
    """A column: its fish over its name; names of all columns leave room for as many lines."""
    looks = _looks(deck)
    for k, line in enumerate(reversed(_head_lines(deck, name, room))):
        put(canvas, line, x=x, y=low + k * line_pitch(SMALL), ha="center", room=room)
    if name in looks:
        k = list(looks).index(name)
        high = low + lines * line_pitch(SMALL) + 24
        species_fish(canvas.page, looks[name], pattern=pattern_of(k), x=x, y=high, long=92)


# ---- how much rock

AMOUNTS = 8  # columns at most


def rock_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """A block of small fish for each amount of rock, filled for the tanks in which they were pinned."""
    canvas = new_canvas(theme)
    assert deck.rock is not None
    answer, grid = deck.rock
    heading(canvas, slide.title)
    amounts = shown_amounts([one for one in answer.amounts if one.pinned.of])
    of = max(shown(one.pinned.of) for one in amounts)
    put(canvas, f"pinned, of {of} simulated tanks at each amount", x=MARGIN, y=CEILING - 40, room=ROOM)
    wide = ROOM / len(amounts)
    step = min(52.0, (wide - 36) / 4)
    tall = min(108.0, (CEILING - 300 - FLOOR) / 5)
    low = FLOOR + 200
    for k, one in enumerate(amounts):
        middle = MARGIN + (k + 0.5) * wide
        first = middle - 1.5 * step
        hits = scaled(one.pinned.hits, one.pinned.of)
        some = grid_of(
            hits, shown(one.pinned.of), x=first, y=low + 40, columns=4, step=(step, tall), upwards=True
        )
        tokens(canvas.page, some, long=0.9 * step, theme=theme)
        about = "~" if one.pinned.of > shown(one.pinned.of) else ""
        put(canvas, f"{about}{hits} of {shown(one.pinned.of)}" if wide > 220 else f"{about}{hits}", x=middle,
            y=low - 48, ha="center", bold=True, size=BODY)  # fmt: skip
        put(
            canvas,
            _amount(one.values[0], grid.axes[0].name),
            x=middle,
            y=low - 100,
            ha="center",
            room=wide - 10,
        )
        if one.own:
            frame = Rectangle((middle - wide / 2 + 4, low - 122), wide - 8, 5 * tall + 130, fill=False)
            frame.set(edgecolor=theme.accent, linewidth=6)
            canvas.page.add_patch(frame)
    told = "rock on so much of the floor" if grid.axes[0].name == "cover" else grid.axes[0].title
    put(canvas, f"{told}; framed: your tank now", x=MARGIN, y=FLOOR + 22, room=ROOM, color=theme.faint)
    return canvas


def _amount(value: float, axis: str) -> str:
    return f"{100 * value:.0f} %" if axis == "cover" else f"{value:g}"


def shown_amounts(amounts: list) -> list:  # type: ignore[type-arg]
    """As many as there is room for, evenly spread; the first, the last and the keeper's own always."""
    if len(amounts) <= AMOUNTS:
        return amounts
    kept = {round(x) for x in np.linspace(0, len(amounts) - 1, AMOUNTS - 1)}
    kept |= {k for k, one in enumerate(amounts) if one.own}
    return [amounts[k] for k in sorted(kept)]
