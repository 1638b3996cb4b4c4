"""Which tanks are simulated for the screening and for the rows of the indices.

Scenario ``k`` of the screening is point ``k``, in trial ``k``. Row ``r`` of the indices has trials of its
own, the same at each of its points. A point that differs from A only by guesses that do nothing when nobody
attacks has the left-alone control of A: which those are is seen in the first rows, to the last bit, and
saves simulating.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import qmc

from ....sim.run.table import LEFT_ALONE
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ...measures.registry import LOST, PINNED_FISH, RECEIVED
from ...measures.row import BOTH, STOCKED, Yardstick, row_of, value_of, yardstick_of
from ...measures.whom import FishGroup
from ...statistics.intervals import Floats
from ...study import runner
from ...study.runner import Batch, Done, Study
from .indices import FIRST_SLOTS, LEAST_ROWS, Points, design_of
from .inputs import Guess, GuessError, columns_of, guesses_of, scenario_at
from .screen import Screening, screen

ANSWERS = (LOST, RECEIVED, PINNED_FISH)
MOST = 7  # guesses whose shares are worked out one by one
REPEATS = 2  # trials a point
SCREENED, MOST_SCREENED = 4, 256  # points of the screening for each row of the indices, and at most
PROBED = 2  # rows in which every left-alone control is run
ROWS = 64
LONGEST_DAYS = 1.0  # simulated after the last arrival, unless asked for
SELDOM = 0.02  # a pinned chance below this leaves nothing to share out (assumption)
NOT_JUDGED = "in some simulated tanks none of them can be judged, as holding females do not count as pinned"
CONSTANT = {
    LOST: "they lose the same in every simulated tank",
    RECEIVED: "they are chased equally often in every simulated tank",
    PINNED_FISH: "it is the same in every simulated tank",
}


@dataclass(frozen=True)
class Plan(runner.Plan):
    """How many points, each of ``trials``; ``most`` guesses are followed up, the rest is one more lot."""

    guesses: tuple[Guess, ...]
    rows: int
    screened: int
    most: int = MOST

    @property
    def slots(self) -> int:
        """Places kept for the points of a row, used or not."""
        return FIRST_SLOTS + self.most + 1

    @property
    def scenarios(self) -> int:
        """Places of points, used or not."""
        return self.screened + self.rows * self.slots

    @property
    def tanks(self) -> int:
        """Simulated tanks at most, each with its left-alone control."""
        return self.screened + self.rows * self.slots * self.trials


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
            f"only one thing is left open, {guesses[0].name}, so all of the spread comes from it; use a "
            "scenario that leaves at least two open"
        )
    counts = [2**k for k in range(3, 12)]
    plans = [
        Plan(scenario, REPEATS, guesses, rows, min(SCREENED * rows, MOST_SCREENED), MOST) for rows in counts
    ]
    asked = next(one for one in plans if one.rows == ROWS).tanks if tanks is None else tanks
    fitting = [one for one in plans if one.rows >= LEAST_ROWS and one.tanks <= asked]
    if not fitting:
        raise GuessError(
            f"{asked} simulated tanks are too few; use at least {plans[0].tanks}: many sets of guesses are "
            "tried, with some tanks for each"
        )
    return fitting[-1]


class Design(Study):
    """The points of a plan, for some fish: the screening, then row by row those of the indices.

    Attributes
    ----------
    screened : [answers, points] answers at the ``points`` of the screening, nan where no fish can be judged.
    screening, goals : what is followed up by it, and which answers vary, once it was run.
    pages : the points of the rows.
    values : [answers, rows, slots, trials] answers at them, nan where none of the fish can be judged.
    entered : [rows, slots, trials] was simulated.
    same_alone : slots whose left-alone control is that of A.
    """

    def __init__(self, plan: Plan, whom: FishGroup) -> None:
        super().__init__([])
        self.plan, self.whom = plan, whom
        self.columns = columns_of(plan.guesses)
        seed = np.random.default_rng([plan.scenario.run.seed, 0])
        self.points = qmc.Sobol(d=sum(map(len, self.columns)), seed=seed, bits=64).random(plan.screened)
        self.screened = np.full((len(ANSWERS), plan.screened), np.nan)
        self.goals: tuple[str, ...] = ()
        self.why: dict[str, str] = {}  # an answer cannot be shared out; "" when it can
        self.screening: Screening
        self.pages: Points
        self.values = self.entered = np.zeros(0)
        self.same_alone: tuple[int, ...] = ()
        self._controls: dict[tuple[int, int, int], Outcome] = {}
        self._of_a: dict[tuple[int, int], Yardstick] = {}
        self._waiting: dict[tuple[int, int], list[Done]] = {}

    # ---- what is run next

    def batches(self) -> Iterator[Batch]:
        """The screening; the first rows, to see which controls are those of A; the other rows.

        Raises
        ------
        GuessError
            When no answer varies, so that there is nothing to share out.
        """
        self.scenarios += [scenario_at(self.plan.scenario, self.plan.guesses, point) for point in self.points]
        jobs = [Job(k, k, BOTH) for k in range(self.plan.screened)]
        yield Batch("A first look: every guess varied at once (screening)", jobs)
        self._follow_up()
        probed = range(min(PROBED, self.plan.rows))
        what = "The first sets of guesses, each with the same fish left alone for comparison"
        yield Batch(what, self._jobs(probed))
        found = self._controls
        differ = {slot for (row, slot, k), one in found.items() if not _is_same(one, found[row, 0, k])}
        self.same_alone = tuple(k for k in range(FIRST_SLOTS, self.pages.slots) if k not in differ)
        self._controls = {}
        yield Batch(
            "The other sets of guesses, to share the spread out",
            self._jobs(range(probed.stop, self.plan.rows)),
        )

    @property
    def can_answer(self) -> bool:
        """Whether there are enough whole rows."""
        return self.whole >= LEAST_ROWS

    @property
    def whole(self) -> int:
        """Rows from the first on of which every point was simulated."""
        if not self.entered.size:
            return 0
        missing = np.flatnonzero(~self.entered.all(axis=(1, 2)))
        return int(missing[0]) if len(missing) else len(self.entered)

    @property
    def tanks(self) -> int:
        """Simulated tanks so far, without the controls."""
        return self.plan.screened + int(self.entered.sum())

    def _follow_up(self) -> None:
        """Which answers vary and which guesses act on them, and the points of the rows."""
        plan = self.plan
        self.why = {goal: _why_not(goal, of) for goal, of in zip(ANSWERS, self.screened, strict=True)}
        self.goals = tuple(goal for goal in ANSWERS if not self.why[goal])
        if not self.goals:
            said = "; ".join(f"{goal}: {reason}" for goal, reason in self.why.items())
            raise GuessError(f"there is no spread to share out ({said}); use fish that are chased")
        varying = [self.screened[ANSWERS.index(goal)] for goal in self.goals]
        found = screen(self.points, varying, columns=self.columns, most=plan.most)
        if len(plan.guesses) <= plan.most + 1:  # all are kept where there are few enough
            found = replace(found, kept=tuple(range(len(plan.guesses))))
        self.screening = found
        rest = [own for k, own in enumerate(self.columns) if k not in found.kept]
        pages = [self.columns[k] for k in found.kept] + ([np.concatenate(rest)] if rest else [])
        self.pages = design_of(pages, rows=plan.rows, seed=plan.scenario.run.seed)
        shape = (plan.rows, self.pages.slots, plan.trials)
        self.values, self.entered = np.full((len(ANSWERS), *shape), np.nan), np.zeros(shape, dtype=bool)
        self.scenarios += [plan.scenario] * (plan.rows * plan.slots)  # places of slots that are not used
        for row in range(plan.rows):
            for slot, point in enumerate(self.pages.row(row)):
                self.scenarios[self._which(row, slot)] = scenario_at(plan.scenario, plan.guesses, point)

    def _jobs(self, rows: Iterable[int]) -> list[Job]:
        """Row by row, so that a run that is broken off leaves whole rows."""
        return [
            Job(
                self._which(row, slot),
                self.plan.screened + row * self.plan.trials + repeat,
                STOCKED if slot in self.same_alone else BOTH,
            )
            for row in rows
            for repeat in range(self.plan.trials)
            for slot in range(self.pages.slots)
        ]

    def _which(self, row: int, slot: int) -> int:
        return self.plan.screened + row * self.plan.slots + slot

    def _place(self, job: Job) -> tuple[int, int, int]:
        """Row, slot and trial of its point."""
        row, slot = divmod(job.which - self.plan.screened, self.plan.slots)
        return row, slot, job.trial - self.plan.screened - row * self.plan.trials

    # ---- one tank

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a finished job; a point that shares the control of A is judged once A is done."""
        scenario = self.scenarios[job.which]
        if job.which < self.plan.screened:
            self.screened[:, job.which] = self._answers(job, outcomes, yardstick_of(scenario, outcomes))
            return
        row, slot, trial = self._place(job)
        if job.arms == BOTH:
            alone = yardstick_of(scenario, outcomes)
            self._enter((job, outcomes), alone)
            if row < PROBED:
                self._controls[row, slot, trial] = next(one for one in outcomes if one.name == LEFT_ALONE)
            if slot == 0:
                self._of_a[row, trial] = alone
        else:
            self._waiting.setdefault((row, trial), []).append((job, outcomes))
        if (row, trial) in self._of_a:
            for done in self._waiting.pop((row, trial), []):
                self._enter(done, self._of_a[row, trial])

    def _enter(self, done: Done, alone: Yardstick) -> None:
        row, slot, trial = self._place(done[0])
        self.values[:, row, slot, trial] = self._answers(*done, alone)
        self.entered[row, slot, trial] = True

    def _answers(self, job: Job, outcomes: tuple[Outcome, ...], alone: Yardstick) -> Floats:
        row = row_of(self.scenarios[job.which], job, outcomes, alone=alone)
        return np.array([value_of(row, measure=one, labels=self.whom.labels) for one in ANSWERS])


def _why_not(goal: str, values: Floats) -> str:
    """Why an answer cannot be shared out, as the screening shows; "" when it can."""
    if not np.isfinite(values).all():
        return NOT_JUDGED
    if np.ptp(values) <= 1e-12:
        return CONSTANT[goal]
    if goal == PINNED_FISH and values.mean() < SELDOM:
        return f"it is {100.0 * values.mean():.1f} % whatever is guessed, too little to share out"
    return ""


def _is_same(one: Outcome, other: Outcome) -> bool:
    return all(
        np.array_equal(column, other.columns[name], equal_nan=column.dtype.kind == "f")
        for name, column in one.columns.items()
    )
