"""The answer in a few sentences, and single figures as they are said in one. Works no number out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED
from ...document.plain import Form, number, percent, span
from ...statistics.intervals import Estimate
from .remarks import gone_said
from .words import HOW_TO_READ, how_scaled, named, tanks_said, whose_worst

if TYPE_CHECKING:
    from .answer import Answer, Portrait

_TIMES, _SHARE = "times an hour (model scale)", "of lit time"
SAID: dict[str, tuple[Form, str]] = {  # how a figure is written, and what it is of
    "received": (number, _TIMES),
    "given": (number, _TIMES),
    "hidden": (percent, _SHARE),
    "free": (percent, _SHARE),
}


def headline(answer: Answer) -> list[str]:
    """The worst-off fish and its loss, how often the watched species was pinned, whose the worst off are.

    Last who was out before measuring began, where anybody was.
    """
    worst, mild = answer.alike[0], answer.species[0]
    held = pinned_said(mild)
    return [
        f"{'Worst off' if len(answer.fish) > 1 else 'The only fish'}: {named(worst)}, {_fate(worst)}.",
        *([f"{mild.label} pinned to one place: {held}."] if held else []),
        *whose_worst(answer)[:1],
        *gone_said(answer),
    ]


def reading() -> list[str]:
    """What the intervals mean, and what the scale."""
    return [HOW_TO_READ, how_scaled("")]


def figure_said(name: str, found: Estimate) -> str:
    """``"16 times an hour (model scale), 95 %: 12 to 19"``; ``name`` is one of SAID."""
    form, of = SAID[name]
    return f"{form(found.value)} {of}{_interval(found, form, ', ', '')}"


def lost_said(found: Estimate) -> str:
    """``"69 % (95 %: 15 to 88 %)"``."""
    return f"{percent(found.value)}{_interval(found, percent, ' (', ')')}"


def pinned_said(one: Portrait) -> str:
    """In how many tanks a fish or a species was pinned; "" where that is not asked of it."""
    count = one.pinned.get(AS_STOCKED)
    if count is None:
        return ""
    return f"in {tanks_said(count)}" if count.of else "does not count (holding or never in)"


def _interval(found: Estimate, form: Form, before: str, after: str) -> str:
    if not (math.isfinite(found.low) and math.isfinite(found.high)):
        return ""
    return f"{before}95 %: {span(found.low, found.high, form)}{after}"


def _fate(worst: Portrait) -> str:
    several = len(worst.labels) > 1
    if worst.lost is not None:
        verb, who = ("lose", "they") if several else ("loses", "it")
        return f"which {verb} {lost_said(worst.lost)} of the free swimming {who} would have if left alone"
    verb = "swim" if several else "swims"
    return f"which {verb} free {figure_said('free', worst.figures[AS_STOCKED]['free'])}"
