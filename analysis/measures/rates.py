"""Rates: chases, bites, hiding, meals and territories by fish, by sex and by species.

Every figure is worked out trial by trial (acts of a group over its lit hours)
and then averaged over trials: counts are never pooled before the interval.
A :class:`Tally` is one arm with the measures of :mod:`.registry` that were asked of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, Trials
from ..statistics.intervals import Estimate, Floats, Interval, estimate, ratio_estimate
from .groups import Group, common_trials, members
from .pinned import PinnedRule
from .registry import FISH, MEASURES, RATE, SECONDS_PER_HOUR, Measured, Parts

RATES = tuple(
    name for name, one in MEASURES.items() if one.of == FISH and name not in ("lost", "pinned", "pinned_fish")
)  # those that need no left-alone control


@dataclass(frozen=True)
class Tally:
    """One arm, and the tops and bottoms of its measures, worked out when they are asked for."""

    run: Measured
    _parts: dict[str, Parts] = field(default_factory=dict, repr=False)

    @property
    def arm(self) -> Arm:
        return self.run.arm

    def parts(self, name: str) -> Parts:
        """Top and bottom of a measure; raises ValueError for an unknown one."""
        if name not in MEASURES:
            raise ValueError(f'measure is "{name}"; use one of {", ".join(MEASURES)}')
        if name not in self._parts:
            self._parts[name] = MEASURES[name].parts(self.run)
        return self._parts[name]


def tally(trials: Trials, *, arm: str = AS_STOCKED, rule: PinnedRule | None = None) -> Tally:
    """One arm of some trials, with the arm left alone as its yardstick where there is one.

    Raises
    ------
    KeyError
        If the trials have no arm of this name.
    """
    return Tally(Measured(trials.arms[arm], trials.arms.get(LEFT_ALONE), rule or PinnedRule()))


def series(table: Tally, *, measure: str, group: Group) -> Floats:
    """Value of one measure for a group in each trial, [t]; nan where the trial has no such fish or bottom.

    Raises
    ------
    ValueError
        For a measure that is not in the registry, or "lost" without the arm left alone.
    """
    parts, who = table.parts(measure), members(table.arm, group=group)
    top = np.where(who, parts.top, 0.0).sum(axis=1)
    bottom = parts.bottom if parts.bottom.ndim == 1 else np.where(who, parts.bottom, 0.0).sum(axis=1)
    there = np.where(who.any(axis=1), bottom, 0.0)
    return MEASURES[measure].value(top, there, rule=table.run.rule)


def of_tanks(table: Tally, *, measure: str) -> Floats:
    """Value of a measure of whole tanks in each trial, [t]; nan where a tank has none."""
    parts = table.parts(measure)
    return MEASURES[measure].value(parts.top, parts.bottom, rule=table.run.rule)


def values_of(trials: Trials, *, measure: str, group: Group) -> Floats:
    """Value of one measure for a group in each trial as stocked, [t]; see :func:`series`."""
    return series(tally(trials), measure=measure, group=group)


def rate(table: Tally, *, measure: str, group: Group, fixed: bool = False) -> Estimate:
    """Mean over trials of one measure of a group, in the unit of the registry, with its interval."""
    values = series(table, measure=measure, group=group)
    return estimate(values, draw=table.arm.draw, bounds=MEASURES[measure].bounds, fixed=fixed)


def rates(table: Tally, *, group: Group, fixed: bool = False) -> dict[str, Estimate]:
    """All of RATES of a group by name."""
    return {name: rate(table, measure=name, group=group, fixed=fixed) for name in RATES}


def ratio(
    table: Tally, *, control: Tally, group: Group, measure: str = "received", fixed: bool = False
) -> Estimate:
    """How many times the value of the same group in a control, over the trials that both arms have.

    Free of the model's unknown scale: a factor in front of every rate drops out.
    Ratio of the means over trials, paired by trial; nan when the control has none of it.
    """
    here, there = common_trials(table.arm, other=control.arm)
    return ratio_estimate(
        series(table, measure=measure, group=group)[here],
        bottom=series(control, measure=measure, group=group)[there],
        draw=table.arm.draw[here],
        fixed=fixed,
    )


@dataclass(frozen=True)
class Trend:
    """The first third of the measured hours against the last, over trials, and their paired difference."""

    first: Estimate
    last: Estimate
    change: Estimate  # last - first

    @property
    def direction(self) -> str:
        """Which way when the interval of the change leaves out 0, else "steady"; "unknown" without one."""
        if math.isnan(self.change.low):
            return "unknown"
        if self.change.low > 0:
            return "rising"
        return "falling" if self.change.high < 0 else "steady"


def trend(
    arm: Arm,
    *,
    hourly: NDArray[np.float64] | NDArray[np.int64] | None = None,
    per_s: float = SECONDS_PER_HOUR,
    bounds: Interval = RATE,
    group: Group | None = None,
    fixed: bool = False,
) -> Trend | None:
    """Whether a rate is still moving at the end of the run.

    Chases received (or another hourly table) per lit time in the last third of
    the measured hours, less the same in the first third, trial by trial.

    Parameters
    ----------
    hourly : [t, n, h] amount in each hour; chases received when left out.
    per_s : seconds of lit time that the rate is per: 3600 for an hourly rate, 1 for a share of time.
    bounds : what the rate can be at all.

    Returns
    -------
    Trend, or None with fewer than three measured hours.
    """
    amount = arm.hour_chased if hourly is None else hourly
    third = amount.shape[2] // 3
    if third == 0:
        return None
    who = members(arm, group=group or Group())[:, :, None]

    def over(hours: slice) -> Floats:
        top = np.where(who, amount, 0)[:, :, hours].sum(axis=(1, 2))
        lit = np.where(who, arm.hour_lit_s, 0)[:, :, hours].sum(axis=(1, 2)) / per_s
        return np.divide(top, lit, out=np.full(len(lit), np.nan), where=lit > 0)

    first, last = over(slice(0, third)), over(slice(-third, None))
    furthest = bounds[1] - bounds[0]
    return Trend(
        estimate(first, draw=arm.draw, bounds=bounds, fixed=fixed),
        estimate(last, draw=arm.draw, bounds=bounds, fixed=fixed),
        estimate(last - first, draw=arm.draw, bounds=(-furthest, furthest), fixed=fixed),
    )
