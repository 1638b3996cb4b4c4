"""Rates: chases, bites, hiding, meals and territories by fish, by sex and by species.

Every figure is worked out trial by trial (acts of a group over its lit hours)
and then averaged over trials: counts are never pooled before the interval.
A :class:`Tally` holds the tops and bottoms of all measures of one arm, a
:class:`Group` says whose: one fish, a species, a sex of a species, or all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import Arm
from ..statistics.intervals import Estimate, Floats, Interval, estimate, ratio_estimate

SEXES = ("male", "female")
SHARE: Interval = (0.0, 1.0)
RATE: Interval = (0.0, math.inf)
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True)
class Measure:
    """One quantity as top over bottom, both summed over a group within a trial.

    A bottom of shape [t] belongs to the whole tank and is not summed.
    """

    top: Floats  # [t, n]
    bottom: Floats  # [t, n] or [t]
    bounds: Interval
    unit: str


@dataclass(frozen=True)
class Tally:
    """All measures of one arm and who is who in it."""

    arm: Arm
    measures: Mapping[str, Measure]


@dataclass(frozen=True)
class Group:
    """Whose figures: the fish that match all that is given; an empty text matches everything."""

    label: str = ""
    species: str = ""
    sex: str = ""  # "male" or "female"

    @property
    def name(self) -> str:
        return self.label or f"{self.species} {self.sex}".strip() or "all fish"


def tally(arm: Arm, *, more: Mapping[str, Measure] | None = None) -> Tally:
    """Tops and bottoms of all measures of an arm.

    ``received`` and ``given`` chases and ``bites`` received per fish and lit
    hour; ``share_received`` and ``share_given`` of all chases in the tank;
    ``hidden`` and ``free`` (swimming free) shares of lit time; ``missed`` share
    of the meals offered; ``territory`` share of lit time in which it held one.
    ``more`` adds measures of other modules under names of their own.
    """
    got = arm.chases.sum(axis=1).astype(float)
    gave = arm.chases.sum(axis=2).astype(float)
    bitten = arm.bites.sum(axis=1).astype(float)
    all_chases = arm.chases.sum(axis=(1, 2)).astype(float)
    lit_h = arm.lit_s / SECONDS_PER_HOUR
    measures = {
        "received": Measure(got, lit_h, RATE, "chases per fish and lit hour"),
        "given": Measure(gave, lit_h, RATE, "chases per fish and lit hour"),
        "share_received": Measure(got, all_chases, SHARE, "share of all chases"),
        "share_given": Measure(gave, all_chases, SHARE, "share of all chases"),
        "bites": Measure(bitten, lit_h, RATE, "bites per fish and lit hour"),
        "hidden": Measure(arm.hidden_s, arm.lit_s, SHARE, "share of lit time"),
        "free": Measure(arm.free_s, arm.lit_s, SHARE, "share of lit time"),
        "missed": Measure(arm.meals_missed, arm.meals, SHARE, "share of meals"),
        "territory": Measure(
            arm.hour_owner_s.sum(axis=2), arm.hour_lit_s.sum(axis=2), SHARE, "share of lit time"
        ),
    }
    return Tally(arm, {**measures, **(more or {})})


def members(arm: Arm, *, group: Group) -> NDArray[np.bool_]:
    """Which fish of which trial belong to a group, [t, n]; a fish that was never in does not.

    The sex of unsexed fish is drawn for each trial, so membership by sex differs between trials.
    """
    wanted = np.array(
        [
            group.label in ("", label) and group.species in ("", species)
            for label, species in zip(arm.fish.label, arm.fish.species, strict=True)
        ],
        dtype=bool,
    )
    found = wanted & (arm.lit_s > 0)
    if group.sex:
        found &= arm.sex == SEXES.index(group.sex)
    return found


def series(table: Tally, *, measure: str, group: Group) -> Floats:
    """Value of one measure for a group in each trial, [t]; nan where the trial has no such fish or bottom.

    Raises
    ------
    KeyError
        For a measure that the tally does not hold.
    """
    chosen = table.measures[measure]
    who = members(table.arm, group=group)
    top = np.where(who, chosen.top, 0.0).sum(axis=1)
    bottom = chosen.bottom if chosen.bottom.ndim == 1 else np.where(who, chosen.bottom, 0.0).sum(axis=1)
    known = who.any(axis=1) & (bottom > 0)
    return np.divide(top, bottom, out=np.full(len(top), np.nan), where=known)


def rate(table: Tally, *, measure: str, group: Group, fixed: bool = False) -> Estimate:
    """Mean over trials of one measure of a group, in ``table.measures[measure].unit``, with its interval."""
    values = series(table, measure=measure, group=group)
    return estimate(values, guess=table.arm.guess, bounds=table.measures[measure].bounds, fixed=fixed)


def rates(table: Tally, *, group: Group, fixed: bool = False) -> dict[str, Estimate]:
    """All measures of a group by name (see :func:`tally`)."""
    return {name: rate(table, measure=name, group=group, fixed=fixed) for name in table.measures}


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
        guess=table.arm.guess[here],
        fixed=fixed,
    )


def common_trials(arm: Arm, *, other: Arm) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Places of the trials that both arms have, in ascending order of their number."""
    _, here, there = np.intersect1d(arm.trial, other.trial, assume_unique=True, return_indices=True)
    return here.astype(np.int64), there.astype(np.int64)


def kinds(arm: Arm) -> list[Group]:
    """The sexes of the species that occur in an arm, species in the order of the stock list."""
    every = [Group(species=name, sex=sex) for name in dict.fromkeys(arm.fish.species) for sex in SEXES]
    return [group for group in every if members(arm, group=group).any()]


def species(arm: Arm) -> list[Group]:
    """The species that occur in an arm, in the order of the stock list."""
    every = [Group(species=name) for name in dict.fromkeys(arm.fish.species)]
    return [group for group in every if members(arm, group=group).any()]


def single_fish(arm: Arm) -> list[Group]:
    """Every fish of an arm that was in the tank for some of the measured time."""
    present = np.flatnonzero((arm.lit_s > 0).any(axis=0))
    return [Group(label=arm.fish.label[i], species=arm.fish.species[i]) for i in present]


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
        estimate(first, guess=arm.guess, bounds=bounds, fixed=fixed),
        estimate(last, guess=arm.guess, bounds=bounds, fixed=fixed),
        estimate(last - first, guess=arm.guess, bounds=(-furthest, furthest), fixed=fixed),
    )
