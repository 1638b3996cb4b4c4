"""Chases over the measured time of one trial, never without the hidden share beside them."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from .captions import Names, day_caption, names_of, subtitle
from .look import (
    BODY,
    FAINT,
    FONT,
    INK,
    MARGIN,
    PAPER,
    SMALL,
    WIDTH,
    axes_at,
    cut,
    foot,
    head,
    ink_on,
    new_page,
    text_width,
    write,
)
from .parts import TrialParts, over, taken_out
from .placing import spread_along

Floats = NDArray[np.float64]

_MARKED = 30  # hours up to which each has a mark of its own
_NAMES_ROOM = 330.0  # pixels for the names at the right
_LETTERS_ROOM = 64.0
_DAYS_NAMED = 6
_LABEL_GAP = 34.0


def chases_over_the_day(parts: TrialParts) -> Figure:
    """Chases received per fish and lit hour by species, and the share of the hour that it hid."""
    names = names_of(parts)
    chased, hidden = by_species_and_hour(parts)
    figure, page = new_page()
    top = head(page, title="Chases over the measured hours, and who hid", below=subtitle(parts))
    bottom = foot(page, day_caption(parts, names))
    low, high = bottom + 110.0, top - 70.0
    width = (WIDTH - 2 * MARGIN - 2 * 96.0 - _LETTERS_ROOM - _NAMES_ROOM - 20.0) / 2
    left = MARGIN + 96.0
    right = left + width + _LETTERS_ROOM + 20.0 + 96.0
    rates = axes_at(figure, x=left, y=low, width=width, height=high - low)
    shares = axes_at(figure, x=right, y=low, width=width, height=high - low)
    most = max((float(np.nanmax(line)) for line in chased.values() if np.isfinite(line).any()), default=0.0)
    # headroom for the names of days and departures
    rates.set_ylim(0.0, 1.16 * most if most > 0 else 1.0)
    shares.set_ylim(0.0, 116.0)
    heading: dict[str, Any] = {"size": BODY, "weight": "bold"}
    _lines(rates, parts, names, chased)
    _lines(shares, parts, names, {name: 100.0 * line for name, line in hidden.items()})
    write(page, "chased, times per fish and lit hour", x=left - 84.0, y=high + 22.0, **heading)
    write(page, "hidden, % of the hour", x=right - 84.0, y=high + 22.0, **heading)
    _name_lines(page, parts, names, chased, rates, at=(left + width, low, high), words=False)
    percent = {name: 100.0 * line for name, line in hidden.items()}
    _name_lines(page, parts, names, percent, shares, at=(right + width, low, high), words=True)
    return figure


def by_species_and_hour(parts: TrialParts) -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Chases received per fish and lit hour, and share of lit time hidden, [h]; nan with none in."""
    lit, hid = parts.hours_of("lit"), parts.hours_of("hidden")
    received = parts.ledger.hours["chased"].astype(float)
    chased, hidden = {}, {}
    for name in dict.fromkeys(parts.species[i] for i in parts.here):
        own = np.array([species == name for species in parts.species])
        time = lit[own].sum(axis=0)
        chased[name] = over(received[own].sum(axis=0), time)
        hidden[name] = over(hid[own].sum(axis=0), time)
    return chased, hidden


def day_starts(parts: TrialParts) -> list[tuple[float, int]]:
    """Hours since measuring began at which a day starts, and the number of that day, the first being 1."""
    began = float(parts.ledger.state["measured_from"][0]) * parts.tick_s / 3600.0
    hours = parts.ledger.hours.shape[1]
    first = int(np.ceil(began / parts.lit_hours - 1e-9))
    last = int(np.ceil((began + hours) / parts.lit_hours - 1e-9))
    return [(day * parts.lit_hours - began, day + 1) for day in range(first, last)]


def _lines(axes: Axes, parts: TrialParts, names: Names, values: dict[str, Floats]) -> None:
    hours = parts.ledger.hours.shape[1]
    middle = np.arange(hours) + 0.5
    axes.set_xlim(0.0, hours)
    starts = day_starts(parts)
    for k, (hour, day) in enumerate(starts):
        if hour > 0:
            axes.axvline(hour, color="#bdbdb8", linewidth=2, zorder=0)
        if k % -(-len(starts) // _DAYS_NAMED) == 0:
            text = write(axes, f" day {day}", x=hour, y=1.0, color=FAINT)
            text.set(transform=axes.get_xaxis_transform(), va="top", ha="left")
    _departures(axes, parts, names)
    for name, line in values.items():
        look = names.looks[name]
        axes.plot(middle, line, color=PAPER, linewidth=7, zorder=2)
        drawn = axes.plot(middle, line, color=look.colour, linewidth=4, linestyle=look.line, zorder=2.1)[0]
        if hours <= _MARKED:
            drawn.set(
                marker=look.marker, markersize=13, markeredgecolor=PAPER, markeredgewidth=1.5, clip_on=False
            )
    axes.xaxis.set_major_locator(MaxNLocator(nbins=8, integer=True, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10]))
    axes.set_xlabel("lit hours since measuring began", fontsize=SMALL, family=FONT, color=INK)
    axes.tick_params(labelsize=SMALL, labelfontfamily=FONT, colors=INK, length=7, width=1.5)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set(color=INK, linewidth=2, zorder=1)
    axes.grid(axis="y", color="#e4e4e0", linewidth=1.5, zorder=0)
    axes.set_axisbelow(True)
    axes.set_facecolor("none")


def _departures(axes: Axes, parts: TrialParts, names: Names) -> None:
    """When fish were taken out: a dotted line each, named where the last name leaves room."""
    lit = parts.hours_of("lit")
    when: dict[float, list[str]] = {}
    for i in taken_out(parts):
        last = int(np.flatnonzero(lit[i])[-1])
        when.setdefault(last + float(lit[i, last]), []).append(names.code[i])
    free_from = 0.0
    width = axes.get_position().width * WIDTH
    for hour in sorted(when):
        axes.axvline(hour, color=INK, linewidth=2.5, linestyle=(0, (1, 2)), zorder=0.5)
        words = f"{when[hour][0] if len(when[hour]) == 1 else f'{len(when[hour])} fish'} out"
        left = hour / lit.shape[1] * width + 8.0
        if left >= free_from and left + text_width(words) <= width:
            text = write(axes, words, x=left / width, y=0.945)
            text.set(transform=axes.transAxes, va="top", ha="left")
            free_from = left + text_width(words) + 12.0


def _name_lines(
    page: Axes,
    parts: TrialParts,
    names: Names,
    values: dict[str, Floats],
    axes: Axes,
    *,
    at: tuple[float, float, float],
    words: bool,
) -> None:
    """The letter of each species at the end of its line, with its name at the last picture."""
    known = {name: line for name, line in values.items() if np.isfinite(line).any()}
    if not known:
        return
    right, low, high = at
    top = axes.get_ylim()[1]
    width = axes.get_position().width * WIDTH
    ends = [int(np.flatnonzero(np.isfinite(line))[-1]) for line in known.values()]
    spots_y = np.array(
        [low + (high - low) * line[k] / top for line, k in zip(known.values(), ends, strict=True)]
    )
    spots_x = [
        right - width + width * (k + 0.5) / len(line) for line, k in zip(known.values(), ends, strict=True)
    ]
    placed = spread_along(spots_y, gap=_LABEL_GAP, low=low, high=high)
    for name, spot_x, spot_y, y in zip(known, spots_x, spots_y, placed, strict=True):
        look = names.looks[name]
        page.plot([spot_x, right + 18.0], [spot_y, y], color=look.colour, linewidth=2)
        tag = write(page, look.letter, x=right + 34.0, y=y, weight="bold", color=ink_on(look.colour))
        tag.set(ha="center", va="center_baseline")
        tag.set_bbox({"boxstyle": "round,pad=0.12", "facecolor": look.colour, "edgecolor": PAPER})
        if words:
            room = _NAMES_ROOM - 40.0
            end = right + 42.0 + text_width(look.letter, bold=True)
            write(page, cut(look.short, room=room), x=end, y=y, va="center_baseline")
