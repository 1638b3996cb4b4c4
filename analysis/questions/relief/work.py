"""Running changes against the tank as it is: which trials of which scenario, and the rows they leave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ....sim.run.trials import Job
from ....sim.scenario.scenario import Scenario
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...measures.row import BOTH, STOCKED, chief_chaser, value_of
from ...measures.whom import FishGroup, Kind, kinds_of, whom_of
from ...statistics.intervals import NAN
from ...study.runner import Announce, Run, Study
from .changes import Change, LeftOut, ordinary_changes, without_each
from .others import Pair, on_others

GOALS = (LOST, RECEIVED, HIDDEN, PINNED_FISH)
CONFIRMED_MOST = 5  # changes that are followed up on fresh trials
LEAST_TRIALS = 16  # of which 8 confirm: with fewer a t interval is not to be trusted (assumption)


class ReliefError(ValueError):
    """Nothing can be tried; the message says what was found."""


@dataclass(frozen=True)
class Plan:
    """Which trial numbers are for what: two blocks to sift, the rest, fresh, to confirm."""

    scenario: Scenario
    trials: int
    block: int
    fixed: bool

    @property
    def sift(self) -> tuple[range, range]:
        return range(self.block), range(self.block, 2 * self.block)

    @property
    def fresh(self) -> range:
        return range(2 * self.block, self.trials)


def plan_of(scenario: Scenario, *, trials: int | None = None) -> Plan:
    """Share the trial numbers out; the two blocks are whole rounds of guesses where there are enough.

    Parameters
    ----------
    trials : the most for one change; the scenario's own number when None.

    Raises
    ------
    ReliefError
        For fewer than LEAST_TRIALS trials.
    """
    asked = scenario.run.trials if trials is None else trials
    if asked < LEAST_TRIALS:
        raise ReliefError(
            f"found {asked} simulated tanks; allowed: at least {LEAST_TRIALS}, half of them to sift the "
            "changes and half to confirm the best"
        )
    quarter, guesses = asked // 4, scenario.run.guesses
    block = quarter // guesses * guesses if quarter >= guesses and not scenario.run.fixed else quarter
    run = replace(scenario.run, trials=asked, guesses=min(guesses, asked))
    base = replace(scenario, run=run, alternatives=())
    return Plan(base, asked, block, scenario.run.fixed)


class Work:
    """What was run so far. Scenario 0 is the base, then come the base without each fish, then the changes.

    Attributes
    ----------
    whom : the fish that are to be helped, once :meth:`choose` was called.
    changes, left_out : what there is to try, and what does not apply.
    finalists : places of the changes that are confirmed on fresh trials.
    seen, alone : rows by (scenario, trial), and the yardstick by trial.
    """

    def __init__(self, plan: Plan, run: Run, told: Announce | None = None) -> None:
        self.plan, self._study = plan, Study(run, told=told)
        self.kinds: tuple[Kind, ...] = kinds_of(plan.scenario)
        single = without_each(plan.scenario)
        self._single = {label: 1 + k for k, label in enumerate(single)}
        self._scenarios: list[Scenario] = [plan.scenario, *single.values()]
        self._own_place: dict[int, int] = {}  # of a change that has a scenario
        self._tried: list[set[int]] = []  # trial numbers of each change
        self.seen, self.alone = self._study.rows, self._study.alone
        self.whom = FishGroup("", (), "", "")
        self.changes: tuple[Change, ...] = ()
        self.left_out: tuple[LeftOut, ...] = ()
        self.finalists: list[int] = []

    # ---- the steps

    def run_base(self) -> None:
        """The tank as it is, in all trials."""
        jobs = [Job(0, trial, BOTH) for trial in range(self.plan.trials)]
        self._carry_out(jobs, "The tank as it is, and the same fish when nobody attacks")

    def choose(self, whom: FishGroup | None) -> None:
        """Settle whom to help, by the first block alone unless it was said, and what there is to try.

        Raises
        ------
        ReliefError
            When none of the fish is in the tank while it is measured, or nothing can be tried.
        """
        if whom is None:
            whom = self._worst_off()
        elif not np.isfinite(self._mean_lost(whom.labels, self.plan.sift[0])):
            raise ReliefError(f"{whom.name}: none is in the tank while it is measured")
        self.whom = whom
        self.changes, self.left_out = ordinary_changes(self.plan.scenario, whom=whom)
        for k, change in enumerate(self.changes):
            if change.scenario is not None:
                self._own_place[k] = len(self._scenarios)
                self._scenarios.append(change.scenario)
        self._tried = [set() for _ in self.changes]
        if not self.changes:
            raise ReliefError("found one fish and nothing that could be changed; allowed: a tank with more")

    def sift(self) -> None:
        """Every change in the first block, the better half of them in the second."""
        first, second = self.plan.sift
        every = range(len(self.changes))
        self._try(every, first, f"First sift: {len(self.changes)} changes")
        ranked = self._ranked(every)
        half = ranked[: (len(ranked) + 1) // 2]
        self._try(half, second, f"Second sift: the better {len(half)} of them")

    def confirm(self) -> None:
        """The best of them on fresh trials, but none that made somebody else worse off."""
        after = self.plan.sift[1].stop
        hopeful = [k for k in self._ranked(range(len(self.changes))) if len(self._tried[k]) == after]
        hopeful = [k for k in hopeful if self._gain(k) < 0 and not self._harms(k)]
        self.finalists = hopeful[:CONFIRMED_MOST]
        if self.finalists:
            self._try(self.finalists, self.plan.fresh, f"Confirming on fresh trials: {len(self.finalists)}")

    def _worst_off(self) -> FishGroup:
        lost = [self._mean_lost(kind.labels, self.plan.sift[0]) for kind in self.kinds]
        if not np.isfinite(lost).any():
            raise ReliefError("no fish is in the tank while it is measured")
        return whom_of(self.kinds[int(np.nanargmax(lost))], why="the worst off in the tank as it is")

    def _mean_lost(self, labels: Iterable[str], trials: Iterable[int]) -> float:
        wanted = tuple(labels)
        values = [value_of(self.seen[0, trial], measure=LOST, labels=wanted) for trial in trials]
        known = [value for value in values if np.isfinite(value)]
        return float(np.mean(known)) if known else NAN

    # ---- running

    def _try(self, which: Iterable[int], trials: range, what: str) -> None:
        """Run some changes; when it is broken off, those trials count that all of them have."""
        which = list(which)
        jobs = [
            Job(place, trial, STOCKED)
            for trial in trials
            for place in dict.fromkeys(self._place(k, trial) for k in which)
            if place > 0 and (place, trial) not in self.seen
        ]
        whole = False
        try:
            self._carry_out(jobs, what)
            whole = True
        finally:
            missing = [job.trial for job in jobs if (job.which, job.trial) not in self.seen]
            end = trials.stop if whole else min(missing, default=trials.stop)
            for k in which:
                self._tried[k] |= set(range(trials.start, end))

    def _carry_out(self, jobs: Sequence[Job], what: str) -> None:
        self._study.carry_out(self._scenarios, jobs, what=what)

    def _place(self, k: int, trial: int) -> int:
        """Number of the scenario that a change is in a trial; 0 where there is no chief chaser."""
        if k in self._own_place:
            return self._own_place[k]
        chief = chief_chaser(self.seen[0, trial], self.whom.one(trial))
        return 0 if chief is None else self._single.get(chief, 0)

    # ---- what a change did

    @property
    def has_compared(self) -> bool:
        """Whether any change was run at all."""
        return any(self._tried)

    @property
    def tanks(self) -> int:
        """How many tanks were simulated, those of the yardstick too."""
        return self._study.tanks

    def trials_of(self, k: int) -> tuple[int, ...]:
        """Numbers of the trials a change was tried in."""
        return tuple(sorted(self._tried[k]))

    def pairs(self, k: int, *, trials: Iterable[int] | None = None) -> list[Pair]:
        """A change and the base in each trial of the change, or in some of them."""
        wanted = self._tried[k] if trials is None else self._tried[k] & set(trials)
        return [(self.seen[self._place(k, trial), trial], self.seen[0, trial]) for trial in sorted(wanted)]

    def values(self, k: int, pairs: Sequence[Pair], *, goal: str) -> tuple[list[float], list[float]]:
        """A goal of the fish to be helped, with the change and in the base; nan where none is in both."""
        new, old = [], []
        for with_it, as_is in pairs:
            trial = as_is.trial
            wanted = self.whom.labels if k in self._own_place else (self.whom.one(trial),)
            both = with_it.inside & as_is.inside & set(wanted)
            new.append(value_of(with_it, measure=goal, labels=both))
            old.append(value_of(as_is, measure=goal, labels=both))
        return new, old

    def _gain(self, k: int) -> float:
        """Mean change of what is lost; nan where the change takes the fish itself out."""
        new, old = self.values(k, self.pairs(k), goal=LOST)
        change = np.array(new) - np.array(old)
        known = change[np.isfinite(change)]
        return float(known.mean()) if len(known) else NAN

    def _ranked(self, which: Iterable[int]) -> list[int]:
        """Changes by what they gain, the best first; those that take the fish itself out are left out."""
        gain = {k: self._gain(k) for k in which}
        return sorted((k for k in gain if np.isfinite(gain[k])), key=lambda k: gain[k])

    def _harms(self, k: int) -> bool:
        found = on_others(self.pairs(k), kinds=self.kinds, whom=self.whom, fixed=self.plan.fixed)
        return any(one.is_worse for one in found)
