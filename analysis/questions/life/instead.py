"""A question that is asked of days, asked of whole lives instead: what carries out a trial then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from ....sim.run.trials import Work
from ....sim.run.weeks import run_weeks
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import FishIn
from .design import plan_of
from .reach import months_in

Tried = Callable[[Scenario, int], Sequence[Scenario]]


@dataclass(frozen=True)
class Lived:
    """How long each tank lives; without months days are simulated one after the other.

    Attributes
    ----------
    work : what carries out one trial: its weeks as one record (:func:`rockshy.sim.run.weeks.run_weeks`).
    simulated_days : of one trial, roughly.
    since : the day from which on weeks count: in all of them the last fish is in. Else those would look
        best that are kept waiting for trouble longest.
    """

    months: int | None = None
    work: Work | None = None
    simulated_days: float | None = None
    since: float = 0.0

    @property
    def options(self) -> dict[str, object]:
        """What a folder of finished work has to say of it."""
        return {} if self.months is None else {"months": self.months, "since": self.since}


def lived_of(scenarios: Sequence[Scenario], months: int | None, *, tried: Tried | None = None) -> Lived:
    """Lives of so many months; None: of as many as the files reach over, days where none reaches over weeks.

    ``tried``: what else is tried in lives of so many months, and may stock fish later still.

    Raises
    ------
    LifeError
        When one of the scenarios cannot be lived so.
    """
    if months is None:
        months = max((reach for one in scenarios if (reach := months_in(one)) is not None), default=None)
    if months is None:
        return Lived()
    scenarios = (*scenarios, *(tried(scenarios[0], months) if tried is not None else ()))
    plans = [plan_of(one, months=months) for one in scenarios]
    since = max(one.day for scenario in scenarios for one in scenario.timeline.of(FishIn))
    work = partial(run_weeks, days=plans[0].days, since=since)
    return Lived(months, work, max(one.simulated_days for one in plans), since)
