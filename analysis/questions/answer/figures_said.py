"""Single figures as they are said in a sentence. Works no number out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED
from ...document.plain import Form, number, percent, span
from ...statistics.intervals import Estimate
from .words import tanks_said

if TYPE_CHECKING:
    from .answer import Portrait

_TIMES, _SHARE = "times an hour in the model", "of lit time"
_READING = (
    '"95 %" is how far a figure may be off by the luck of so many simulated tanks; "guesses" holds what nine '
    "of ten guesses at what nobody has measured come to.",
    "Chases an hour are those of the model, which may come more or less often than in your tank: \u201cAt "
    "the tank\u201d helps to count your own. Shares of the day do not depend on it.",
)
SAID: dict[str, tuple[Form, str]] = {  # how a figure is written, and what it is of
    "received": (number, _TIMES),
    "given": (number, _TIMES),
    "hidden": (percent, _SHARE),
    "free": (percent, _SHARE),
}


def reading() -> list[str]:
    """What the intervals mean, and whose chases an hour are, for somebody who has all of it on a screen."""
    return list(_READING)


def figure_said(name: str, found: Estimate) -> str:
    """``"16 times an hour in the model, 95 %: 12 to 19"``; ``name`` is one of SAID."""
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
