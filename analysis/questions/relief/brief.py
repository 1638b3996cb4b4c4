"""The first lines of what helps."""

from __future__ import annotations

import math

from ....sim.fish.population import individuals
from ...document.brief import Brief
from ...document.plain import called, capital, many, percent
from ...evidence.doubts import flaw
from ...measures.plight import word
from ...measures.registry import LOST
from .answer import HARMS, HELPS, UNTOLD, Figure, Relief, Tried
from .costs import cost_words
from .words import limits_said, why_none

NOTHING = 0.005  # lost: less is printed as 0 %


def brief_of(found: Relief) -> Brief:
    """What helps most, what it takes, and what comes next."""
    helps, whom = found.of(HELPS), found.whom
    who = called(whom.name, whom.species, len(whom.labels))
    months = found.plan.months
    over = f" over {many(months, 'month')}" if months else ""
    return Brief(
        question=f"What helps {who}{over}?",
        verdict=_verdict(found, who),
        beside=_first(helps[0]) if helps else "",
        then=_next(helps[1:]) if len(helps) > 1 else _spoils(found.of(HARMS)),
        sure=_sure(helps[0].figures[LOST]) if helps else _nearest(found),
        flaw=flaw("relief", species=whom.species),
    )


def _verdict(found: Relief, who: str) -> str:
    lost = found.base["lost"].value
    keep, they = ("keep", "they") if len(found.whom.labels) > 1 else ("keeps", "it")
    kept = f"{percent(1 - lost)} of the swimming about {they} would do if left alone"
    now = f"{capital(word(lost))} now: {who} {keep} {kept}. {found.whom.beside}".strip()
    helps = found.of(HELPS)
    if not helps and lost < NOTHING:
        return f"{now} There is nothing to mend."
    if not helps:
        return f"{now} {why_none(found)}"
    best = helps[0]
    milder = any(one.gain < best.gain for one in helps)  # those that take out most of the stock come last
    most = "Best, short of taking out most of the fish" if milder else "Best"
    if 2 * best.out_at_the_end > len(individuals(found.plan.scenario.stock)):
        most = "Nothing helps for sure but taking out most of the fish"
    after = best.figures[LOST].after
    return f"{now} {most}: {best.change.name}; then {they} {keep} {percent(1 - after)} ({word(after)})."


def _first(one: Tried) -> str:
    return f"It takes: {cost_words(one.change.cost)}."


def _next(others: list[Tried]) -> str:
    named = "; ".join(f"{one.change.name} ({_kept(one.figures[LOST])})" for one in others[:2])
    return f"Also: {named}."


def _kept(lost: Figure) -> str:
    return f"{percent(1 - lost.after)} kept"


def _spoils(harms: list[Tried]) -> str:
    return f"Helps them at the cost of others: {harms[0].change.name}." if harms else ""


def _nearest(found: Relief) -> str:
    """What comes nearest where nothing helps for sure."""
    nearest = next((one for one in found.of(UNTOLD) if one.confirmed and one.gain < -NOTHING), None)
    if nearest is None or found.stopped or found.of(HARMS):
        return ""
    return _sure(nearest.figures[LOST], f"nearest comes {nearest.change.name}, ")


def _sure(lost: Figure, named: str = "") -> str:
    gain = lost.difference
    if not math.isfinite(gain.low):
        return ""
    luck = limits_said(-gain.high, -gain.low)
    better = f"{named}better in {gain.better} of {gain.trials} simulated tanks"
    return f"How sure: {better}; the gain is {luck} by the luck of these runs."
