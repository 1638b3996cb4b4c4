"""The first lines of a life: when trouble is likely, who starts it, what a dated change does, how sure."""

from __future__ import annotations

import math

from ...document.brief import Brief
from ...document.plain import called, capital, listed, many, percent, span
from ...evidence.doubts import flaw
from ...measures.plight import word
from ...statistics.intervals import Estimate
from .answer import BETTER, STEADY, Answer

LITTLE = 0.1  # share of the chases below which nobody is named for them
NAMED = 2


def brief_of(found: Answer) -> Brief:
    """When, who, what helps, how sure."""
    return Brief(
        question=found.plan.scenario.question
        or f"How do the fish fare over {many(found.plan.months, 'month')}?",
        verdict=f"{_verdict(found)} {_pinned(found)}",
        givers=_givers(found),
        first=_dated(found),
        sure=_sure(found),
        flaw=flaw("life"),
    )


def whom(found: Answer) -> str:
    """The worst-off kind by a short name."""
    return called(found.worst.name, found.worst.species, len(found.worst.labels))


def _verdict(found: Answer) -> str:
    who, plural = whom(found), len(found.worst.labels) > 1
    keep = "keep" if plural else "keeps"
    rest = f"of the swimming about {'they' if plural else 'it'} would do if left alone"
    if found.way == STEADY:
        kept = percent(1 - found.lost.value)
        return (
            f"{capital(word(found.lost.value))} all along: {who} {keep} {kept} {rest}; no month stands out."
        )
    end = found.plan.months if found.way == BETTER else found.turn
    early, late = (found.of(m).lost[found.worst.name].value for m in (found.first, end))
    how = "It eases" if found.way == BETTER else "It gets worse"
    return (
        f"{how}: {who} {keep} {percent(1 - early)} {rest} in month {found.first} and {percent(1 - late)} in "
        f"month {end} ({word(late)})."
    )


def _pinned(found: Answer) -> str:
    early, late = found.months[0].pinned.value, found.months[-1].pinned.value
    if max(one.pinned.value for one in found.months) < 0.005:
        return "No fish is pinned to one place."
    if len(found.months) == 1 or percent(early) == percent(late):
        return f"A fish is pinned to one place in {percent(early)} of the tanks on any day."
    return (
        f"A fish is pinned to one place in {percent(early)} of the tanks on a day of month 1, in "
        f"{percent(late)} in month {found.plan.months}."
    )


def _givers(found: Answer) -> str:
    named = [one for one in found.givers if one.share.value >= LITTLE][:NAMED]
    if not named:
        return "Who starts it: nobody chases them to speak of."
    shares = [f"{called(one.name, one.species)}s {percent(one.share.value)}" for one in named]
    return f"Who starts it: of the chases they get, {listed(shares)}."


def _dated(found: Answer) -> str:
    if found.dated is None:
        return ""
    what = "What the file dates"
    if not math.isfinite(found.dated.low):
        return f"{what}: too few tanks to say what it does."
    if found.dated.low <= 0 <= found.dated.high:
        return f"{what} makes no difference to them that could be told from luck ({points(found.dated)})."
    better = found.dated.value < 0
    return f"{what} makes it {'better' if better else 'worse'} for them: they keep {points(found.dated)}."


def points(lost: Estimate) -> str:
    """A difference in what is lost, as points kept: ``"+4 points (+1 to +7)"``."""
    low, value, high = (f"{round(-100 * one) + 0:+d}" for one in (lost.high, lost.value, lost.low))
    return f"{value} points ({low} to {high})"


def _sure(found: Answer) -> str:
    lost, tanks = found.lost, many(len(found.lives), "simulated tank")
    if not math.isfinite(lost.low):
        return f"How sure: {tanks} are too few to say."
    wide = span(1 - lost.guess_high, 1 - lost.guess_low, percent)
    unknown = f"; {wide} by what nobody has measured, how fast they grow among it" if wide != "-" else ""
    luck = span(1 - lost.high, 1 - lost.low, percent)
    return f"How sure: over the whole time {luck} by the luck of {tanks}{unknown}."
