"""The best a wish list allows, as numbers: the front, what cannot be told apart, what stands in the way.

Figures of what is put forward are of trials that chose nothing, so that no winner looks better than it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ....sim.rules.support.draws import BLOCK
from ....sim.scenario.scenario import Scenario
from ...measures.plight import WORDS, word
from ...statistics.allocation import chance_best
from ...statistics.front import not_beaten
from ...statistics.intervals import CONFIDENCE, NAN, Estimate, estimate
from ...statistics.paired import Difference, paired_difference
from ...study.runner import Announce, Run
from ..orders import Ordered
from ..relief.costs import KgRange
from .design import FRESH, PROOF, Design, Plan
from .fares import Group
from .levels import Level
from .space import Layout, Stocking

PROVED, SHARED, SIFTED = "proved in fresh tanks", "shared out, not proved", "sifted"


@dataclass(frozen=True)
class Tried:
    """A plan that was run, and how its fish fared.

    Attributes
    ----------
    place : among all that were tried, from 0.
    kept : of the free swimming they would have if left alone, what the worst-off group keeps.
    others : the same of every group.
    stage : what the figures rest on.
    levels : the names of the levels that it won.
    trials : numbers of the trials that the figures are of.
    """

    place: int
    stocking: Stocking
    layout: Layout
    fish: int
    species: int
    money: float  # nan where nothing has a price
    rock_kg: KgRange
    worst: Group
    kept: Estimate
    others: tuple[tuple[Group, Estimate], ...]
    stage: str
    levels: tuple[str, ...]
    chance: float  # of being the best of those that trials were shared out to; nan where it was not
    trials: tuple[int, ...] = field(repr=False)

    @property
    def plight(self) -> str:
        """The word for how the worst-off group fares."""
        return word(1.0 - self.kept.value)


@dataclass(frozen=True)
class Loosened:
    """What the worst-off group would keep without one limit."""

    limit: str
    said: str
    kept: float
    difference: Difference  # to the plan with all limits, in the same trials


@dataclass(frozen=True)
class Best:
    """Every number of the answer.

    Attributes
    ----------
    front : plans that no other beats in all that counts; the best for the worst-off first.
    as_good : plans that together hold the best of those tried with 95 %, the best first.
    held : the chance of ``as_good``.
    tried : all plans that were run, by how they fared.
    short : the plan of the front that no limit was kept from helping; None where all fare as well as can be.
    asked : what it must have at least.
    loosened : it with one limit at a time out of the way, the largest gain first.
    error, told : of the surrogate, of plans that it had not seen.
    """

    plan: Plan
    scenarios: tuple[Scenario, ...] = field(repr=False)
    front: tuple[Tried, ...]
    as_good: tuple[Tried, ...]
    held: float
    tried: tuple[Tried, ...]
    short: Tried | None
    asked: Level | None
    loosened: tuple[Loosened, ...]
    error: float
    told: float
    tanks: int
    stopped: bool
    work: Design = field(repr=False)
    order: Ordered | None = None  # over weeks, of the plan that is put forward; None where nobody asked

    @property
    def best(self) -> Tried:
        """The plan that is best for the worst-off."""
        return self.front[0]

    @property
    def is_proved(self) -> bool:
        """Whether its figures are of trials that chose nothing."""
        return self.best.stage == PROVED

    def scenario(self, one: Tried) -> Scenario:
        """The tank of a plan."""
        return self.scenarios[one.place]


def answer_of(plan: Plan, run: Run, *, told: Announce | None = None) -> Best:
    """Search, prove, and see what stands in the way; see ``Design`` and its ``carry_out``."""
    work = Design(plan)
    work.carry_out(run, told)
    chances = _chances(work)
    tried = {k: _tried(work, k, chances) for k in range(len(work.plans)) if _evidence(work, k)[0]}
    first = _first(work, tried)
    front = _front(work, tried, first)
    as_good, held = _as_good(tried, chances, first)
    short = work.unbound_at
    ordered = sorted(tried.values(), key=lambda one: (-len(one.trials) // BLOCK, -one.kept.value))
    surrogate = work.surrogate
    return Best(
        plan=plan,
        scenarios=tuple(map(plan.space.scenario, work.plans)),
        front=front,
        as_good=as_good,
        held=held,
        tried=tuple(ordered),
        short=None if short is None else tried[work.winners[short]],
        asked=None if short is None else work.levels[short],
        loosened=_loosened(work),
        error=surrogate.error if surrogate else NAN,
        told=surrogate.told if surrogate else NAN,
        tanks=work.tanks,
        stopped=work.stopped,
        work=work,
    )


def _evidence(work: Design, k: int) -> tuple[list[int], str]:
    """The trials that the figures of a plan are of, the freshest that there are, and what they were for."""
    proof = work.trials_of(k, first=PROOF, before=PROOF + len(work.plan.proof))
    if len(proof) == len(work.plan.proof):
        return proof, PROVED
    shared = work.trials_of(k, first=FRESH, before=PROOF)
    if len(shared) >= BLOCK:
        return shared, SHARED
    return work.trials_of(k), SIFTED


def _tried(work: Design, k: int, chances: dict[int, float]) -> Tried:
    space, stocking = work.space, work.plans[k]
    trials, stage = _evidence(work, k)
    kept = work.kept(1 + k, trials)
    each = {group: _estimate(work, values, trials) for group, values in kept.items()}
    worst = min(each, key=lambda group: each[group].value)
    levels = [level.name for level, winner in zip(work.levels, work.winners, strict=False) if winner == k]
    return Tried(
        place=k,
        stocking=stocking,
        layout=space.layout(stocking),
        fish=space.count(stocking),
        species=space.species(stocking),
        money=space.money(stocking),
        rock_kg=space.kg(stocking),
        worst=worst,
        kept=each[worst],
        others=tuple(sorted(each.items(), key=lambda pair: pair[1].value)),
        stage=stage,
        levels=tuple(levels),
        chance=chances.get(k, NAN),
        trials=tuple(trials),
    )


def _estimate(work: Design, values: Sequence[float] | np.ndarray, trials: Sequence[int]) -> Estimate:
    return estimate(values, draw=work.draws(trials), bounds=(0.0, math.inf), fixed=work.plan.fixed)


def _first(work: Design, tried: dict[int, Tried]) -> Tried:
    """The winner of the first level; where it was not come to, the plan that came furthest and fares best."""
    if work.winners and work.winners[0] in tried and tried[work.winners[0]].stage == PROVED:
        return tried[work.winners[0]]
    rank = {SIFTED: 0, SHARED: 1, PROVED: 2}
    return max(tried.values(), key=lambda one: (rank[one.stage], len(one.trials) // BLOCK, one.kept.value))


def _front(work: Design, tried: dict[int, Tried], first: Tried) -> tuple[Tried, ...]:
    """Of plans with figures of the same kind, those that no other beats; the first one in any case."""
    alike = [one for one in tried.values() if (one.stage, one.trials) == (first.stage, first.trials)]
    wants = [(one.kept.value, one.fish, one.species, -np.nan_to_num(one.money)) for one in alike]
    left = [one for one, stays in zip(alike, not_beaten(wants), strict=True) if stays and one is not first]
    less = [one for one in left if one.kept.value <= first.kept.value or one.stage == PROVED]
    return (first, *sorted(less, key=lambda one: -one.kept.value))


def _chances(work: Design) -> dict[int, float]:
    """The chance of each plan that had fresh trials to be the best of them for the worst-off."""
    those = sorted(
        {k for level in work.contenders for k in level},
        key=lambda k: -len(work.trials_of(k, first=FRESH, before=PROOF)),
    )
    trials = [work.trials_of(k, first=FRESH, before=PROOF) for k in those]
    if len(those) < 2 or min(map(len, trials)) < 2:
        return {}
    values = [work.worst(1 + k, mine)[1] for k, mine in zip(those, trials, strict=True)]
    found = chance_best(values, draw=work.draws(trials[0]), lower_is_better=False, fixed=work.plan.fixed)
    return {k: float(chance) for k, chance in zip(those, found, strict=True)}


def _as_good(
    tried: dict[int, Tried], chances: dict[int, float], first: Tried
) -> tuple[tuple[Tried, ...], float]:
    """The fewest plans that together hold the best with 95 %, the first one among them."""
    ranked = sorted((k for k in chances if math.isfinite(chances[k])), key=lambda k: -chances[k])
    found, held = [first], chances.get(first.place, 0.0)
    for k in ranked:
        if held >= CONFIDENCE:
            break
        if k != first.place:
            found.append(tried[k])
            held += chances[k]
    return tuple(found), held if chances else NAN


def _loosened(work: Design) -> tuple[Loosened, ...]:
    found = []
    proof = work.plan.proof
    for one, which in work.unbound:
        if work.unbound_at is None or not all((which, trial) in work.fares for trial in proof):
            continue
        base = work.worst(1 + work.winners[work.unbound_at], proof)[1]
        values = work.worst(which, proof)[1]
        difference = paired_difference(
            values, base=base, draw=work.draws(proof), fixed=work.plan.fixed, lower_is_better=False
        )
        found.append(Loosened(one.limit, one.said, float(values.mean()), difference))
    return tuple(sorted(found, key=lambda one: -one.difference.value))


def best_word_missed(found: Best) -> str:
    """The word that the plan that is short did not reach; "" where it reached the best."""
    if found.short is None:
        return ""
    return WORDS[max(0, WORDS.index(found.short.plight) - 1)]
