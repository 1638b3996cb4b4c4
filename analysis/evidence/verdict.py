"""What an experiment found, with its interval over trials, and the verdict against a margin."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

from ..statistics.intervals import CONFIDENCE, NAN, Interval, wilson_interval

HOLDS, FAILS, OPEN = "holds", "does not hold", "cannot tell"
VERDICTS = (HOLDS, FAILS, OPEN)
RESAMPLES = 4999
PLACES = 9  # a count over a count may miss its bound by the last bit
SEED = 20  # of the resampling, so that the same runs give the same table

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Finding:
    """One measured figure.

    ``low`` to ``high`` is its 95 % interval over ``trials`` independent trials; ``other_way`` of
    ``counted`` single trials went the other way. What cannot be told is nan.
    """

    value: float
    low: float
    high: float
    trials: int
    other_way: int = 0
    counted: int = 0

    def counting(self, other_way: ArrayLike) -> Finding:
        """The same with a count of the trials that went the other way, [n] true or false."""
        against = np.asarray(other_way, bool)
        return Finding(self.value, self.low, self.high, self.trials, int(against.sum()), int(against.size))


def verdict(finding: Finding, *, low: float = -math.inf, high: float = math.inf) -> str:
    """Whether the whole interval lies between two bounds, outside of them, or neither.

    Parameters
    ----------
    finding : an interval with nan in it tells nothing.
    low, high : the margin, in the unit of the finding; infinite where it is open.

    Returns
    -------
    HOLDS, FAILS or OPEN. An interval that only touches a bound, to nine places, is OPEN; one that is nothing
    but the bound (no difference at all where a direction was expected) is FAILS.
    """
    if not math.isfinite(finding.low) or not math.isfinite(finding.high):
        return OPEN
    begin, end, low, high = (round(one, PLACES) for one in (finding.low, finding.high, low, high))
    if low < begin and end < high:
        return HOLDS
    if end < low or begin > high or begin == end in (low, high):
        return FAILS
    return OPEN


def together(verdicts: Sequence[str]) -> str:
    """The verdict on a pattern from those on its parts: all must hold, one failure is enough."""
    if not verdicts or FAILS in verdicts:
        return FAILS if verdicts else OPEN
    return HOLDS if all(one == HOLDS for one in verdicts) else OPEN


# ---- intervals over trials


def median_of(values: ArrayLike) -> Finding:
    """Median with its exact interval by ranks; nan values are left out.

    Fewer than six values have no such interval.
    """
    kept = _kept(values)
    if not len(kept):
        return _unknown(0)
    bounds = stats.quantile_test(kept, q=float(np.median(kept)), p=0.5).confidence_interval(CONFIDENCE)
    return Finding(float(np.median(kept)), float(bounds.low), float(bounds.high), len(kept))


def mean_of(values: ArrayLike) -> Finding:
    """Mean with its bootstrap interval; nan values are left out."""
    return statistic_of(np.mean, _kept(values))


def share_of(hits: ArrayLike) -> Finding:
    """Share of trials in which something happened, with Wilson's interval.

    Source: Newcombe1998.
    """
    happened = np.asarray(hits, bool)
    if not happened.size:
        return _unknown(0)
    low, high = wilson_interval(int(happened.sum()), trials=happened.size)
    return Finding(float(happened.mean()), low, high, happened.size)


def statistic_of(statistic: Callable[..., Any], *columns: ArrayLike) -> Finding:
    """Any statistic of columns measured in the same trials, with its bootstrap interval over trials.

    Parameters
    ----------
    statistic : of the columns, [n] each; takes ``axis``.
    columns : [n] each, without nan.
    """
    data = [np.asarray(column, float) for column in columns]
    n = len(data[0])
    if n == 0:
        return _unknown(0)
    value = float(statistic(*data, axis=-1))
    if n < 2 or not math.isfinite(value):
        return _unknown(n, value)
    if all(np.ptp(column) == 0.0 for column in data):
        return Finding(value, value, value, n)
    low, high = _bootstrap(statistic, data)
    return Finding(value, low, high, n)


def _bootstrap(statistic: Callable[..., Any], data: list[Floats]) -> Interval:
    """Bias-corrected interval, or plain percentiles where that one is not defined."""
    for method in ("BCa", "percentile"):
        with np.errstate(all="ignore"):
            found = stats.bootstrap(
                data,
                statistic,
                n_resamples=RESAMPLES,
                paired=True,
                vectorized=True,
                confidence_level=CONFIDENCE,
                method=method,
                random_state=np.random.default_rng(SEED),
            ).confidence_interval
        if math.isfinite(found.low) and math.isfinite(found.high):
            return float(found.low), float(found.high)
    return NAN, NAN


def _kept(values: ArrayLike) -> Floats:
    flat = np.asarray(values, float)
    return flat[np.isfinite(flat)]


def _unknown(trials: int, value: float = NAN) -> Finding:
    return Finding(value, NAN, NAN, trials)


def finite_rows(*columns: Iterable[float]) -> list[Floats]:
    """The columns without the trials in which any of them is nan."""
    table = np.array([list(column) for column in columns], float)
    return list(table[:, np.isfinite(table).all(axis=0)])
