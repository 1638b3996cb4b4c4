"""Chases over the measured time of one trial, never without the hidden share beside them."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from .captions import Names, day_caption, names_of, trial_page
from .look import BODY, FAINT, FONT, INK, MARGIN, PAPER, ROOM, SMALL, WIDTH, Page, ink_on, text_width, write
from .parts import TrialParts, over, taken_out
from .placing import spread_along

Floats = NDArray[np.float64]

_MARKED = 30  # hours up to which each has a mark of its own
_NAMES_ROOM = 330.0  # pixels for the names at the right
_LETTERS_ROOM, _TICKS_ROOM = 64.0, 96.0
_DAYS_NAMED = 6
_LABEL_GAP = 34.0


def chases_over_the_day(parts: TrialParts) -> Figure:
    """Chases received per fish and lit hour by species, and the share of the hour that it hid."""
    names = names_of(parts)
    chased, hidden = by_species_and_hour(parts)
    title = "Chases over the measured hours, and who hid"
    page, top, bottom = trial_page(parts, title=title, caption=day_caption(parts, names))
    low, high = bottom + 110.0, top - 70.0
    width = (ROOM - 2 * _TICKS_ROOM - _LETTERS_ROOM - _NAMES_ROOM - 20.0) / 2
    left = MARGIN + _TICKS_ROOM
    most = max((float(np.nanmax(line)) for line in chased.values() if np.isfinite(line).any()), default=0.0)
    percent = {name: 100.0 * line for name, line in hidden.items()}
    # headroom for the names of days and departures
    for heading, values, highest, words in (
        ("chased, times per fish and lit hour", chased, 1.16 * most or 1.0, False),
        ("hidden, % of the hour", percent, 116.0, True),
    ):
        axes = page.axes_at(x=left, y=low, width=width, height=high - low)
        axes.set_ylim(0.0, highest)
        _lines(axes, parts, names, values)
        page.put(heading, left - 84.0, high + 22.0, size=BODY, bold=True)
        _name_lines(page, names, values, axes, at=(left + width, low, high), words=words)
        left += width + _LETTERS_ROOM + 20.0 + _TICKS_ROOM
    return page.figure


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
        axes.plot(middle, line, color=PAPER, linewidth=9, zorder=2)
        (drawn,) = axes.plot(middle, line, color=look.colour, linewidth=4, linestyle=look.line, zorder=2.1)
        drawn.set_path_effects([withStroke(linewidth=6.5, foreground=INK)])
        if hours <= _MARKED:
            drawn.set(marker=look.marker, markersize=13, markeredgecolor=look.male.rim, markeredgewidth=1.5)
            drawn.set_clip_on(False)
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
    page: Page,
    names: Names,
    values: dict[str, Floats],
    axes: Axes,
    *,
    at: tuple[float, float, float],
    words: bool,
) -> None:
    """The letter of each species at the end of its line, with its name at the last picture."""
    known = {name: np.flatnonzero(np.isfinite(line)) for name, line in values.items()}
    ends = {name: int(here[-1]) for name, here in known.items() if len(here)}
    right, low, high = at
    top = axes.get_ylim()[1]
    width = axes.get_position().width * WIDTH
    spots = np.array([low + (high - low) * values[name][k] / top for name, k in ends.items()])
    placed = spread_along(spots, gap=_LABEL_GAP, low=low, high=high)
    for (name, k), spot, y in zip(ends.items(), spots, placed, strict=True):
        look = names.looks[name]
        x = right - width + width * (k + 0.5) / len(values[name])
        page.axes.plot([x, right + 18.0], [spot, y], color=FAINT, linewidth=2)
        tag = page.put(look.letter, right + 34.0, y, bold=True, color=ink_on(look.colour), centred=True)
        tag.set_bbox({"boxstyle": "round,pad=0.12", "facecolor": look.colour, "edgecolor": INK})
        if words:
            end = right + 42.0 + text_width(look.letter, bold=True)
            page.put(look.short, end, y, room=_NAMES_ROOM - 40.0, level=True)
