"""Running the points: which tanks are simulated for the screening and for the rows of the indices.

Scenario ``k`` of the screening is point ``k``, in trial ``k``. Row ``r`` of the indices has trials of its
own, the same at each of its points, so that a difference within a row is of one tank, one set of fish and one
start of the luck. A point that differs from A only by guesses that do nothing when nobody attacks has the
very same left-alone control as A; which guesses those are is seen in the first rows, to the last bit, and
saves simulating it again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from ....sim.run.table import LEFT_ALONE
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ...measures.registry import LOST, PINNED_FISH, RECEIVED
from ...measures.row import BOTH, STOCKED, Yardstick, row_of, value_of, yardstick_of
from ...measures.whom import FishGroup
from ...statistics.intervals import Floats
from ...study.runner import Announce, Done, Run
from .indices import FIRST_SLOTS, LEAST_ROWS, Design, design_of
from .inputs import Guess, GuessError, columns_of, guesses_of, scenario_at

ANSWERS = (LOST, RECEIVED, PINNED_FISH)
MOST = 7  # guesses whose shares are worked out one by one
REPEATS = 2  # trials a point
SCREENED, MOST_SCREENED = 4, 256  # points of the screening for each row of the indices, and at most
PROBED = 2  # rows in which every left-alone control is run
ROWS = 64
LONGEST_DAYS = 1.0  # simulated after the last arrival, unless asked for


@dataclass(frozen=True)
class Plan:
    """How many points and trials; ``most`` guesses are followed up, what is left is one more lot."""

    scenario: Scenario
    guesses: tuple[Guess, ...]
    rows: int
    screened: int
    repeats: int = REPEATS
    most: int = MOST

    @property
    def slots(self) -> int:
        """Places kept for the points of a row, used or not."""
        return FIRST_SLOTS + self.most + 1

    @property
    def tanks(self) -> int:
        """Simulated tanks at most, each with its left-alone control."""
        return self.screened + self.rows * self.slots * self.repeats


def plan_of(scenario: Scenario, *, tanks: int | None = None) -> Plan:
    """As many rows as the simulated tanks asked for allow.

    Parameters
    ----------
    tanks : at most so many simulated tanks; enough for ROWS rows when None.

    Raises
    ------
    GuessError
        When there is nothing to share out, or too few tanks.
    """
    guesses = guesses_of(scenario)
    if len(guesses) < 2:
        raise GuessError(
            f"only one thing is left open, {guesses[0].name}: it carries all of the spread; allowed: a "
            "scenario that leaves at least two open"
        )
    counts = [2**k for k in range(3, 12)]
    plans = [Plan(scenario, guesses, rows, min(SCREENED * rows, MOST_SCREENED), most=MOST) for rows in counts]
    asked = next(one for one in plans if one.rows == ROWS).tanks if tanks is None else tanks
    fitting = [one for one in plans if one.rows >= LEAST_ROWS and one.tanks <= asked]
    if not fitting:
        raise GuessError(
            f"found {asked} simulated tanks; allowed: at least {plans[0].tanks}, since every point needs "
            "some and many points are needed"
        )
    return fitting[-1]


@dataclass
class Rows:
    """Answers at the points of the rows; nan where none of the fish can be judged."""

    design: Design
    values: Floats  # [answers, rows, slots, trials]
    entered: NDArray[np.bool_]  # [rows, slots, trials] was simulated
    same_alone: tuple[int, ...] = ()  # slots whose left-alone control is that of A

    @property
    def tanks(self) -> int:
        """Simulated tanks so far."""
        return int(self.entered.sum())

    @property
    def whole(self) -> int:
        """Rows from the first on of which every point was simulated."""
        missing = np.flatnonzero(~self.entered.all(axis=(1, 2)))
        return int(missing[0]) if len(missing) else len(self.entered)


@dataclass
class Screened:
    """Answers at the points of the screening, [answers, points]."""

    points: Floats
    values: Floats


class Work:
    """Simulates the points of a plan for some fish."""

    def __init__(self, plan: Plan, run: Run, *, whom: FishGroup, told: Announce | None = None) -> None:
        self.plan, self._run, self._whom, self._told = plan, run, whom, told
        self.columns = columns_of(plan.guesses)

    # ---- screening

    def screening(self) -> Screened:
        """Every point once."""
        inputs = sum(map(len, self.columns))
        seed = np.random.default_rng([self.plan.scenario.run.seed, 0])
        points = qmc.Sobol(d=inputs, seed=seed, bits=64).random(self.plan.screened)
        scenarios = [self._at(point) for point in points]
        values = np.full((len(ANSWERS), len(points)), np.nan)
        self._say("Screening: every guess moved at once", len(points))
        for job, outcomes in self._run(scenarios, [Job(k, k, BOTH) for k in range(len(points))]):
            alone = yardstick_of(scenarios[job.which], outcomes)
            values[:, job.which] = self._answers(scenarios[job.which], job, outcomes, alone)
        return Screened(points, values)

    # ---- rows

    def rows(self, kept: Sequence[int]) -> Rows:
        """Every row of the indices; after Ctrl-C those that are whole.

        Parameters
        ----------
        kept : guesses with pages of their own; all others share the last page.
        """
        rest = [own for k, own in enumerate(self.columns) if k not in kept]
        pages = [self.columns[k] for k in kept] + ([np.concatenate(rest)] if rest else [])
        design = design_of(pages, rows=self.plan.rows, seed=self.plan.scenario.run.seed)
        shape = (self.plan.rows, design.slots, self.plan.repeats)
        found = Rows(design, np.full((len(ANSWERS), *shape), np.nan), np.zeros(shape, dtype=bool))
        scenarios = self._scenarios(design)
        probed = range(min(PROBED, self.plan.rows))
        later = range(probed.stop, self.plan.rows)
        try:
            self._probe(found, scenarios, probed)
            self._go_on(found, scenarios, later)
        except KeyboardInterrupt:
            if found.whole < LEAST_ROWS:
                raise
        return found

    def _scenarios(self, design: Design) -> list[Scenario]:
        """By the number in jobs; numbers of slots that are not used stand for the scenario as it is."""
        every = [self.plan.scenario] * (self.plan.screened + self.plan.rows * self.plan.slots)
        for row in range(self.plan.rows):
            for slot, point in enumerate(design.row(row)):
                every[self._which(row, slot)] = self._at(point)
        return every

    def _probe(self, found: Rows, scenarios: Sequence[Scenario], rows: range) -> None:
        """The first rows with every control, and which of those controls are A's to the last bit."""
        controls: dict[tuple[int, int, int], Outcome] = {}
        jobs = self._jobs(found, rows)
        self._say("The first rows of points, every one with its own left-alone control", len(jobs))
        for job, outcomes in self._run(scenarios, jobs):
            controls[self._place(job)] = next(one for one in outcomes if one.name == LEFT_ALONE)
            self._enter(found, scenarios, (job, outcomes), yardstick_of(scenarios[job.which], outcomes))
        differ = {slot for (row, slot, k), one in controls.items() if not _is_same(one, controls[row, 0, k])}
        found.same_alone = tuple(k for k in range(FIRST_SLOTS, found.design.slots) if k not in differ)

    def _go_on(self, found: Rows, scenarios: Sequence[Scenario], rows: range) -> None:
        """The other rows; a point that shares the control of A is judged once A is done."""
        of_a: dict[tuple[int, int], Yardstick] = {}
        waiting: list[Done] = []
        jobs = self._jobs(found, rows)
        if jobs:
            self._say("The other rows, to share the spread out", len(jobs))
        for job, outcomes in self._run(scenarios, jobs):
            row, slot, trial = self._place(job)
            if slot in found.same_alone:
                waiting.append((job, outcomes))
            else:
                alone = yardstick_of(scenarios[job.which], outcomes)
                self._enter(found, scenarios, (job, outcomes), alone)
                if slot == 0:
                    of_a[row, trial] = alone
            ready = [done for done in waiting if self._row_and_trial(done[0]) in of_a]
            waiting = [done for done in waiting if self._row_and_trial(done[0]) not in of_a]
            for done in ready:
                self._enter(found, scenarios, done, of_a[self._row_and_trial(done[0])])

    def _jobs(self, found: Rows, rows: Iterable[int]) -> list[Job]:
        """Row by row, so that a run that is broken off leaves whole rows."""
        return [
            Job(
                self._which(row, slot),
                self.plan.screened + row * self.plan.repeats + repeat,
                STOCKED if slot in found.same_alone else BOTH,
            )
            for row in rows
            for repeat in range(self.plan.repeats)
            for slot in range(found.design.slots)
        ]

    def _which(self, row: int, slot: int) -> int:
        return self.plan.screened + row * self.plan.slots + slot

    def _place(self, job: Job) -> tuple[int, int, int]:
        """Row, slot and trial of its point."""
        row, slot = divmod(job.which - self.plan.screened, self.plan.slots)
        return row, slot, job.trial - self.plan.screened - row * self.plan.repeats

    def _row_and_trial(self, job: Job) -> tuple[int, int]:
        row, _, trial = self._place(job)
        return row, trial

    # ---- one tank

    def _enter(self, found: Rows, scenarios: Sequence[Scenario], done: Done, alone: Yardstick) -> None:
        job, outcomes = done
        row, slot, trial = self._place(job)
        found.values[:, row, slot, trial] = self._answers(scenarios[job.which], job, outcomes, alone)
        found.entered[row, slot, trial] = True

    def _answers(
        self, scenario: Scenario, job: Job, outcomes: tuple[Outcome, ...], alone: Yardstick
    ) -> Floats:
        row = row_of(scenario, job, outcomes, alone=alone)
        labels = self._whom.labels
        return np.array([value_of(row, measure=one, labels=labels) for one in ANSWERS])

    def _at(self, point: Floats) -> Scenario:
        return scenario_at(self.plan.scenario, self.plan.guesses, point)

    def _say(self, what: str, tanks: int) -> None:
        if self._told is not None:
            self._told(what, tanks)


def _is_same(one: Outcome, other: Outcome) -> bool:
    return all(
        np.array_equal(column, other.columns[name], equal_nan=column.dtype.kind == "f")
        for name, column in one.columns.items()
    )
