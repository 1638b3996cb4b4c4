"""Which changes are tried in which trials: all and then the better half sifted, the best confirmed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ....sim.run.set_ups import a_round
from ....sim.run.trials import Job
from ....sim.scenario.scenario import Scenario
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...measures.row import BOTH, STOCKED, TankRow, chief_chaser, value_of
from ...measures.victim import victim_of
from ...measures.whom import FishGroup, FishGroupError, kinds_of
from ...statistics.intervals import NAN
from ...study import runner
from ...study.runner import Batch, Study
from .change import Change, LeftOut
from .changes import ordinary_changes, without_each
from .costs import Cost
from .others import Pair, on_others

GOALS = (LOST, RECEIVED, HIDDEN, PINNED_FISH)
CONFIRMED_MOST = 5  # changes that are followed up on fresh trials
MOSTLY = 0.5  # share of the time
LEAST_TRIALS = 16  # of which 8 confirm: with fewer a t interval is not to be trusted (assumption)


class ReliefError(ValueError):
    """Nothing can be tried; the message says what was found."""


@dataclass(frozen=True)
class Plan(runner.Plan):
    """Which trial numbers are for what: two blocks to sift, the rest, fresh, to confirm.

    ``months`` that each tank is lived through; None: days one after the other.
    """

    block: int
    months: int | None = None

    @property
    def sift(self) -> tuple[range, range]:
        return range(self.block), range(self.block, 2 * self.block)

    @property
    def fresh(self) -> range:
        return range(2 * self.block, self.trials)


def plan_of(scenario: Scenario) -> Plan:
    """Share the trial numbers out; the two blocks are whole rounds of guesses where there are enough.

    Raises
    ------
    ReliefError
        For fewer than LEAST_TRIALS trials.
    """
    asked, whole = scenario.run.trials, a_round(scenario.run)
    if asked < LEAST_TRIALS:
        raise ReliefError(
            f"{asked} simulated tanks are too few; use at least {LEAST_TRIALS}: half of them to sift the "
            "changes, half to confirm the best"
        )
    quarter = asked // 4
    block = quarter // whole * whole if quarter >= whole else quarter
    return Plan(replace(scenario, alternatives=()), asked, block)


class Design(Study):
    """Scenario 0 is the base, then come the base without each fish, then the changes.

    Parameters
    ----------
    whom : the fish that are to be helped; when None the victim.

    Attributes
    ----------
    whom, changes, left_out : once the base was run: who is helped, what is tried, and what does not apply.
    finalists : places of the changes that are confirmed on fresh trials.
    """

    def __init__(self, plan: Plan, whom: FishGroup | None) -> None:
        single = without_each(plan.scenario)
        super().__init__([plan.scenario, *single.values()])
        self.plan, self._asked = plan, whom
        self.kinds = kinds_of(plan.scenario)
        self._single = {label: 1 + k for k, label in enumerate(single)}
        self._own_place: dict[int, int] = {}  # of a change that has a scenario
        self._turns: list[tuple[set[int], range, list[Job]]] = []  # changes that were tried, in which trials
        self.whom = FishGroup("", (), "", "")
        self.changes: tuple[Change, ...] = ()
        self.left_out: tuple[LeftOut, ...] = ()
        self.finalists: list[int] = []

    # ---- what is run next

    def batches(self) -> Iterator[Batch]:
        """The base; every change; the better half of them; the best, but none that made others worse off.

        Raises
        ------
        ReliefError
            When none of the fish is in the tank while it is measured, or nothing can be tried.
        """
        jobs = [Job(0, trial, BOTH) for trial in range(self.plan.trials)]
        yield Batch("The tank as it is, and the same fish when nobody attacks", jobs)
        self._choose()
        first, second = self.plan.sift
        every = range(len(self.changes))
        yield self._turn(every, first, f"First sift: {len(every)} changes")
        half = self._ranked(every)[: (len(every) + 1) // 2]
        yield self._turn(half, second, f"Second sift: the better {len(half)} of them")
        hopeful = [k for k in self._ranked(sorted(half)) if self._gain(k) < 0 and not self._harms(k)]
        self.finalists = hopeful[:CONFIRMED_MOST]
        if self.finalists:
            what = f"Confirming on fresh trials: {len(self.finalists)}"
            yield self._turn(self.finalists, self.plan.fresh, what)

    @property
    def can_answer(self) -> bool:
        """Whether any change was run at all."""
        return any(self.trials_of(k) for k in range(len(self.changes)))

    def _choose(self) -> None:
        """Settle whom to help, the victim unless it was said, and what there is to try."""
        if self._asked is not None and not np.isfinite(self.lost(self._asked.labels)).any():
            raise ReliefError(f"{self._asked.name}: none is in the tank while it is measured")
        try:
            self.whom = self._asked or victim_of(self.kinds, self.lost, watch=self.plan.scenario.run.watch)
        except FishGroupError as problem:
            raise ReliefError(str(problem)) from problem
        self.changes, self.left_out = ordinary_changes(
            self.plan.scenario, whom=self.whom, months=self.plan.months
        )
        for k, change in enumerate(self.changes):
            if change.scenario is not None:
                self._own_place[k] = len(self.scenarios)
                self.scenarios.append(change.scenario)
        if not self.changes:
            raise ReliefError("there is one fish and nothing to change; use a tank with more")

    def _turn(self, which: Sequence[int], trials: range, what: str) -> Batch:
        jobs = [
            Job(place, trial, STOCKED)
            for trial in trials
            for place in dict.fromkeys(self._place(k, trial) for k in which)
            if place > 0 and (place, trial) not in self.rows
        ]
        self._turns.append((set(which), trials, jobs))
        return Batch(what, jobs)

    def _place(self, k: int, trial: int) -> int:
        """Number of the scenario that a change is in a trial; 0 where there is no chief chaser."""
        if k in self._own_place:
            return self._own_place[k]
        chief = chief_chaser(self.rows[0, trial], self.whom.one(trial))
        return 0 if chief is None else self._single.get(chief, 0)

    # ---- what a change did

    def trials_of(self, k: int) -> tuple[int, ...]:
        """Numbers of the trials a change was tried in; of a turn that was broken off, those that all have."""
        found: list[int] = []
        for which, trials, jobs in self._turns:
            if k in which:
                missing = (job.trial for job in jobs if (job.which, job.trial) not in self.rows)
                found += range(trials.start, min(missing, default=trials.stop))
        return tuple(found)

    def pairs(self, k: int, *, trials: Iterable[int] | None = None) -> list[Pair]:
        """A change and the base in each trial of the change, or in some of them."""
        wanted = [trial for trial in self.trials_of(k) if trials is None or trial in trials]
        return [(self.rows[self._place(k, trial), trial], self.rows[0, trial]) for trial in wanted]

    def values(self, k: int, pairs: Sequence[Pair], *, goal: str) -> tuple[list[float], list[float]]:
        """A goal of the fish to be helped, with the change and in the base; nan where none is in both.

        Of fish that are in both; with a rule of thumb, which has them out for a time, of those that are in
        for some of it, as in compare.
        """
        new, old = [], []
        for with_it, as_is in pairs:
            trial = as_is.trial
            wanted = self.whom.labels if k in self._own_place else (self.whom.one(trial),)
            both = (
                set(wanted) if self.changes[k].cost.by_rule else with_it.inside & as_is.inside & set(wanted)
            )
            new.append(value_of(with_it, measure=goal, labels=both))
            old.append(value_of(as_is, measure=goal, labels=both))
        return new, old

    def away(self, k: int) -> float:
        """Share of the time that the fish to be helped are out with a change and in as it is; 0 to 1."""
        stay, here = 0.0, 0.0
        for new, old in self.pairs(k):
            wanted = set(self.whom.labels)
            stay += _time_of(new, wanted)
            here += _time_of(old, wanted)
        return max(0.0, 1.0 - stay / here) if here else 0.0

    def cost(self, k: int) -> Cost:
        """What a change takes; of a rule of thumb what it took in the simulated tanks."""
        cost = self.changes[k].cost
        netted = [new.netted for new, _ in self.pairs(k) if new.netted is not None]
        if not cost.by_rule or not netted:
            return cost
        own = [one - _of_base(old) for one, (_, old) in zip(netted, self.pairs(k), strict=True)]
        times = np.mean([one.sum(axis=0) for one in own], axis=0)
        gone = float(np.mean([(one[:, 0] - one[:, 1]).sum() for one in own]))
        return replace(cost, netted=(float(times[0]), float(times[1])), gone=gone)

    def _gain(self, k: int) -> float:
        """Mean change of what is lost; nan where the change takes the fish itself out."""
        if self.is_itself(k):
            return NAN
        new, old = self.values(k, self.pairs(k), goal=LOST)
        change = np.array(new) - np.array(old)
        known = change[np.isfinite(change)]
        return float(known.mean()) if len(known) else NAN

    def is_itself(self, k: int) -> bool:
        """Whether a rule of thumb mostly takes out the fish that are to be helped."""
        return self.changes[k].cost.by_rule and self.away(k) > MOSTLY

    def _ranked(self, which: Iterable[int]) -> list[int]:
        """Changes by what they gain, the best first; those that take the fish itself out are left out."""
        gain = {k: self._gain(k) for k in which}
        return sorted((k for k in gain if np.isfinite(gain[k])), key=lambda k: gain[k])

    def _harms(self, k: int) -> bool:
        found = on_others(self.pairs(k), kinds=self.kinds, whom=self.whom, fixed=self.plan.fixed)
        return any(one.is_worse for one in found)


def _time_of(row: TankRow, labels: set[str]) -> float:
    """Measured lit seconds in the tank of some fish."""
    return float(row.lit_s[row.of(labels)].sum())


def _of_base(old: TankRow) -> Any:
    """How often rules that the file has anyhow take fish out, and put them back."""
    return 0 if old.netted is None else old.netted
