"""The lives of a tank together: every figure over tanks, with its interval."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...measures.givers import Giver
from ...measures.groups import SEXES
from ...measures.registry import LOST, SHARE
from ...measures.row import bounds_over
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
from .design import Life, Plan
from .months import chases_of, grown_of, lost_of, mean_of, months_of, pinned_of, weights

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


class Lived:
    """The lives of the tank as it is, with the days that each measured one stands for in each month."""

    def __init__(self, plan: Plan, lives: tuple[Life, ...]) -> None:
        self.plan, self.lives = plan, lives
        starts, ends = months_of(plan.months, days=plan.days)
        self.monthly = [weights(one, starts, ends, days=plan.days) for one in lives]
        self._whole = [one.sum(axis=0) for one in self.monthly]
        least = [min(bounds_over(LOST, rows=[row])[0] for row in one.rows) for one in lives]
        self.loss_bounds: Interval = (float(np.mean(least)), 1.0)  # of a mean over tanks
        self.change_bounds: Interval = (self.loss_bounds[0] - 1.0, 1.0 - self.loss_bounds[0])

    def over(self, values: Floats, bounds: Interval = (-np.inf, np.inf)) -> Estimate:
        """Mean over tanks of one value each."""
        return estimate(values, draw=[one.draw for one in self.lives], bounds=bounds, fixed=self.plan.fixed)

    def way(self, turned: Floats, moved: Floats) -> str:
        """See :class:`Answer`. The month that loses most is picked among all, so each is held to its share
        of the doubt (Bonferroni).
        """
        if self._told(turned) > 0 and mean_of(turned) >= LEAST:
            return WORSE
        return BETTER if self._told(-moved) > 0 and mean_of(moved) <= -LEAST else STEADY

    def _told(self, values: Floats) -> float:
        """The low end of the interval of a mean over tanks."""
        units = units_of(np.array([one.draw for one in self.lives]), self.plan.fixed)
        confidence = 1.0 - (1.0 - CONFIDENCE) / max(1, self.plan.months - 1)
        return cluster_interval(values, cluster=units, confidence=confidence)[0]

    def lost_by_month(self, kind: Kind) -> Floats:
        """[t, m] what a kind loses."""
        both = zip(self.lives, self.monthly, strict=True)
        return np.array([lost_of(one, kind.labels, weight) for one, weight in both])

    def lost_all_along(self, kind: Kind) -> Floats:
        """[t] what it loses over the whole life."""
        both = zip(self.lives, self._whole, strict=True)
        return np.array([lost_of(one, kind.labels, weight[None])[0] for one, weight in both])

    def lost_in(self, kind: Kind, stretches: Sequence[Floats]) -> tuple[float, ...]:
        """What a kind loses in stretches of time, mean over tanks; of each life days by stretch and day."""
        both = zip(self.lives, stretches, strict=True)
        values = np.array([lost_of(one, kind.labels, weight) for one, weight in both])
        return tuple(mean_of(column) for column in values.T)

    def months(self, lost: Mapping[str, Floats]) -> tuple[Month, ...]:
        """All months, by what each kind loses in them."""
        both = zip(self.lives, self.monthly, strict=True)
        pinned = np.array([pinned_of(one, weight) for one, weight in both])
        return tuple(
            Month(
                m + 1,
                {name: self.over(values[:, m], self.loss_bounds) for name, values in lost.items()},
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
        both = zip(self.lives, self.monthly, strict=True)
        grown = np.array([[grown_of(one, kind, row) for row in weight] for one, weight in both])
        length, adult = ([mean_of(month) for month in grown[:, :, k].T] for k in (0, 1))
        inside = np.flatnonzero(np.isfinite(length))
        ends = (int(inside[0]), int(inside[-1])) if len(inside) else (0, 0)
        return Size(kind.name, (length[ends[0]], length[ends[1]]), (adult[ends[0]], adult[ends[1]]))
