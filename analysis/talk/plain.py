"""How a room of keepers is told a number: counts out of twenty, parts of ten, give or take."""

from __future__ import annotations

import math
import re

TWENTY = 20  # simulated tanks that are shown, and that every count is out of
TEN = 10

FORBIDDEN = (
    *("alternative hypothesis", "arm", "ci", "cluster", "confidence", "control", "correlation"),
    *("distribution", "estimate", "guess", "guesses", "interval", "mean", "median", "p-value"),
    *("paired difference", "percentile", "probability", "sampling", "seed", "shapley", "significant"),
    *("standard deviation", "statistic", "variance"),
)
_JARGON = re.compile(rf"\b({'|'.join(re.escape(word) for word in FORBIDDEN)})\b|95\s?%", re.IGNORECASE)


def jargon_in(text: str) -> list[str]:
    """Words of a text that no keeper uses at the tank; ``mean`` as a verb counts too."""
    return [found.group(0) for found in _JARGON.finditer(text)]


def of_twenty(hits: int, tanks: int) -> str:
    """A count in words: ``"14 of 20"``; of more tanks ``"about 14 of 20"``; of fewer as counted.

    Of more than twenty tanks it is scaled to twenty and rounded; "about 0" and "about 20" are kept for
    counts that are none or all.
    """
    about = "about " if tanks > TWENTY else ""
    return f"{about}{scaled(hits, tanks)} of {shown(tanks)}"


def scaled(hits: int, tanks: int) -> int:
    """The count out of at most twenty that is drawn for so many hits."""
    if tanks <= TWENTY:
        return hits
    if hits in (0, tanks):
        return TWENTY * hits // tanks
    return min(TWENTY - 1, max(1, round(TWENTY * hits / tanks)))


def shown(tanks: int) -> int:
    """How many simulated tanks a count is out of on the slides."""
    return min(tanks, TWENTY)


def in_tanks(hits: int, tanks: int) -> str:
    """``"in 14 of 20 simulated tanks"``; ``"in none of 20 simulated tanks"``."""
    if hits == 0:
        return f"in none of {shown(tanks)} simulated tanks"
    return f"in {of_twenty(hits, tanks)} simulated tanks"


def tenths(share: float) -> str:
    """A share as parts of ten: ``"6.2"``; ``"unknown"`` where it could not be told."""
    return "unknown" if not math.isfinite(share) else f"{TEN * share:.1f}".replace("-0.0", "0.0")


def give_or_take(share: float, half: float) -> str:
    """``"6.2 of 10, give or take 0.8"``; without the second half where one tank alone cannot tell."""
    if not math.isfinite(share):
        return "not known"
    told = f"{tenths(share)} of 10"
    return f"{told}, give or take {TEN * half:.1f}" if math.isfinite(half) else told


def times(rate: float) -> str:
    """Chases an hour, short: ``"12"``, ``"3.4"``, ``"less than 0.1"`` below 0.05."""
    if not math.isfinite(rate):
        return "unknown"
    if rate < 0.05:
        return "less than 0.1" if rate > 0 else "0"
    return f"{rate:.1f}" if rate < 9.95 else f"{rate:.0f}"
