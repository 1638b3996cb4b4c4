"""The first lines of what-if."""

from __future__ import annotations

import math

from ...document.brief import Brief
from ...document.plain import called, listed, many, percent
from ...evidence.doubts import flaw
from ...measures.plight import word
from ...measures.registry import HIDDEN, LOST, PINNED, RECEIVED
from .answer import Comparison
from .words import best_sentences, form_of, signed, signed_span

KEPT = {
    LOST: "of their swimming about they keep",
    RECEIVED: "chased an hour in the model,",
    HIDDEN: "hidden, of the day,",
    PINNED: "pinned, of the simulated tanks,",
}
NAMED = 4  # alternatives that make no difference, named at most


def brief_of(found: Comparison) -> Brief:
    """Which alternative is best for whom, what the others do, and how sure that is."""
    return Brief(
        question=found.question or f"What if? {found.title}",
        verdict=_verdict(found),
        beside=_others(found),
        then=_worse_off(found),
        sure=_sure(found),
        flaw=flaw("compare", species=found.species),
    )


def _known(found: Comparison) -> list[int]:
    """Places of the scenarios, the best first."""
    known = [k for k, chance in enumerate(found.best) if math.isfinite(chance)]
    return sorted(known, key=lambda k: -found.best[k])


def _verdict(found: Comparison) -> str:
    order = _known(found)
    if not order:
        return best_sentences(found)[0]
    who = called(found.whose, found.species, found.fish)
    who += f" over {many(found.months, 'month')}" if found.months else ""
    best, now = order[0], _level(found, 0)
    if best == 0 or not found.against[best - 1].chosen.figures[found.goal].told:
        none = f"None of these is seen to help {who}: {_kept(found)} {now} as the tank is."
        return f"{none} {found.beside}".strip()
    then = _level(found, best)
    said = f"Best for {who}: {found.names[best]}; {_kept(found)} {then} instead of {now}."
    return f"{said} {found.beside}".strip()


def _kept(found: Comparison) -> str:
    one = found.goal == LOST and found.fish == 1
    return "of its swimming about it keeps" if one else KEPT[found.goal]


def _level(found: Comparison, k: int) -> str:
    """``"73 % (held back)"``, or the figure of another goal."""
    value = found.levels[k].value
    if found.goal == LOST:
        return f"{percent(1 - value)} ({word(value)})"
    return form_of(found.goal)(value)


def _reached(found: Comparison, k: int, moved: float) -> str:
    """What they keep, or the difference in another goal."""
    if found.goal != LOST:
        return signed(moved, found.goal)
    return percent(1 - found.levels[k].value)


def _others(found: Comparison) -> str:
    """What the alternatives behind the best do."""
    order = [k for k in _known(found)[:1] if k and found.against[k - 1].chosen.figures[found.goal].told]
    told, nothing = [], []
    for k, one in enumerate(found.against, start=1):
        figure = one.chosen.figures[found.goal]
        if k in order or not figure.difference.trials:
            continue
        if figure.told:
            told.append(f"{one.name} ({_reached(found, k, figure.difference.value)})")
        else:
            nothing.append(one.name)
    parts = [f"Others: {'; '.join(told)}." if told else ""]
    parts.append(f"No difference seen: {listed(nothing[:NAMED])}." if nothing else "")
    return " ".join(part for part in parts if part)


def _worse_off(found: Comparison) -> str:
    order = _known(found)
    if not order or not order[0]:
        return ""
    worse = found.against[order[0] - 1].worse
    return (
        f"Worse off by it: {listed([called(one.label, one.species) for one in worse[:2]])}." if worse else ""
    )


def _sure(found: Comparison) -> str:
    order = _known(found)
    if not order or not order[0]:
        return ""
    figure = found.against[order[0] - 1].chosen.figures[found.goal]
    change = figure.difference
    turned = -1 if found.goal == LOST else 1  # lost less is kept more
    unit = "" if found.goal == RECEIVED else " %"
    luck = _span(turned, change.low, change.high, found.goal)
    wide = _span(turned, figure.guess_low, figure.guess_high, found.goal)
    unknown = f", {wide}{unit} by what nobody has measured" if wide != "-" else ""
    moved = f"the difference of {signed(turned * change.value, found.goal)}{unit}"
    better = f"better in {change.better} of {change.trials} simulated tanks"
    if not figure.told:
        better = f"nearest comes {found.names[order[0]]}, {better}"
    return f"How sure: {better}; {moved} is {luck}{unit} by the luck of these runs{unknown}."


def _span(turned: int, low: float, high: float, goal: str) -> str:
    ends = sorted((turned * low, turned * high))
    return signed_span(ends[0], ends[1], goal)
