"""A question that is asked of days, asked of whole lives instead: what carries out a trial then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from ....sim.run.life import run_weeks
from ....sim.run.trials import Work
from ....sim.scenario.scenario import Scenario
from .design import months_in, plan_of


@dataclass(frozen=True)
class Lived:
    """How long each tank lives; without months days are simulated one after the other.

    Attributes
    ----------
    work : what carries out one trial: its weeks as one record (:func:`rockshy.sim.run.life.run_weeks`).
    simulated_days : of one trial, roughly.
    """

    months: int | None = None
    work: Work | None = None
    simulated_days: float | None = None

    @property
    def options(self) -> dict[str, object]:
        """What a folder of finished work has to say of it."""
        return {} if self.months is None else {"months": self.months}


def lived_of(scenarios: Sequence[Scenario], months: int | None) -> Lived:
    """Lives of so many months; None: of as many as the files reach over, days where none reaches over weeks.

    Raises
    ------
    LifeError
        When one of the scenarios cannot be lived so.
    """
    if months is None:
        months = max((reach for one in scenarios if (reach := months_in(one)) is not None), default=None)
    if months is None:
        return Lived()
    plans = [plan_of(one, months=months) for one in scenarios]
    work = partial(run_weeks, days=plans[0].days)
    return Lived(months, work, max(one.simulated_days for one in plans))
