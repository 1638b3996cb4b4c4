"""Slides that count: before and after, who chases whom, why, how much rock."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from ...sim.scenario.called import shown_name
from ..talk.deck import Deck, Slide
from ..talk.facts import SetUp
from ..talk.lines import SHORT_WAYS
from ..talk.paging import lines_of
from ..talk.plain import TEN, of_twenty, scaled, shown, tenths
from .look import MARGIN, ROOM, SpeciesLook, ink_on, species_looks
from .talk_fish import both_sexes, grid_of, tokens
from .talk_look import BODY, CEILING, FLOOR, Canvas, Theme

# pixels: names, the axis, numbers, small fish, counts
_AXIS, _AXIS_END, _NUMBERS, _FISH, _COUNTS = 480.0, 880.0, 910.0, 1245.0, 1672.0
_STEP = 41.0


def change_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """Every set-up on the same scale: free swimming lost, and tanks in which they were pinned."""
    rows, theme = [(place, deck.facts.setups[place]) for place in slide.places], canvas.theme
    top, bottom = CEILING - 66, FLOOR + 62
    lines = [lines_of(one.name) + (place > 0) for place, one in rows]
    highs = [min(170.0, (top - bottom) / len(rows))] * len(rows)
    if highs[0] < max(lines) * canvas.pitch():
        highs = [many * (top - bottom) / sum(lines) for many in lines]
    ends = np.concatenate([[0.0], np.cumsum(highs)])
    bottom = top - float(ends[-1])
    canvas.put("of 10 free hours lost", _AXIS, top + 20, bold=True)
    canvas.put("pinned, of simulated tanks", _FISH - 16, top + 20, bold=True)
    axes = canvas.axes_at(x=_AXIS, y=bottom, width=_AXIS_END - _AXIS, height=top - bottom)
    low = _lowest(rows)
    axes.set(xlim=(low - 0.3, 10.3), ylim=(-ends[-1], 0), yticks=[], xticks=[0, 5, 10])
    axes.axvline(0, color=theme.faint, linewidth=2, zorder=0.5)
    for k, (place, one) in enumerate(rows):
        down, pitch = float(ends[k] + ends[k + 1]) / 2, highs[k]
        middle = top - down
        if k % 2 == 0:
            canvas.rect(MARGIN - 20, middle - pitch / 2, ROOM + 40, pitch, facecolor=theme.panel, zorder=-2)
        _row(canvas, one, middle, pitch, is_base=place == 0)
        _dots(axes, one, -down, low=low, spread=pitch, theme=theme)


def _lowest(rows: list[tuple[int, SetUp]]) -> float:
    known = [TEN * value for _, one in rows for value in one.by_tank if math.isfinite(value)]
    return max(-5.0, min([0.0, *(math.floor(value) for value in known)]))


def _row(canvas: Canvas, one: SetUp, middle: float, pitch: float, *, is_base: bool) -> None:
    below = "" if is_base else SHORT_WAYS[one.way]
    most = max(1, int((pitch + 8) // canvas.pitch()) - bool(below))
    names = canvas.lines(one.name, room=_AXIS - MARGIN - 30, most=most)
    told = [(text, canvas.ink) for text in names] + [(below, canvas.faint)] * bool(below)
    for (text, colour), y in zip(told, canvas.heights(len(told), middle), strict=True):
        canvas.put(text, MARGIN, y, level=True, room=_AXIS - MARGIN - 20, color=colour)
    numbers = [f"{tenths(one.lost)} of 10"] if math.isfinite(one.lost) else ["not known"]
    if math.isfinite(one.lost + one.half):
        numbers.append(f"give or take {TEN * one.half:.1f}")
    for k, (text, y) in enumerate(zip(numbers, canvas.heights(len(numbers), middle), strict=True)):
        canvas.put(text, _NUMBERS, y, level=True, bold=k == 0)
    if not one.tanks:
        canvas.put("cannot be judged", _FISH, middle, level=True)
        return
    hits, of = scaled(one.pinned, one.tanks), shown(one.tanks)
    columns, high = min(10, of), 40.0
    first = middle + 0.5 * high * (-(-of // columns) - 1)
    tokens(
        canvas, grid_of(hits, of, x=_FISH, y=first, columns=columns, step=(_STEP, high)), long=38, width=1.8
    )
    _, about, count = of_twenty(one.pinned, one.tanks).rpartition("about ")
    words = [about.strip(), count] if about else [count]
    for text, y in zip(words, canvas.heights(len(words), middle), strict=True):
        canvas.put(text, _COUNTS, y, level=True, bold=True)


def _dots(axes: Axes, one: SetUp, row: float, *, low: float, spread: float, theme: Theme) -> None:
    """A ring for each tank, strewn up and down so that equal ones are seen; a bar at what they come to."""
    values = np.clip([TEN * value for value in one.by_tank if math.isfinite(value)], low, 10)
    aside = ((np.arange(len(values)) * 0.618034) % 1.0 - 0.5) * 0.5 * spread
    (rings,) = axes.plot(
        values, row + aside, "o", markersize=10, markeredgewidth=2.2, clip_on=False, zorder=2
    )
    rings.set(markerfacecolor=theme.paper, markeredgecolor=theme.ink)
    if math.isfinite(one.lost):
        at, ends = float(np.clip(TEN * one.lost, low, 10)), [row - 0.34 * spread, row + 0.34 * spread]
        for colour, width, order in ((theme.paper, 13, 1.5), (theme.accent, 7, 1.6)):
            axes.plot([at, at], ends, color=colour, linewidth=width, zorder=order)


# ---- who chases whom

_NAMES_WHO = 430.0


def who_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """A table of chases an hour between kinds, with what each hides below it."""
    chasers, theme = deck.facts.chasers, canvas.theme
    assert chasers is not None
    count, rates = len(chasers.groups), chasers.rates
    words = "chases an hour that one fish of the column gets in the model"
    canvas.put(words, MARGIN, CEILING - 40, room=ROOM)
    wide = min(420.0, (ROOM - _NAMES_WHO) / count)
    heads = [_in_parts(canvas, _look(deck, name)[0], room=wide - 14) for name in chasers.groups]
    bottom = FLOOR + 78
    top = CEILING - 66 - 78 - canvas.pitch() * max(map(len, heads))
    high = min(180.0, (top - bottom) / count)
    left, low = MARGIN + _NAMES_WHO, top - count * high
    most = max(float(rates.max()), 1.0)
    for i in range(count):
        y = top - (i + 1) * high
        _named(canvas, deck, chasers.groups[i], x=MARGIN, y=y + high / 2, room=_NAMES_WHO - 12)
        for j in range(count):
            shade = theme.shades(math.sqrt(rates[i, j] / most)) if rates[i, j] > 0 else theme.paper
            x = left + j * wide
            canvas.rect(x, y, wide, high, facecolor=shade, edgecolor=theme.faint, linewidth=1.5)
            style: dict[str, Any] = {"size": BODY, "bold": True, "color": ink_on(shade), "centred": True}
            canvas.put(_rate(float(rates[i, j])), x + wide / 2, y + high / 2, **style)
    for j, name in enumerate(chasers.groups):
        x = left + j * wide
        _headed(canvas, deck, name, heads[j], x=x + wide / 2, low=top + 14, lines=max(map(len, heads)))
        canvas.put(f"{10 * chasers.hidden[j]:.1f}", x + wide / 2, low - 52, ha="center", size=BODY)
        if name == deck.facts.watch:
            frame: dict[str, Any] = {"fill": False, "edgecolor": theme.ink, "linewidth": 8, "zorder": 4}
            canvas.rect(x, low, wide, count * high, **frame)
    canvas.put("hides, of 10 hours", MARGIN, low - 52, room=_NAMES_WHO - 20)


def _in_parts(canvas: Canvas, name: str, *, room: float) -> list[str]:
    """Lines of a name; a word that is wider than the room goes on in the next line, with a hyphen."""
    lines: list[str] = []
    for word in name.split():
        parts = -(-canvas.wide(word) // (room - canvas.wide("-"))) if canvas.wide(word) > room else 1
        step = -(-len(word) // int(parts))
        pieces = [word[k : k + step] for k in range(0, len(word), step)]
        pieces = [f"{piece}-" for piece in pieces[:-1]] + pieces[-1:]
        if lines and canvas.wide(f"{lines[-1]} {pieces[0]}") <= room:
            pieces[0] = f"{lines.pop()} {pieces[0]}"
        lines += pieces
    return lines


def _rate(rate: float) -> str:
    if rate <= 0:
        return "\u2013"
    if rate < 0.05:
        return "<0.1"
    return f"{rate:.1f}" if rate < 9.95 else f"{rate:.0f}"


def _look(deck: Deck, name: str) -> tuple[str, SpeciesLook | None]:
    """What a kind is called in a table; its look, where it is a species."""
    scenario = deck.facts.scenario
    look = species_looks((row.species for row in scenario.stock), scenario.species).get(name)
    typed = shown_name(scenario, name) if name in scenario.species else name
    return (look.short if typed == name else typed, look) if look else (name, None)


def _named(canvas: Canvas, deck: Deck, name: str, *, x: float, y: float, room: float) -> None:
    """A row: its fish, and its name."""
    short, look = _look(deck, name)
    start = x
    if look is not None:
        both_sexes(canvas.axes, look, x=x + 50, y=y, room=100, long=92)
        start = x + 112
    lines = _in_parts(canvas, short, room=room - (start - x))
    for line, at in zip(lines, canvas.heights(len(lines), y), strict=True):
        canvas.put(line, start, at, level=True)


def _headed(
    canvas: Canvas, deck: Deck, name: str, told: list[str], *, x: float, low: float, lines: int
) -> None:
    """A column: its fish over its name; names of all columns leave room for as many lines."""
    for k, line in enumerate(reversed(told)):
        canvas.put(line, x, low + k * canvas.pitch(), ha="center")
    _, look = _look(deck, name)
    if look is not None:
        high = low + lines * canvas.pitch() + 24
        both_sexes(canvas.axes, look, x=x, y=high, room=130, long=92)


# ---- how much rock

AMOUNTS = 8  # columns at most


def rock_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """A block of small fish for each amount of rock, filled for the tanks in which they were pinned."""
    assert deck.rock is not None
    answer, grid = deck.rock
    amounts = shown_amounts([one for one in answer.amounts if one.pinned.of])
    of = max(shown(one.pinned.of) for one in amounts)
    canvas.put(f"pinned, of {of} simulated tanks at each amount", MARGIN, CEILING - 40, room=ROOM)
    wide = ROOM / len(amounts)
    step = min(52.0, (wide - 36) / 4)
    tall = min(108.0, (CEILING - 300 - FLOOR) / 5)
    low = FLOOR + 200
    for k, one in enumerate(amounts):
        middle = MARGIN + (k + 0.5) * wide
        hits, of = scaled(one.pinned.hits, one.pinned.of), shown(one.pinned.of)
        first = {"x": middle - 1.5 * step, "y": low + 40}
        some = grid_of(hits, of, **first, columns=4, step=(step, tall), upwards=True)
        tokens(canvas, some, long=0.9 * step)
        count = f"{'~' if one.pinned.of > of else ''}{hits}{f' of {of}' if wide > 220 else ''}"
        canvas.put(count, middle, low - 48, ha="center", bold=True, size=BODY)
        words = _amount(one.values[0], grid.axes[0].name)
        canvas.put(words, middle, low - 100, ha="center", room=wide - 10)
        if one.own:
            frame: dict[str, Any] = {"fill": False, "edgecolor": canvas.theme.accent, "linewidth": 6}
            canvas.rect(middle - wide / 2 + 4, low - 122, wide - 8, 5 * tall + 130, **frame)
    told = "share of the floor under rock" if grid.axes[0].name == "cover" else grid.axes[0].title
    canvas.put(f"{told}; framed: your tank now", MARGIN, FLOOR + 22, room=ROOM, color=canvas.faint)


def _amount(value: float, axis: str) -> str:
    return f"{100 * value:.0f} %" if axis == "cover" else f"{value:g}"


def shown_amounts(amounts: list) -> list:  # type: ignore[type-arg]
    """As many as there is room for, evenly spread; the first, the last and the keeper's own always."""
    if len(amounts) <= AMOUNTS:
        return amounts
    kept = {round(x) for x in np.linspace(0, len(amounts) - 1, AMOUNTS - 1)}
    kept |= {k for k, one in enumerate(amounts) if one.own}
    return [amounts[k] for k in sorted(kept)]
