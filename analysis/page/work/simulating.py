"""Simulated tanks as they end, with a word to the page after each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....sim.run.set_ups import set_ups
from ....sim.run.trials import Job, Outcome, each_job
from ....sim.scenario.scenario import Scenario
from ...asking.found import refusing_rock
from ...study.runner import Done
from ..task import Task


def each_done(task: Task, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
    """Each job of some scenarios with its outcomes, as it ends.

    Raises
    ------
    HaltedError
        When the task is to end.
    RefusedError
        When the rock of one of the tanks leaves no water.
    """
    with refusing_rock(task.draft.name):
        yield from each_job(scenarios, jobs, executor=task.executor, halted=task.halted)


def each_trial(task: Task, scenario: Scenario) -> Iterator[tuple[Outcome, ...]]:
    """Every trial of a scenario with all of its set-ups, as it ends.

    The set-ups of the first one run side by side, so that there is something to show as soon as can be.

    Raises
    ------
    HaltedError, RefusedError
        See :func:`each_done`.
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
