"""Differences between two set-ups that were run on the same trials.

A trial has the same fish and the same guesses in every alternative, so
differences are taken trial by trial and whatever both share drops out. The independent
units are those of :mod:`rockshy.analysis.statistics.units`. How much the
pairing was worth is reported beside each difference: the same values are also
taken as if they came from unpaired seeds.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from .intervals import (
    CONFIDENCE,
    NAN,
    Floats,
    Interval,
    cluster_interval,
    effective_size,
    score_interval,
    variance_of_mean,
)
from .units import draws_apart, units_of

SMALLEST_POWER, LARGEST_POWER = -12.0, -0.001  # p values of shares are sought between these powers of 10

Units = NDArray[np.int64]


@dataclass(frozen=True)
class Difference:
    """Alternative less base, over the trials that both have; nan where the runs cannot tell.

    ``low`` to ``high`` is the 95 % interval; ``better``, ``worse`` and ``equal``
    count the trials in which the alternative was so; ``unpaired_half_width`` is
    what half the interval would be had the two not shared their seeds.
    """

    value: float
    low: float
    high: float
    better: int
    worse: int
    equal: int
    trials: int
    unpaired_half_width: float
    p_value: float
    lower_is_better: bool = True

    @property
    def half_width(self) -> float:
        """Half the width of the interval."""
        return (self.high - self.low) / 2

    @property
    def narrowed(self) -> float:
        """Share by which pairing narrowed the interval, below 0 when it widened it; nan without a width."""
        return 1 - self.half_width / self.unpaired_half_width if self.unpaired_half_width > 0 else NAN

    @property
    def told(self) -> bool:
        """Whether the trials tell the two apart: the interval leaves out 0."""
        return self.low > 0 or self.high < 0

    @property
    def improved(self) -> bool:
        """Whether the mean moved the better way, told or not."""
        return self.value < 0 if self.lower_is_better else self.value > 0


def paired_difference(
    other: ArrayLike,
    *,
    base: ArrayLike,
    draw: ArrayLike,
    bounds: Interval = (-math.inf, math.inf),
    fixed: bool = False,
    lower_is_better: bool = True,
) -> Difference:
    """Mean difference of a measured quantity between an alternative and the base.

    Student's t interval of the differences by trial, over the units of
    :func:`rockshy.analysis.statistics.units.units_of`. The unpaired half width
    takes the two clustered variances of the means as independent, with the
    degrees of freedom of Welch.

    Parameters
    ----------
    other, base : [t] the quantity in the same trials, in one order; pairs with a nan are left out.
    draw : [t] number of the draw of each trial.
    bounds : what the difference can be at all; the interval is cut there, the unpaired one at as much.
    fixed : nothing was drawn, so each trial is independent.
    lower_is_better : which way is better, for the counts.

    Returns
    -------
    Difference : in the unit of the values. With fewer than two independent
        units the interval is nan; where nothing changed in any trial all of it is exactly 0.

    Raises
    ------
    ValueError
        Unless all three have the same length.

    Source: Student1908 (the paired interval); Welch1947.
    """
    here, there, group = _pairs(other, base, draw)
    unit = units_of(group, fixed)
    change = here - there
    value = float(change.mean()) if len(change) else NAN
    least, most = min(bounds[0], value), max(bounds[1], value)  # a mean may miss its bound by rounding
    low, high = np.clip(cluster_interval(change, cluster=unit), least, most).tolist()
    variance = variance_of_mean(change, unit)
    return Difference(
        value,
        low,
        high,
        *_counts(change, lower_is_better),
        len(change),
        float(np.minimum(_welch_half_width(here, there, unit), (bounds[1] - bounds[0]) / 2)),
        _t_p_value(value, variance, len(np.unique(unit)) - 1),
        lower_is_better,
    )


def paired_share(
    other: ArrayLike, *, base: ArrayLike, draw: ArrayLike, fixed: bool = False, lower_is_better: bool = True
) -> Difference:
    """Difference of the shares of tanks in which something happened, as for "pinned".

    The interval is that of :func:`paired_shares_interval` on the fourfold table
    scaled to an effective number of trials: the number divided by the design
    effect of the differences, corrected for the few guesses it was measured on.
    When no pair differs, or all do the same way, no design effect can be
    measured and the number of guesses is taken.

    Parameters
    ----------
    other, base : [t] whether it happened, in the same trials; nan where it cannot be judged.
    draw, fixed, lower_is_better : see :func:`paired_difference`.

    Returns
    -------
    Difference : shares of the tanks, -1..1. Without a pair that differs the value
        is exactly 0, but its interval keeps a width: few trials do not prove equality.

    Raises
    ------
    ValueError
        Unless all three have the same length and values are 0, 1 or nan.

    Source: NewcombePaired1998 (method 10); NewcombeUnpaired1998 (method 10, the unpaired half
    width); KornGraubard1998 (effective number of trials).
    """
    here, there, group = _pairs(other, base, draw)
    if not np.isin([here, there], (0.0, 1.0)).all():
        raise ValueError("paired_share takes whether something happened; use True, False or nan")
    unit = draws_apart(group, fixed)
    change = here - there
    value = float(change.mean()) if len(change) else NAN

    def interval(confidence: float) -> Interval:
        return _clustered_share_interval(here, there, unit, confidence)

    low, high = interval(CONFIDENCE)
    return Difference(
        value,
        low,
        high,
        *_counts(change, lower_is_better),
        len(change),
        _unpaired_share_half_width(here, there, unit),
        _share_p_value(value, interval),
        lower_is_better,
    )


def paired_shares_interval(
    both: float, *, first_only: float, second_only: float, neither: float, confidence: float = CONFIDENCE
) -> Interval:
    """Interval of the difference of two proportions (first less second) of the same independent units.

    Wilson's limits l, u of each proportion p are squared and added with the
    correlation phi: p1 - p2 - sqrt((p1-l1)^2 - 2 phi (p1-l1)(u2-p2) + (u2-p2)^2),
    and the like upwards. A positive phi is corrected for continuity.

    Parameters
    ----------
    both, first_only, second_only, neither : the fourfold table; effective numbers need not be whole.

    Returns
    -------
    (low, high) : -1..1; (nan, nan) for an empty table.

    Raises
    ------
    ValueError
        For a negative number.

    Source: NewcombePaired1998 (method 10).
    """
    table = (both, first_only, second_only, neither)
    if min(table) < 0:
        raise ValueError(f"the fourfold table is {table}; use 0 or more")
    size = sum(table)
    if size == 0:
        return NAN, NAN
    first, second = (both + first_only) / size, (both + second_only) / size
    low1, high1 = score_interval(first, size, confidence)
    low2, high2 = score_interval(second, size, confidence)
    phi = _correlation(both, first_only, second_only, neither)
    down = _add_squares(first - low1, high2 - second, phi)
    up = _add_squares(high1 - first, second - low2, phi)
    return first - second - down, first - second + up


def _correlation(a: float, b: float, c: float, d: float) -> float:
    """Phi of a fourfold table, moved towards 0 by half the size when positive; 0 when a margin is empty."""
    margins = (a + b) * (c + d) * (a + c) * (b + d)
    if margins == 0:
        return 0.0
    product = a * d - b * c
    return (max(product - (a + b + c + d) / 2, 0.0) if product > 0 else product) / math.sqrt(margins)


def _add_squares(one: float, two: float, phi: float) -> float:
    return math.sqrt(max(one**2 - 2 * phi * one * two + two**2, 0.0))


def _clustered_share_interval(here: Floats, there: Floats, unit: Units, confidence: float) -> Interval:
    if len(np.unique(unit)) < 2:
        return NAN, NAN
    scale = effective_size(here - there, unit, confidence) / len(here)
    return paired_shares_interval(
        scale * float((here * there).sum()),
        first_only=scale * float((here * (1 - there)).sum()),
        second_only=scale * float(((1 - here) * there).sum()),
        neither=scale * float(((1 - here) * (1 - there)).sum()),
        confidence=confidence,
    )


def _unpaired_share_half_width(here: Floats, there: Floats, unit: Units) -> float:
    """Half the interval of the difference when each share comes from trials of its own."""
    if len(np.unique(unit)) < 2:
        return NAN
    down, up = [], []
    for values in (here, there):
        share = float(values.mean())
        low, high = score_interval(share, effective_size(values, unit))
        down.append(share - low)
        up.append(high - share)
    return (math.hypot(down[0], up[1]) + math.hypot(up[0], down[1])) / 2


def _share_p_value(value: float, interval: Callable[[float], Interval]) -> float:
    """The level at which the interval just touches 0."""
    if not math.isfinite(value) or math.isnan(interval(CONFIDENCE)[0]):
        return NAN
    if value == 0:
        return 1.0
    from scipy import optimize  # slow to load, and few answers come here

    def nearer_end(power: float) -> float:
        low, high = interval(1 - 10**power)
        return low if value > 0 else -high

    smallest, largest = nearer_end(SMALLEST_POWER), nearer_end(LARGEST_POWER)
    if smallest > 0 or largest < 0:
        return float(10**SMALLEST_POWER) if smallest > 0 else 1.0
    return float(10 ** optimize.brentq(nearer_end, SMALLEST_POWER, LARGEST_POWER, xtol=1e-5))


def _welch_half_width(here: Floats, there: Floats, unit: Units) -> float:
    free = len(np.unique(unit)) - 1
    if free < 1:
        return NAN
    one, two = variance_of_mean(here, unit), variance_of_mean(there, unit)
    if one + two == 0:
        return 0.0
    joint = free * (one + two) ** 2 / (one**2 + two**2)
    return float(special.stdtrit(joint, (1 + CONFIDENCE) / 2)) * math.sqrt(one + two)


def _t_p_value(value: float, variance: float, free: int) -> float:
    if free < 1 or not math.isfinite(value):
        return NAN
    if variance == 0:
        return 1.0 if value == 0 else 0.0
    return float(2 * special.stdtr(free, -abs(value) / math.sqrt(variance)))


def _counts(change: Floats, lower_is_better: bool) -> tuple[int, int, int]:
    lower, higher = int((change < 0).sum()), int((change > 0).sum())
    better, worse = (lower, higher) if lower_is_better else (higher, lower)
    return better, worse, len(change) - lower - higher


def _pairs(other: ArrayLike, base: ArrayLike, draw: ArrayLike) -> tuple[Floats, Floats, NDArray[np.int64]]:
    here, there, group = np.asarray(other, dtype=float), np.asarray(base, dtype=float), np.asarray(draw)
    if not here.shape == there.shape == group.shape or here.ndim != 1:
        raise ValueError(
            f"other has the shape {here.shape}, base {there.shape} and guess {group.shape}; "
            "use one of each a trial"
        )
    known = np.isfinite(here) & np.isfinite(there)
    return here[known], there[known], group[known]
