"""What the lives come to: month by month, the worst-off kind, who chases it, what dated changes do."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ....sim.scenario.timeline import Event
from ...measures.givers import Giver
from ...measures.whom import FishGroup, Kind
from ...statistics.intervals import Estimate, estimate
from ...study.runner import Announce, Run
from .design import AS_IT_IS, WITHOUT, Life, LifeError, Plan
from .first import First, Lives, first_of, told_of
from .lived import Lived, Month, Size
from .months import lost_of, mean_of, weeks_of, weights
from .trouble import Trouble, trouble_of
from .who import Stretches, Turned, stretches_of, turned_of


@dataclass(frozen=True)
class Answer:
    """What the lives come to.

    Attributes
    ----------
    whom : whom it is told of, and why: the one asked about, else the victim over the whole life
        (:mod:`rockshy.analysis.measures.victim`); ``worst`` is the same as a kind, ``lost`` what it loses.
    months : from the first to the last.
    first, turn, last : the month in which the worst-off kind is first in, the one in which it loses most, and
        the last one that it is in; counted from 1.
    turned, moved : what it loses more in ``turn``, and in ``last``, than in ``first``, tank by tank.
    way : WORSE or BETTER over the months, where that can be told from luck although the month was picked;
        else STEADY.
    trouble : when it goes wrong for it.
    givers : who gives it its chases, the largest share first.
    unsexed : what unsexed fish turned out to be.
    monthly, weekly : who holds ground and who chases whom; ``lost_weekly``: what each kind loses.
    dated : what it loses more, from the first dated change on, than without the changes; None without any.
    to_do : the first thing to do, by when, and what it is worth; None where something is dated, it goes wrong
        in few tanks, or nobody chases them.
    sizes : of each kind.
    """

    plan: Plan
    whom: FishGroup
    worst: Kind
    lost: Estimate
    months: tuple[Month, ...]
    first: int
    turn: int
    last: int
    turned: Estimate
    moved: Estimate
    way: str
    trouble: Trouble
    givers: tuple[Giver, ...]
    dated: Estimate | None
    to_do: First | None
    sizes: tuple[Size, ...]
    unsexed: tuple[Turned, ...]
    monthly: Stretches
    weekly: Stretches
    lost_weekly: dict[str, tuple[float, ...]]
    lives: tuple[Life, ...]
    tanks: int
    stopped: bool

    @property
    def dates(self) -> tuple[Event, ...]:
        """What happens after the first morning and before the end, in order."""
        events = self.plan.scenario.timeline.events
        return tuple(one for one in events if one.dated and 0 < one.day < self.plan.days)

    def of(self, number: int) -> Month:
        """A month by its number."""
        return self.months[number - 1]


def answer_of(plan: Plan, run: Run, *, told: Announce | None = None) -> Answer:
    """Live all lives and work the answer out.

    Parameters
    ----------
    run : carries out jobs; see :class:`rockshy.analysis.study.runner.Study`.

    Raises
    ------
    LifeError
        When none of the fish is ever measured.
    """
    design = Lives(plan)
    design.carry_out(run, told)
    return answer_from(design)


def answer_from(design: Lives) -> Answer:
    """What the lives come to that a design has by now, at least LEAST_TRIALS; raises LifeError as above."""
    plan = design.plan
    lived = Lived(plan, design.of(AS_IT_IS))
    whom = told_of(lived)
    worst = Kind(whom.name, whom.species, whom.labels)
    lost = {kind.name: lived.lost_by_month(kind) for kind in plan.kinds}
    own = lost[worst.name]
    means = np.array([mean_of(month) for month in own.T])
    inside = np.flatnonzero(np.isfinite(means))
    if not len(inside):
        raise LifeError(f"{worst.name}: in the tank on no measured day; choose fish that are")
    first, turn, last = int(inside[0]), int(inside[np.argmax(means[inside])]), int(inside[-1])
    trouble = trouble_of(plan, lived.lives, worst.labels)
    weeks = [weights(one, *weeks_of(plan.days), days=plan.days) for one in lived.lives]
    return Answer(
        plan=plan,
        whom=whom,
        worst=worst,
        lost=lived.over(lived.lost_all_along(worst), lived.loss_bounds),
        months=lived.months(lost),
        first=first + 1,
        turn=turn + 1,
        last=last + 1,
        turned=lived.over(own[:, turn] - own[:, first], lived.change_bounds),
        moved=lived.over(own[:, last] - own[:, first], lived.change_bounds),
        way=lived.way(own[:, turn] - own[:, first], own[:, last] - own[:, first]),
        trouble=trouble,
        givers=lived.givers(worst),
        dated=_dated(design, worst, lived),
        to_do=first_of(design, worst, lived),
        sizes=tuple(lived.size(kind) for kind in plan.kinds),
        unsexed=turned_of(plan, lived.lives, worst, trouble),
        monthly=stretches_of(lived.lives, lived.monthly),
        weekly=stretches_of(lived.lives, weeks),
        lost_weekly={kind.name: lived.lost_in(kind, weeks) for kind in plan.kinds},
        lives=lived.lives,
        tanks=design.tanks,
        stopped=design.stopped,
    )


def _dated(design: Lives, worst: Kind, lived: Lived) -> Estimate | None:
    """What the worst-off kind loses more with the dated changes than without, from the first of them on."""
    plan = design.plan
    if plan.without is None:
        return None
    both = [one.trial for one in design.of(WITHOUT) if (AS_IT_IS, one.trial) in design.lives]
    if not both:
        return None
    span = np.array([plan.changed_day]), np.array([float(plan.days)])

    def after(which: int, trial: int) -> float:
        life = design.lives[which, trial]
        return float(lost_of(life, worst.labels, weights(life, *span, days=plan.days))[0])

    more = np.array([after(AS_IT_IS, trial) - after(WITHOUT, trial) for trial in both])
    draw = [design.lives[AS_IT_IS, trial].draw for trial in both]
    return estimate(more, draw=draw, bounds=lived.change_bounds, fixed=plan.fixed)
