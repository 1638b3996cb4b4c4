"""Scenarios side by side: the same trial numbers of a base and of what is compared with it, in batches.

What is compared are the goals, one value a trial, all better the lower.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from functools import partial

import numpy as np

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, Trials
from ....sim.run.trials import Job, Outcome, Work, table_of
from ....sim.scenario.scenario import Scenario
from ...measures.groups import Group, common_trials
from ...measures.pinned import free_shares
from ...measures.rates import values_of
from ...measures.registry import LOST, PINNED, bounds_of
from ...statistics.intervals import Floats, Interval
from ...statistics.paired import Difference, paired_difference, paired_share
from ...study.kept import Kept
from ...study.runner import Batch, Done, Progress, Study, each_kept_job

ARMS = (AS_STOCKED, LEFT_ALONE)

Sharing = Callable[[Sequence[Floats]], Sequence[tuple[int, int]]]  # values so far -> what is run next


def goal_bounds(trials: Trials, *, goal: str) -> Interval:
    """What the mean of a goal over these trials can be, lowest and highest."""
    return bounds_of(goal, freedom=free_shares(trials.arms[LEFT_ALONE]) if goal == LOST else None)


def is_fixed(trials: Trials) -> bool:
    """Whether nothing unmeasured was drawn, so that each trial is independent."""
    return bool(trials.recipe.get("fixed", False))


def paired_goal(other: Floats, *, base: Floats, goal: str, tables: tuple[Trials, Trials]) -> Difference:
    """The difference of one goal, paired over the trial numbers that both tables have.

    Parameters
    ----------
    other, base : a value for each trial of the first and of the second table, as of
        :func:`rockshy.analysis.measures.rates.values_of`.
    tables : of the alternative and of the base.
    """
    one, two = (table.arms[AS_STOCKED] for table in tables)
    here, there = common_trials(one, other=two)
    values, draw, fixed = (other[here], base[there]), two.draw[there], is_fixed(tables[1])
    if goal == PINNED:
        return paired_share(values[0], base=values[1], draw=draw, fixed=fixed)
    (low, high), (low_base, high_base) = (goal_bounds(table, goal=goal) for table in tables)
    bounds = (low - high_base, high - low_base)
    return paired_difference(values[0], base=values[1], draw=draw, bounds=bounds, fixed=fixed)


# ---- running them


def equally(trials: int, *, scenarios: int) -> Sharing:
    """One batch: as many trials of each scenario, trial by trial."""

    def share(values: Sequence[Floats]) -> list[tuple[int, int]]:
        if any(len(one) for one in values):
            return []
        return [(which, trial) for trial in range(trials) for which in range(scenarios)]

    return share


class Design(Study):
    """Trials of a base and its alternatives, shared out by the values so far; whole tables are kept.

    Parameters
    ----------
    plan : called with one array [t] a scenario, its values so far by trial number from 0 on; it returns
        (scenario, trial number) pairs, each scenario going on with its own next numbers, or nothing
        to end. :meth:`rockshy.analysis.statistics.sharing.Sharer.next_batch` is one, :func:`equally` another.
    goal, group : what the values are of; all fish when ``group`` is None.
    arms : set-ups of each trial; None: those of :func:`rockshy.sim.run.trials.set_ups`.
    there : jobs that are finished already.
    progress : called with (jobs done, jobs handed out) after each job, those that were kept included.

    Attributes
    ----------
    done : finished jobs that can be compared. Of a batch that was broken off those before the first
        number that any scenario still misses, so that what is compared stays paired.
    """

    def __init__(
        self,
        scenarios: Sequence[Scenario],
        plan: Sharing,
        *,
        goal: str = LOST,
        group: Group | None = None,
        arms: tuple[str, ...] | None = ARMS,
        there: Mapping[Job, tuple[Outcome, ...]] | None = None,
        progress: Progress | None = None,
    ) -> None:
        super().__init__(scenarios)
        self._there = there or {}
        self._plan, self._arms, self._progress = plan, arms, progress
        self._goal, self._group = goal, group or Group()
        self._whole: list[Done] = []  # of batches that are complete
        self._jobs: list[Job] = []  # of the batch that is run
        self._new: list[Done] = []

    @property
    def done(self) -> list[Done]:
        return self._whole + comparable(self._jobs, self._new)

    @property
    def can_answer(self) -> bool:
        """Whether every scenario has a trial."""
        return len(by_scenario(self.done)) == len(self.scenarios)

    def batches(self) -> Iterator[Batch]:
        """What the plan hands out."""
        values: list[dict[int, float]] = [{} for _ in self.scenarios]
        while handed := self._plan([_in_order(one) for one in values]):
            self._jobs = [Job(which, trial, self._arms) for which, trial in handed]
            for job in self._jobs:
                if job in self._there:
                    self.take(job, self._there[job])
            yield Batch("", [job for job in self._jobs if job not in self._there])
            for which, of_one in by_scenario(self._new).items():
                table = table_of(self.scenarios[which], of_one)
                found = values_of(table, measure=self._goal, group=self._group)
                values[which].update(zip(table.arms[AS_STOCKED].trial.tolist(), found.tolist(), strict=True))
            self._whole += self._new
            self._jobs, self._new = [], []

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Keep a finished job."""
        self._new.append((job, outcomes))
        if self._progress is not None:
            done = len(self._whole) + len(self._new)
            self._progress(done, len(self._whole) + len(self._jobs))

    def tables(self) -> list[Trials]:
        """A table of each scenario.

        Raises
        ------
        ValueError
            When the plan gave a scenario no trial.
        """
        found = by_scenario(self.done)
        if len(found) < len(self.scenarios):
            raise ValueError(
                f"the plan gave trials to {len(found)} of {len(self.scenarios)} scenarios; use one that "
                "gives some to all"
            )
        return [table_of(one, found[k], asked=len(found[k])) for k, one in enumerate(self.scenarios)]


def run_side_by_side(
    scenarios: Sequence[Scenario],
    *,
    plan: Sharing,
    goal: str = LOST,
    group: Group | None = None,
    arms: tuple[str, ...] | None = ARMS,
    there: Mapping[Job, tuple[Outcome, ...]] | None = None,
    executor: Executor | None = None,
    kept: Kept | None = None,
    progress: Progress | None = None,
    on_stop: Callable[[], None] | None = None,
    work: Work | None = None,
) -> list[Trials]:
    """Run what a plan wants and return a Trials table for each scenario; see :class:`Design`.

    Parameters
    ----------
    executor, kept, work : see :func:`rockshy.analysis.study.runner.each_kept_job`.
    on_stop : called when Ctrl-C ended it early; the tables are of what was done so far.

    Raises
    ------
    KeyboardInterrupt
        When Ctrl-C came before every scenario had a trial.
    """
    design = Design(scenarios, plan, goal=goal, group=group, arms=arms, there=there, progress=progress)
    design.carry_out(partial(each_kept_job, kept=kept, executor=executor, work=work))
    if design.stopped and on_stop is not None:
        on_stop()
    return design.tables()


def _in_order(values: dict[int, float]) -> Floats:
    """Values by trial number; numbers must be 0, 1, 2, ... without a gap."""
    if sorted(values) != list(range(len(values))):
        raise ValueError(f"a plan handed out the trials {sorted(values)}; use 0, 1, 2 and so on")
    return np.array([values[trial] for trial in range(len(values))], dtype=float)


def comparable(jobs: Sequence[Job], done: Sequence[Done]) -> list[Done]:
    """Of a batch that was broken off, the trials before the first number that any scenario still misses."""
    finished = {job for job, _ in done}
    missing = min((job.trial for job in jobs if job not in finished), default=None)
    return [one for one in done if missing is None or one[0].trial < missing]


def by_scenario(done: Sequence[Done]) -> dict[int, list[tuple[Outcome, ...]]]:
    """The outcomes of each scenario."""
    found: dict[int, list[tuple[Outcome, ...]]] = {}
    for job, outcomes in done:
        found.setdefault(job.which, []).append(outcomes)
    return found
