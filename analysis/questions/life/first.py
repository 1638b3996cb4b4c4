"""The first thing to do, and by when: whoever chases them most out, before it goes wrong; that is lived, too.

One fish of those described alike that give them most chases each is taken out for good in the last week
before it has gone wrong in BY of the tanks. The first tanks are lived through once more with it, so that the
answer says what it is worth and not only that somebody chases.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ....sim.run.trials import Job
from ....sim.scenario import changes
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import FishOut
from ...measures.row import BOTH
from ...measures.victim import first_tanks, victim_of
from ...measures.whom import FishGroup, FishGroupError, Kind
from ...statistics.intervals import Estimate, estimate
from ...study.runner import Batch
from .design import AS_IT_IS, FIRST, Design, Life, LifeError, Plan
from .lived import Lived
from .months import chases_of, lost_of, weights
from .reach import LATEST_D
from .trouble import Trouble, trouble_of

BY = 0.25  # share of the tanks: a keeper acts before it goes wrong in so many (assumption)
WEEK_D = 7
SOONEST_D = 1.0  # where it goes wrong in the first week: the morning after all are in


@dataclass(frozen=True)
class Deed:
    """Which fish is taken out, on which day; ``kind``: those described alike that it is one of."""

    label: str
    kind: Kind
    day: float

    @property
    def week(self) -> int:
        """The week that ends with it, counted from 1; 0 where it cannot be too soon."""
        return int(self.day) // WEEK_D

    def done_to(self, scenario: Scenario) -> Scenario:
        """The same tank with it."""
        return changes.with_events(scenario, FishOut(day=self.day, fish=(self.label,)))


@dataclass(frozen=True)
class First:
    """A deed and what the fish told of lose more with it than without, from its day on, in the same tanks."""

    deed: Deed
    more: Estimate
    kept: tuple[float, float]  # without it and with it, means
    tanks: int

    @property
    def helps(self) -> bool:
        """Whether it does, beyond luck."""
        return self.more.high < 0


class Lives(Design):
    """Lives as they are, then without what is dated, or, where nothing is, with the first thing to do.

    Attributes
    ----------
    deed : what is tried as the first thing to do; None before that is known, and where there is nothing.
    """

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        self.deed: Deed | None = None

    def batches(self) -> Iterator[Batch]:
        """Those of any design; then the first tanks with what is to be done first."""
        yield from super().batches()
        if self.plan.without is not None:
            return
        self.deed = deed_of(self)
        if self.deed is not None:
            self.scenarios.append(self.deed.done_to(self.plan.scenario))
            jobs = [Job(FIRST, trial, BOTH) for trial in first_tanks(self.plan.trials)]
            yield Batch(f"The same with {self.deed.label} out from day {self.deed.day:g} on", jobs)


def told_of(lived: Lived) -> FishGroup:
    """Whom a life is about: who was asked for, else those that lose most over it in the first tanks.

    Raises LifeError when none of the fish is ever measured.
    """
    plan = lived.plan
    if plan.asked is not None:
        return plan.asked
    first = [k for k, one in enumerate(lived.lives) if one.trial in first_tanks(plan.trials)]

    def lost(labels: tuple[str, ...]) -> list[float]:
        return list(lived.lost_all_along(Kind("", "", labels))[first])

    try:
        return victim_of(plan.kinds, lost, watch=plan.scenario.run.watch)
    except FishGroupError as problem:
        raise LifeError(str(problem)) from problem


def deed_of(design: Design) -> Deed | None:
    """What to try first; None where it goes wrong in too few tanks, or nobody else chases them."""
    lived = Lived(design.plan, design.of(AS_IT_IS))
    labels = told_of(lived).labels
    day = _day_of(design.plan, trouble_of(design.plan, lived.lives, labels))
    kind = _chief(lived, labels)
    if day is None or kind is None:
        return None
    came = design.plan.scenario.timeline.stays[kind.labels[0]][0][0]
    last = design.plan.days - LATEST_D
    return Deed(kind.labels[0], kind, max(day, came + SOONEST_D)) if came + SOONEST_D <= last else None


def _day_of(plan: Plan, trouble: Trouble) -> float | None:
    """The end of the last whole week before it has gone wrong in BY of the tanks."""
    days = np.sort([np.inf if one.day is None else one.day for one in trouble.onsets])
    day = days[max(0, int(np.ceil(BY * len(days))) - 1)]
    if not np.isfinite(day):
        return None
    return float(min(max(SOONEST_D, WEEK_D * (day // WEEK_D)), plan.days - LATEST_D))


def _chief(lived: Lived, labels: tuple[str, ...]) -> Kind | None:
    """Of the fish described alike, others than these, those of which each gives them most chases."""
    others = [one for one in lived.plan.kinds if not set(one.labels) & set(labels)]
    people = lived.lives[0].rows[0].labels
    given = np.sum(
        [
            chases_of(one, labels, weight.sum(axis=0))
            for one, weight in zip(lived.lives, lived.monthly, strict=True)
        ],
        axis=0,
    )
    each = [given[[label in one.labels for label in people]].mean() for one in others]
    return others[int(np.argmax(each))] if others and max(each) > 0 else None


def first_of(design: Lives, worst: Kind, lived: Lived) -> First | None:
    """What the first thing to do is worth; None where none was lived through."""
    deed, plan = design.deed, design.plan
    both = [one.trial for one in design.of(FIRST) if (AS_IT_IS, one.trial) in design.lives]
    if deed is None or not both:
        return None
    span = np.array([deed.day]), np.array([float(plan.days)])

    def lost(which: int) -> list[float]:
        lives: list[Life] = [design.lives[which, trial] for trial in both]
        return [float(lost_of(one, worst.labels, weights(one, *span, days=plan.days))[0]) for one in lives]

    without, having = np.array(lost(AS_IT_IS)), np.array(lost(FIRST))
    draw = [design.lives[AS_IT_IS, trial].draw for trial in both]
    more = estimate(having - without, draw=draw, bounds=lived.change_bounds, fixed=plan.fixed)
    return First(deed, more, (1 - float(without.mean()), 1 - float(having.mean())), len(both))
