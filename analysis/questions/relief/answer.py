"""What helps, as numbers: what sifting finds is confirmed on fresh trials, and others are looked after.

The best of many looks better than it is, so what is put forward rests on fresh trials alone, with intervals
that hold for all of the few at once (Bonferroni). Whether somebody else is worse off is asked of all trials
(Holm).

Source: Karnin2013 (successive halving); Cox1975 (choosing and testing on separate data); Holm1979.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from ....sim.fish.population import individuals
from ...measures.registry import FREE, LOST
from ...measures.row import TankRow, bounds_over, value_of
from ...measures.whom import FishGroup, Kind
from ...statistics.intervals import (
    CONFIDENCE,
    NAN,
    Estimate,
    Floats,
    cluster_interval,
    estimate,
)
from ...statistics.paired import Difference
from ...statistics.units import units_of
from ...study.runner import Announce, Run
from .change import Change, LeftOut
from .design import GOALS, Design, Plan
from .others import Other, Pair, compared, furthest_apart, on_others
from .watch import out_range

HELPS, HARMS, SIFTED, UNTOLD, WORSE, ITSELF = (
    "put forward",
    "helps, but others are worse off",
    "looked better when sifted, not followed up",
    "too close to call",
    "makes it worse",
    "takes the fish itself out",
)


@dataclass(frozen=True)
class Figure:
    """One goal of the fish that are to be helped: means over the trials, and the paired difference."""

    before: float
    after: float
    difference: Difference


@dataclass(frozen=True)
class Row:
    """One trial of a change: each goal with it and in the base; nan where none of the fish is in both."""

    trial: int
    draw: int
    fresh: bool
    after: Mapping[str, float]
    before: Mapping[str, float]


@dataclass(frozen=True)
class Tried:
    """A change that was tried. ``figures`` is empty where the fish itself is what is taken out."""

    change: Change
    verdict: str
    confirmed: bool  # the figures are of fresh trials
    comparisons: int  # the intervals of the figures hold for so many changes at once
    trials: int  # in which it was run, those to sift and the fresh ones
    figures: Mapping[str, Figure]
    others: tuple[Other, ...]  # over all its trials
    away: float  # share of the time that the fish to be helped are out with it and in without, 0 to 1
    added_lost: float  # what fish that were bought lost, by the yardstick of their kind; nan without any
    out_range: tuple[float, float]  # share of lit time single fish swim free, 5th to 95th percentile
    rows: tuple[Row, ...] = field(repr=False)  # of all its trials

    @property
    def gain(self) -> float:
        """Mean difference of what is lost, below 0 when it helps; nan where there is none."""
        return self.figures[LOST].difference.value if LOST in self.figures else NAN

    @property
    def out_at_the_end(self) -> float:
        """Fish that need another home; of a rule of thumb the mean over its tanks."""
        return max(float(self.change.cost.homes), self.change.cost.gone)

    @property
    def worse(self) -> tuple[Other, ...]:
        """Whoever is worse off beyond doubt."""
        return tuple(one for one in self.others if one.is_worse)


@dataclass(frozen=True)
class Relief:
    """Every number of the answer, and the rows of the base that say what to watch for."""

    plan: Plan
    whom: FishGroup
    kinds: tuple[Kind, ...]
    base: Mapping[str, Estimate]  # by goal, over all trials of the base
    tried: tuple[Tried, ...]  # the largest gain first; what takes out most of the stock after all others
    left_out: tuple[LeftOut, ...]
    tanks: int  # simulated, those of the yardstick too
    stopped: bool
    seen: tuple[TankRow, ...] = field(repr=False)  # of the base, by trial

    def of(self, verdict: str) -> list[Tried]:
        """The changes of a verdict, in the order of ``tried``."""
        return [one for one in self.tried if one.verdict == verdict]


def answer_of(plan: Plan, run: Run, *, whom: FishGroup | None = None, told: Announce | None = None) -> Relief:
    """Try the changes and judge them; see ``Design`` and its ``carry_out``.

    Raises
    ------
    ReliefError
        When none of the fish is in the tank while it is measured, or nothing can be tried.
    """
    work = Design(plan, whom)
    work.carry_out(run, told)
    seen = [work.rows[0, trial] for trial in sorted(work.alone)]
    tried = [_tried(work, k) for k in range(len(work.changes)) if work.trials_of(k)]
    fish = len(individuals(plan.scenario.stock))
    tried.sort(key=lambda one: (2 * one.out_at_the_end > fish, np.nan_to_num(one.gain, nan=np.inf)))
    return Relief(
        plan=plan,
        whom=work.whom,
        kinds=work.kinds,
        base=_base(work, seen),
        tried=tuple(tried),
        left_out=work.left_out,
        tanks=work.tanks,
        stopped=work.stopped,
        seen=tuple(seen),
    )


def _base(work: Design, seen: Sequence[TankRow]) -> dict[str, Estimate]:
    draw = np.array([one.draw for one in seen])
    found = {}
    for goal in GOALS:
        bounds = bounds_over(goal, rows=seen)
        values = [value_of(one, measure=goal, labels=work.whom.labels) for one in seen]
        found[goal] = estimate(values, draw=draw, bounds=bounds, fixed=work.plan.fixed)
    return found


def _tried(work: Design, k: int) -> Tried:
    fresh = work.pairs(k, trials=work.plan.fresh)
    confirmed = k in work.finalists and len(fresh) > 1
    pairs = fresh if confirmed else work.pairs(k)
    comparisons = len(work.finalists) if confirmed else len(work.changes)
    figures = {} if work.is_itself(k) else _figures(work, k, pairs, comparisons)
    whole = work.pairs(k)
    others = on_others(whole, kinds=work.kinds, whom=work.whom, fixed=work.plan.fixed)
    return Tried(
        change=replace(work.changes[k], cost=work.cost(k)),
        verdict=_verdict(figures, others, confirmed),
        confirmed=confirmed,
        comparisons=comparisons,
        trials=len(whole),
        figures=figures,
        others=others,
        away=work.away(k),
        added_lost=_added_lost(work, whole),
        out_range=out_range([new for new, _ in pairs], work.whom.labels),
        rows=_rows(work, k, whole),
    )


def _rows(work: Design, k: int, pairs: Sequence[Pair]) -> tuple[Row, ...]:
    goals = {goal: work.values(k, pairs, goal=goal) for goal in GOALS}
    return tuple(
        Row(
            trial=old.trial,
            draw=old.draw,
            fresh=old.trial in work.plan.fresh,
            after={goal: new[i] for goal, (new, _) in goals.items()},
            before={goal: was[i] for goal, (_, was) in goals.items()},
        )
        for i, (_, old) in enumerate(pairs)
    )


def _verdict(figures: Mapping[str, Figure], others: Sequence[Other], confirmed: bool) -> str:
    if LOST not in figures:
        return ITSELF
    lost = figures[LOST].difference
    if not lost.told:
        return UNTOLD
    if lost.value > 0:
        return WORSE
    if any(one.is_worse for one in others):
        return HARMS
    return HELPS if confirmed else SIFTED


def _figures(work: Design, k: int, pairs: Sequence[Pair], comparisons: int) -> dict[str, Figure]:
    """Each goal with an interval that holds for so many changes at once; none where the fish is taken out."""
    found = {}
    for goal in GOALS:
        new, old = (np.array(one, dtype=float) for one in work.values(k, pairs, goal=goal))
        both = np.isfinite(new) & np.isfinite(old)
        if not both.any():
            continue
        difference = compared(new, base=old, pairs=pairs, goal=goal, fixed=work.plan.fixed)
        if goal == LOST:
            draw = np.array([one.draw for _, one in pairs])
            furthest = furthest_apart(goal, pairs)
            difference = _widened(difference, new - old, draw, comparisons, furthest, work.plan.fixed)
        found[goal] = Figure(float(old[both].mean()), float(new[both].mean()), difference)
    return found if LOST in found else {}


def _widened(
    difference: Difference, change: Floats, draw: Floats, comparisons: int, furthest: float, fixed: bool
) -> Difference:
    """With an interval that holds for so many comparisons at once (Bonferroni)."""
    known = np.isfinite(change)
    unit = units_of(draw[known].astype(np.int64), fixed)
    sure = 1 - (1 - CONFIDENCE) / max(1, comparisons)
    interval = cluster_interval(change[known], cluster=unit, confidence=sure)
    low, high = np.clip(interval, -furthest, furthest).tolist()
    return replace(difference, low=low, high=high)


def _added_lost(work: Design, pairs: Sequence[Pair]) -> float:
    """Mean loss of fish that the base does not have, against what those of their sex swim free left alone."""
    losses = []
    for new, old in pairs:
        free = work.alone[old.trial].free
        for label in new.inside - set(old.labels):
            alike = [free[one] for one in free if one.rsplit(" ", 1)[0] == label.rsplit(" ", 1)[0]]
            i = new.labels.index(label)
            if alike:
                losses.append(1.0 - float(new.parts[FREE].top[i] / new.lit_s[i]) / float(np.mean(alike)))
    return float(np.mean(losses)) if losses else NAN
