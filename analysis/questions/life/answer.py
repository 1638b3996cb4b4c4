"""What the lives come to: month by month, the worst-off kind, who chases it, what dated changes do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ...measures.givers import Giver
from ...measures.groups import SEXES
from ...measures.registry import SHARE
from ...measures.whom import Kind
from ...statistics.intervals import (
    CONFIDENCE,
    Estimate,
    Floats,
    Interval,
    cluster_interval,
    estimate,
    ratio_estimate,
)
from ...statistics.units import units_of
from ...study.runner import Announce, Run
from .design import AS_IT_IS, WITHOUT, Design, Life, LifeError, Plan
from .months import chases_of, grown_of, lost_of, months_of, pinned_of, weights

LEAST = 0.03  # share of free swimming: a smaller change over the months is not worth a word (assumption)
WORSE, BETTER, STEADY = "worse", "better", "steady"


@dataclass(frozen=True)
class Month:
    """One month of all lives.

    ``lost`` holds what each kind loses of its free swimming, by its name; ``pinned`` the share of the tanks
    in which some fish is pinned on a day of it.
    """

    number: int
    lost: dict[str, Estimate]
    pinned: Estimate


@dataclass(frozen=True)
class Size:
    """Mean length of a kind, cm, and share of it that is adult, in its first and in its last month."""

    name: str
    length_cm: tuple[float, float]
    adult: tuple[float, float]


@dataclass(frozen=True)
class Answer:
    """What the lives come to.

    Attributes
    ----------
    worst : the kind that is told of: the one asked about, else that which loses most over the whole life;
        ``lost`` is what it loses.
    months : from the first to the last.
    first, turn, last : the month in which the worst-off kind is first in, the one in which it loses most, and
        the last one that it is in; counted from 1.
    turned, moved : what it loses more in ``turn``, and in ``last``, than in ``first``, tank by tank.
    way : WORSE or BETTER over the months, where that can be told from luck although the month was picked;
        else STEADY.
    givers : who gives it its chases, the largest share first.
    dated : what it loses more, from the first dated change on, than without the changes; None without any.
    sizes : of each kind.
    """

    plan: Plan
    worst: Kind
    lost: Estimate
    months: tuple[Month, ...]
    first: int
    turn: int
    last: int
    turned: Estimate
    moved: Estimate
    way: str
    givers: tuple[Giver, ...]
    dated: Estimate | None
    sizes: tuple[Size, ...]
    lives: tuple[Life, ...]
    tanks: int
    stopped: bool

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
    design = Design(plan)
    design.carry_out(run, told)
    lived = _Lived(plan, design.of(AS_IT_IS))
    all_along = {kind.name: lived.lost_all_along(kind) for kind in plan.kinds}
    worst = plan.asked or max(plan.kinds, key=lambda kind: _or_least(_mean(all_along[kind.name])))
    lost = {kind.name: lived.lost_by_month(kind) for kind in plan.kinds}
    own = lost[worst.name]
    means = np.array([_mean(month) for month in own.T])
    inside = np.flatnonzero(np.isfinite(means))
    if not len(inside):
        raise LifeError(f"{worst.name}: in the tank on no measured day; choose fish that are")
    first, turn, last = int(inside[0]), int(inside[np.argmax(means[inside])]), int(inside[-1])
    return Answer(
        plan=plan,
        worst=worst,
        lost=lived.over(all_along[worst.name]),
        months=lived.months(lost),
        first=first + 1,
        turn=turn + 1,
        last=last + 1,
        turned=lived.over(own[:, turn] - own[:, first]),
        moved=lived.over(own[:, last] - own[:, first]),
        way=lived.way(own[:, turn] - own[:, first], own[:, last] - own[:, first]),
        givers=lived.givers(worst),
        dated=_dated(design, worst),
        sizes=tuple(lived.size(kind) for kind in plan.kinds),
        lives=lived.lives,
        tanks=design.tanks,
        stopped=design.stopped,
    )


class _Lived:
    """The lives of the tank as it is, with the days that each measured one stands for in each month."""

    def __init__(self, plan: Plan, lives: tuple[Life, ...]) -> None:
        self.plan, self.lives = plan, lives
        starts, ends = months_of(plan.months, days=plan.days)
        self._monthly = [weights(one, starts, ends, days=plan.days) for one in lives]
        self._whole = [one.sum(axis=0) for one in self._monthly]

    def over(self, values: Floats, bounds: Interval = (-np.inf, np.inf)) -> Estimate:
        """Mean over tanks of one value each."""
        return estimate(values, draw=[one.draw for one in self.lives], bounds=bounds, fixed=self.plan.fixed)

    def way(self, turned: Floats, moved: Floats) -> str:
        """See :class:`Answer`. The month that loses most is picked among all, so each is held to its share
        of the doubt (Bonferroni).
        """
        if self._told(turned) > 0 and _mean(turned) >= LEAST:
            return WORSE
        return BETTER if self._told(-moved) > 0 and _mean(moved) <= -LEAST else STEADY

    def _told(self, values: Floats) -> float:
        """The low end of the interval of a mean over tanks."""
        units = units_of(np.array([one.draw for one in self.lives]), self.plan.fixed)
        confidence = 1.0 - (1.0 - CONFIDENCE) / max(1, self.plan.months - 1)
        return cluster_interval(values, cluster=units, confidence=confidence)[0]

    def lost_by_month(self, kind: Kind) -> Floats:
        """[t, m] what a kind loses."""
        both = zip(self.lives, self._monthly, strict=True)
        return np.array([lost_of(one, kind.labels, weight) for one, weight in both])

    def lost_all_along(self, kind: Kind) -> Floats:
        """[t] what it loses over the whole life."""
        both = zip(self.lives, self._whole, strict=True)
        return np.array([lost_of(one, kind.labels, weight[None])[0] for one, weight in both])

    def months(self, lost: Mapping[str, Floats]) -> tuple[Month, ...]:
        """All months, by what each kind loses in them."""
        both = zip(self.lives, self._monthly, strict=True)
        pinned = np.array([pinned_of(one, weight) for one, weight in both])
        return tuple(
            Month(
                m + 1,
                {name: self.over(values[:, m], (-np.inf, 1.0)) for name, values in lost.items()},
                self.over(pinned[:, m], SHARE),
            )
            for m in range(self.plan.months)
        )

    def givers(self, worst: Kind) -> tuple[Giver, ...]:
        """Shares of the chases that a kind gets over the whole life, by species and sex."""
        both = zip(self.lives, self._whole, strict=True)
        given = [chases_of(one, worst.labels, weight) for one, weight in both]
        total = np.array([one.sum() for one in given])
        draw = [one.draw for one in self.lives]
        found = []
        for species in dict.fromkeys(self.lives[0].rows[0].species):
            of_kind = np.array([its == species for its in self.lives[0].rows[0].species])
            for sex in SEXES:
                own = (of_kind & (one.male == (sex == "male")) for one in self.lives)
                top = np.array([chases[who].sum() for chases, who in zip(given, own, strict=True)])
                share = ratio_estimate(top, bottom=total, draw=draw, fixed=self.plan.fixed)
                found += [Giver(f"{species} {sex}", species, sex, share)] if top.any() else []
        return tuple(sorted(found, key=lambda one: -one.share.value))

    def size(self, kind: Kind) -> Size:
        """How a kind grows and matures."""
        both = zip(self.lives, self._monthly, strict=True)
        grown = np.array([[grown_of(one, kind, row) for row in weight] for one, weight in both])
        length, adult = ([_mean(month) for month in grown[:, :, k].T] for k in (0, 1))
        inside = np.flatnonzero(np.isfinite(length))
        ends = (int(inside[0]), int(inside[-1])) if len(inside) else (0, 0)
        return Size(kind.name, (length[ends[0]], length[ends[1]]), (adult[ends[0]], adult[ends[1]]))


def _or_least(value: float) -> float:
    """The value; where it is not known, less than any."""
    return value if np.isfinite(value) else -np.inf


def _mean(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else float("nan")


def _dated(design: Design, worst: Kind) -> Estimate | None:
    """What the worst-off kind loses more with the dated changes than without, from the first of them on."""
    plan = design.plan
    both = [one.trial for one in design.of(WITHOUT) if (AS_IT_IS, one.trial) in design.lives]
    if plan.without is None or not both:
        return None
    span = np.array([plan.changed_day]), np.array([float(plan.days)])

    def after(which: int, trial: int) -> float:
        life = design.lives[which, trial]
        return float(lost_of(life, worst.labels, weights(life, *span, days=plan.days))[0])

    more = np.array([after(AS_IT_IS, trial) - after(WITHOUT, trial) for trial in both])
    return estimate(more, draw=[design.lives[AS_IT_IS, trial].draw for trial in both], fixed=plan.fixed)
