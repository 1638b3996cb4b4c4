"""Simulated tanks as they end: counted, shown again and again, and what is done kept when they are halted."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from ....sim.run.model import HaltedError
from ....sim.run.set_ups import set_ups
from ....sim.run.trials import Job, Outcome, Work, each_job
from ....sim.scenario.scenario import Scenario
from ...asking.found import refusing_rock
from ...study.remembered import each_remembered
from ...study.runner import Done
from ..task import Task

T = TypeVar("T")
REST = 3.0  # times as long as the last result took, until the next one is begun


@dataclass(frozen=True)
class Longer:
    """What is done in a trial instead of running it; ``name`` tells it from whatever else is remembered.

    ``said``: why it takes long, while there is nothing else to tell.
    """

    name: str = ""
    work: Work | None = None
    said: str = ""


def each_done(
    task: Task, scenarios: Sequence[Scenario], jobs: Sequence[Job], *, longer: Longer = Longer()
) -> Iterator[Done]:
    """Each job of some scenarios with its outcomes, as it ends; those first that were ever run before.

    Raises HaltedError when the task is to end, RefusedError when the rock of a tank leaves no water.
    """

    def run(scenarios: Sequence[Scenario], left: Sequence[Job]) -> Iterator[Done]:
        how: dict[str, Any] = {} if longer.work is None else {"work": longer.work}
        yield from each_job(scenarios, left, executor=task.executor, halted=task.halted, **how)

    with refusing_rock(task.draft.name):
        yield from each_remembered(scenarios, jobs, run=run, remembered=task.remembered, work=longer.name)


def each_trial(task: Task, scenario: Scenario) -> Iterator[tuple[Outcome, ...]]:
    """Every trial of a scenario with all of its set-ups, as it ends; raises as :func:`each_done`.

    The set-ups of the first one run side by side, so that there is something to show as soon as can be.
    """
    names = set_ups(scenario)
    jobs = [Job(0, 0, (name,)) for name in names]
    jobs += [Job(0, trial) for trial in range(1, scenario.run.trials)]
    first: dict[str, Outcome] = {}
    for job, outcomes in each_done(task, [scenario], jobs):
        if job.trial > 0:
            yield outcomes
            continue
        first.update((one.name, one) for one in outcomes)
        if len(first) == len(names):
            yield tuple(first[name] for name in names)


class Pace:
    """When a newer result is worth working out: somebody wants one, and trials have most of the time."""

    def __init__(self, task: Task, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._task, self._clock = task, clock
        self._not_before = clock()

    def is_due(self) -> bool:
        """Whether to work one out now."""
        return self._task.is_due() and self._clock() >= self._not_before

    def made(self, make: Callable[[], T]) -> T:
        """A result, worked out now."""
        began = self._clock()
        result = make()
        now = self._clock()
        self._not_before = now + REST * (now - began)
        return result


class Count:
    """How many simulated tanks are done of those asked for so far, and what is done now."""

    def __init__(self, task: Task, asked: int = 0, *, longer: Longer = Longer()) -> None:
        self.task, self.asked, self.done, self.told = task, asked, 0, ""
        self.longer = longer

    def begin(self, said: str, jobs: int) -> None:
        """So many more are asked for, and why."""
        self.asked += jobs
        self.told = said
        self.post()

    def post(self, result: Mapping[str, Any] | None = None, *, told: str = "") -> None:
        """Show a result, or how far it is."""
        self.task.post(result, done=self.done, asked=self.asked, told=told or self.told or self.longer.said)

    def run(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        """Each job with its outcomes; a task that is to end breaks a search off as Ctrl-C does."""
        try:
            for one in each_done(self.task, scenarios, jobs, longer=self.longer):
                self.done += 1
                self.post()
                yield one
        except HaltedError as halt:
            raise KeyboardInterrupt from halt


def show_as_they_end(
    task: Task,
    runs: Iterable[T],
    asked: int,
    result: Callable[[Sequence[T]], Mapping[str, Any]],
    *,
    usable: Callable[[Sequence[T]], Sequence[T]] = lambda done: done,
    longer: Longer = Longer(),
) -> None:
    """Show what runs come to whenever that is due, and at the end, also when they are halted.

    ``usable``: those of the finished runs that a result can be of. Raises HaltedError when there are none.
    """
    done: list[T] = []
    shown, pace, count = 0, Pace(task), Count(task, asked, longer=longer)

    def post(*, is_due: bool) -> None:
        nonlocal shown
        those = usable(done) if is_due else ()
        count.done = len(done)
        if len(those) > shown:
            shown = len(those)
            pace.made(lambda: count.post(result(those)))
        else:
            count.post()

    post(is_due=False)
    try:
        for one in runs:
            done.append(one)
            post(is_due=len(done) < asked and pace.is_due())
    except HaltedError:
        if not usable(done):
            raise
    post(is_due=True)
