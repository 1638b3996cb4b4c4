"""The first lines of what-if."""

from __future__ import annotations

import math

from ...document.brief import Brief
from ...document.plain import listed, percent
from ...evidence.doubts import flaw
from ...measures.plight import word
from ...measures.registry import LOST, RECEIVED
from .answer import Comparison
from .words import BY, best_sentences, form_of, signed, signed_span

NAMED = 4  # alternatives that make no difference, named at most


def brief_of(found: Comparison) -> Brief:
    """Which alternative is best for whom, what the others do, and how sure that is."""
    return Brief(
        question=found.question or f"What if? {found.title}",
        verdict=_verdict(found),
        givers=_others(found),
        first=_worse_off(found),
        sure=_sure(found),
        flaw=flaw("compare"),
    )


def _known(found: Comparison) -> list[int]:
    """Places of the scenarios, the best first."""
    known = [k for k, chance in enumerate(found.best) if math.isfinite(chance)]
    return sorted(known, key=lambda k: -found.best[k])


def _verdict(found: Comparison) -> str:
    order = _known(found)
    if not order:
        return best_sentences(found)[0]
    best = order[0]
    if best == 0 or not found.against[best - 1].chosen.figures[found.goal].told:
        return f"None of these is seen to help {found.whose}: {_level(found, 0)} in the tank as it is."
    return f"Best for {found.whose}: {found.names[best]}. {_level(found, best)}, as it is {_level(found, 0)}."


def _level(found: Comparison, k: int) -> str:
    """``"73 % of their swimming about kept (held back)"``, or the figure of another goal."""
    value = found.levels[k].value
    if found.goal == LOST:
        return f"{percent(1 - value)} of their swimming about kept ({word(value)})"
    return f"{form_of(found.goal)(value)} by {BY[found.goal]}"


def _others(found: Comparison) -> str:
    """What the alternatives behind the best do."""
    order = [k for k in _known(found)[:1] if k]
    told, nothing = [], []
    for k, one in enumerate(found.against, start=1):
        figure = one.chosen.figures[found.goal]
        if k in order or not figure.difference.trials:
            continue
        if figure.told:
            told.append(f"{one.name} ({signed(figure.difference.value, found.goal)} lost)")
        else:
            nothing.append(one.name)
    parts = [f"The others: {'; '.join(told)}." if told else ""]
    parts.append(f"No difference seen: {listed(nothing[:NAMED])}." if nothing else "")
    return " ".join(part for part in parts if part)


def _worse_off(found: Comparison) -> str:
    order = _known(found)
    if not order or not order[0]:
        return ""
    worse = found.against[order[0] - 1].worse
    return f"Worse off by it: {listed([one.label for one in worse[:2]])}." if worse else ""


def _sure(found: Comparison) -> str:
    order = _known(found)
    if not order or not order[0]:
        return ""
    figure = found.against[order[0] - 1].chosen.figures[found.goal]
    change = figure.difference
    luck = signed_span(change.low, change.high, found.goal)
    wide = signed_span(figure.guess_low, figure.guess_high, found.goal)
    unknown = f", {wide} by what nobody has measured" if wide != "-" else ""
    moved = f"{signed(change.value, found.goal)}{'' if found.goal == RECEIVED else ' points'}"
    better = f"better in {change.better} of {change.trials} simulated tanks"
    return f"How sure: {moved} ({luck} by the luck of these runs{unknown}), {better}."
