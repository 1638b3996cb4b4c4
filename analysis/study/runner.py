"""The one runner: jobs of scenarios, kept on disk, gone on with, and the rows of tanks they leave."""

from __future__ import annotations

import contextlib
import itertools
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from ...sim.run.compact import ReadWhole
from ...sim.run.table import Trials
from ...sim.run.trials import Job, Outcome, Work, each_job, table_of
from ...sim.scenario.scenario import Scenario
from ..measures.registry import LOST
from ..measures.row import BOTH, TankRow, Yardstick, row_of, value_of, yardstick_of
from ..measures.victim import first_tanks
from .kept import Kept
from .layout import StoreError

Done = tuple[Job, tuple[Outcome, ...]]
Run = Callable[[Sequence[Scenario], Sequence[Job]], Iterable[Done]]  # carries out jobs, in any order
Progress = Callable[[int, int], None]  # called with (done, asked)
Announce = Callable[[str, int], None]  # called before jobs are run: what they are for, how many they are


@dataclass(frozen=True)
class Plan:
    """What a question is asked of; each question adds what else it settles before anything runs."""

    scenario: Scenario
    trials: int  # of one scenario at most

    @property
    def fixed(self) -> bool:
        """Whether nothing unmeasured is drawn, so that each trial is independent."""
        return self.scenario.run.fixed


@dataclass(frozen=True)
class Batch:
    """Jobs that are run together, in any order, and what they are for in plain words; "" says nothing."""

    what: str
    jobs: Sequence[Job]


class Study:
    """A design: it says batch by batch what is run next, and keeps a small row of each tank.

    Each question is a subclass. Its :meth:`batches` may be fixed, or decide by the rows of all before: the
    next is asked for when the last is complete, so that a run that was broken off decides as an unbroken one.

    Attributes
    ----------
    scenarios : by the number in jobs; a batch may add to them.
    rows : by scenario and trial.
    alone : the yardstick of each trial in which scenario 0 was run with both set-ups.
    stopped : whether Ctrl-C ended it.
    """

    def __init__(self, scenarios: Iterable[Scenario], *, slim: bool = False) -> None:
        self.scenarios, self._slim, self.stopped = list(scenarios), slim, False
        self.rows: dict[tuple[int, int], TankRow] = {}
        self.alone: dict[int, Yardstick] = {}

    def batches(self) -> Iterator[Batch]:
        """What is run next; scenario 0 comes before others of its trial."""
        raise NotImplementedError

    @property
    def can_answer(self) -> bool:
        """Whether what was done so far is enough to answer from."""
        return bool(self.rows)

    def carry_out(self, run: Run, told: Announce | None = None) -> None:
        """Run all batches; what is broken off leaves the rows of the tanks that ended.

        Parameters
        ----------
        run : carries out jobs; see :func:`each_kept_job`.
        told : see :data:`Announce`.

        Raises
        ------
        KeyboardInterrupt
            When it came before there was anything to answer from.
        """
        try:
            for batch in self.batches():
                if batch.jobs and batch.what and told is not None:
                    told(batch.what, len(batch.jobs))
                for job, outcomes in run(self.scenarios, batch.jobs) if batch.jobs else ():
                    self.take(job, outcomes)
        except KeyboardInterrupt:
            if not self.can_answer:
                raise
            self.stopped = True

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a finished job, held against its own control where it has one, else that of its trial."""
        scenario = self.scenarios[job.which]
        own = yardstick_of(scenario, outcomes) if job.arms == BOTH else None
        if own is not None and job.which == 0:
            self.alone[job.trial] = own
        row = row_of(scenario, job, outcomes, alone=own or self.alone[job.trial])
        self.rows[job.which, job.trial] = replace(row, chases=None, hour_chased=None) if self._slim else row

    @property
    def tanks(self) -> int:
        """How many tanks were simulated, those of the yardstick too."""
        return len(self.rows) + len(self.alone)

    def lost(self, labels: Iterable[str], *, place: int = 0) -> list[float]:
        """What some fish lose in a scenario in each trial that says who is the victim; nan: unjudged.

        See :mod:`rockshy.analysis.measures.victim`.
        """
        wanted = tuple(labels)
        first = first_tanks(1 + max(trial for which, trial in self.rows if which == place))
        return [value_of(self.rows[place, trial], measure=LOST, labels=wanted) for trial in first]


def each_kept_job(
    scenarios: Sequence[Scenario],
    jobs: Iterable[Job],
    *,
    kept: Kept | None = None,
    executor: Executor | None = None,
    work: Work | None = None,
) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
    """Like :func:`rockshy.sim.run.trials.each_job`, but finished jobs come from disk and new ones go there.

    The jobs at the head that are finished are handed on first; every other one is on disk before it is
    handed on. Memory does not fill: columns are read from disk when asked for, until the folder is closed.
    The order depends on what is finished, on the engine and on luck, the set does not.
    Whoever decides by results which jobs come next must therefore hand in one batch of fixed jobs at a
    time, take all of it, and decide from the whole batch: then a run that was broken off decides as an
    unbroken one.

    Parameters
    ----------
    scenarios, jobs, executor, work : see :func:`rockshy.sim.run.trials.each_job`.
    kept : an open folder; None keeps nothing.

    Raises
    ------
    StoreError
        See :class:`Kept`.
    """
    own: Any = {} if work is None else {"work": work}
    if kept is None:
        yield from each_job(scenarios, jobs, executor=executor, **own)
        return
    rest = iter(jobs)
    there: deque[Job] = deque()

    def missing() -> Iterator[Job]:
        for job in rest:
            kept.hold_to(job.which, scenarios[job.which])
            if job in kept:
                there.append(job)
            else:
                yield job

    for job in rest:
        kept.hold_to(job.which, scenarios[job.which])
        if job not in kept:
            break
        yield job, _left_on_disk(kept, job)
    else:
        return
    new: Any = each_job(scenarios, itertools.chain([job], missing()), executor=executor, **own)
    with contextlib.closing(new):
        for job, outcomes in new:
            kept.add(job, outcomes)
            yield job, _left_on_disk(kept, job, outcomes)
            while there:
                ready = there.popleft()
                yield ready, _left_on_disk(kept, ready)
    for job in there:
        yield job, _left_on_disk(kept, job)


def counted(
    scenarios: Sequence[Scenario],
    jobs: Sequence[Job],
    *,
    kept: Kept | None,
    executor: Executor | None,
    progress: Progress | None,
    work: Work | None = None,
) -> Iterator[Done]:
    """See :func:`each_kept_job`; ``progress`` is called with (done, asked) of the jobs that are new."""
    there = {job for job in jobs if kept is not None and job in kept}
    done = 0
    for job, outcomes in each_kept_job(scenarios, jobs, kept=kept, executor=executor, work=work):
        yield job, outcomes
        if job not in there:
            done += 1
            if progress is not None:
                progress(done, len(jobs) - len(there))


@dataclass(frozen=True)
class Runner:
    """Carries out jobs out of a folder and on an executor, for a design that says what to run next."""

    kept: Kept | None
    executor: Executor | None
    progress: Progress | None
    work: Work | None = None

    def __call__(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        kept, executor, progress = self.kept, self.executor, self.progress
        return counted(scenarios, jobs, kept=kept, executor=executor, progress=progress, work=self.work)


def _left_on_disk(kept: Kept, job: Job, there: Sequence[Outcome] | None = None) -> tuple[Outcome, ...]:
    """The outcomes of a finished job, their columns read from disk whenever they are asked for."""

    def read(place: int) -> Mapping[str, Any]:
        return _found(kept, job)[place].columns

    outcomes = enumerate(there or _found(kept, job))
    return tuple(replace(one, columns=ReadWhole(partial(read, place))) for place, one in outcomes)


def _found(kept: Kept, job: Job) -> tuple[Outcome, ...]:
    outcomes = kept.find(job)
    if outcomes is None:
        raise StoreError(f"{kept.file}: trial {job.trial} of scenario {job.which} has gone from it")
    return outcomes


def kept_trials(
    scenario: Scenario,
    *,
    kept: Kept | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Trials:
    """Run all trials of a scenario, those left to run where some are kept; see ``run_trials``.

    Parameters
    ----------
    scenario : what to run.
    kept, executor : see :func:`each_kept_job`.
    progress : called with (done, asked) after each trial that was run.

    Returns
    -------
    Trials
        The same, bit for bit, wherever a run was broken off. With KeyboardInterrupt: of what was done
        so far, at least one trial.
    """
    asked = scenario.run.trials
    jobs = [Job(0, trial) for trial in range(asked)]
    there = {job for job in jobs if kept is not None and job in kept}
    done: list[tuple[Outcome, ...]] = []
    try:
        for job, outcomes in each_kept_job([scenario], jobs, kept=kept, executor=executor):
            done.append(outcomes)
            if progress is not None and job not in there:
                progress(len(done), asked)
    except KeyboardInterrupt:
        if not done:
            raise
    return table_of(scenario, done, asked=asked)
