"""How long simulating will take, said beforehand: worked out from fish, lit hours and cores, not timed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from typing import TYPE_CHECKING

from ..asking.progress import say
from ..document.plain import many as counted
from ..study.cost import core_seconds

if TYPE_CHECKING:
    from ...sim.run.trials import Job
    from ...sim.scenario.scenario import Scenario


def about(seconds: float) -> str:
    """A rough time, rounded so as to read as one: "about 20 seconds", "about 3 minutes"."""
    if seconds < 10:
        return "a few seconds"
    if seconds < 90:
        return f"about {round(seconds / 10) * 10} seconds"
    if seconds < 90 * 60:
        return f"about {round(seconds / 60)} minutes"
    return f"about {round(seconds / 3600)} hours"


def how_long(
    scenarios: Sequence[Scenario],
    jobs: Iterable[Job],
    *,
    executor: Executor | None = None,
    days: float | None = None,
) -> str:
    """How long jobs will take on an executor, in words; on the cores of this computer when None.

    ``days``: see :func:`core_seconds`.
    """
    from ...sim.run.set_ups import set_ups

    total = 0.0
    for job in jobs:
        one = scenarios[job.which]
        many = len(set_ups(one) if job.arms is None else job.arms)
        total += core_seconds(one, set_ups=many, trials=1, days=days)
    return about(total / int(getattr(executor, "places", os.cpu_count() or 1)))


def say_how_long(
    scenario: Scenario, *, executor: Executor | None = None, there: int = 0, days: float | None = None
) -> None:
    """Say how long the trials of a scenario will take, ``there`` of which are finished.

    ``days``: see :func:`core_seconds`.
    """
    from ...sim.run.trials import Job

    left = range(there, scenario.run.trials)
    if left:
        took = how_long([scenario], (Job(0, trial) for trial in left), executor=executor, days=days)
        say(f"{counted(len(left), 'simulated tank')} to run: {took} here.")
