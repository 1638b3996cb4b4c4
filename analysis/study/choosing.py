"""Trials in which the victim is chosen, for questions that do not run the tank as it is anyhow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from ...sim.run.trials import Job, Outcome
from ...sim.scenario.scenario import Scenario
from ..measures.row import BOTH
from ..measures.victim import first_tanks, victim_of
from ..measures.whom import FishGroup, kinds_of
from .runner import Announce, Batch, Run, Study

CHOOSING = "To see which fish are the worst off"


class _Choosing(Study):
    def __init__(self, scenario: Scenario, place: int) -> None:
        super().__init__([scenario] * (place + 1))
        self._place = place
        self.done: dict[Job, tuple[Outcome, ...]] = {}

    def batches(self) -> Iterator[Batch]:
        trials = self.scenarios[self._place].run.trials
        yield Batch(CHOOSING, [Job(self._place, trial, BOTH) for trial in first_tanks(trials)])

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        super().take(job, outcomes)
        self.done[job] = outcomes


def choose_victim(
    scenario: Scenario, run: Run, *, place: int = 0, told: Announce | None = None
) -> tuple[FishGroup, Mapping[Job, tuple[Outcome, ...]]]:
    """Run the first trials of a tank as it is, and see whom to ask about.

    Parameters
    ----------
    place : number of the scenario in jobs, one that stands for no other scenario of the same folder.

    Returns
    -------
    The victim, and the finished jobs.

    Raises
    ------
    FishGroupError
        See :func:`rockshy.analysis.measures.victim.victim_of`.
    KeyboardInterrupt
        When it was broken off: there is nothing to ask yet.
    """
    work = _Choosing(scenario, place)
    work.carry_out(run, told)
    if work.stopped:
        raise KeyboardInterrupt
    lost = partial(work.lost, place=place)
    return victim_of(kinds_of(scenario), lost, watch=scenario.run.watch), work.done
