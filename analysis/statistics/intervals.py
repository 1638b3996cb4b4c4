"""Intervals: how precisely the runs measure the model, and how far the guesses spread.

Beside the interval, over the units of :mod:`rockshy.analysis.statistics.units`, stands
the range over guesses: a narrow interval says that the model was run often enough, not
that its unmeasured numbers are known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from .units import draws_apart, numbered, units_of

CONFIDENCE = 0.95
DRAW_PERCENTILES = (5.0, 95.0)
ENOUGH_UNITS = 4  # independent units of an interval that says something: t is 12.7 with two, 4.3 with three
REPEATS = 2  # tanks a draw, before a range over draws says more than the luck of single tanks
NAN = float("nan")

Interval = tuple[float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Estimate:
    """A mean (or a ratio of means) over trials; nan where the runs cannot tell.

    ``low`` to ``high`` is the 95 % interval over units;
    ``guess_low`` to ``guess_high`` the 5th to 95th percentile of the means of
    the guesses. ``between`` and ``within`` split the variance of one trial
    between what was guessed (ignorance) and what differed by luck; nan when no draw was repeated.
    """

    value: float
    low: float
    high: float
    guess_low: float
    guess_high: float
    between: float
    within: float
    trials: int
    guesses: int

    @property
    def ignorance(self) -> float:
        """Share of the variance of a trial that the guesses explain, 0..1; nan when nothing varies."""
        total = self.between + self.within
        return self.between / total if total > 0 else NAN


@dataclass(frozen=True)
class Count:
    """``hits`` of ``of`` simulated tanks; the intervals are shares of the tanks, 0..1.

    ``guess_low`` and ``guess_high`` are nan where guesses have fewer than REPEATS tanks each, on average.
    """

    hits: int
    of: int
    low: float
    high: float
    guess_low: float
    guess_high: float

    @property
    def share(self) -> float:
        return self.hits / self.of if self.of else NAN


def wilson_interval(hits: int, *, trials: int, confidence: float = CONFIDENCE) -> Interval:
    """Wilson's score interval of a proportion from independent trials.

    Returns
    -------
    (low, high) : shares of the trials, 0..1; (nan, nan) without trials.

    Raises
    ------
    ValueError
        Unless 0 <= hits <= trials and 0 < confidence < 1.

    Source: Newcombe1998 (method 3).
    """
    _check_confidence(confidence)
    if not 0 <= hits <= trials:
        raise ValueError(f"hits is {hits}; use 0 to {trials}, the number of trials")
    if trials == 0:
        return NAN, NAN
    return score_interval(hits / trials, trials, confidence)


def poisson_interval(count: int, *, exposure: float = 1.0, confidence: float = CONFIDENCE) -> Interval:
    """Exact interval of a Poisson rate from one count: quantiles of chi squared over 2 x exposure.

    Chases are overdispersed across runs: the interval of a chase rate is taken
    over runs (:func:`estimate`), never from a pooled count with this one.

    Returns
    -------
    (low, high) : events per unit of ``exposure``.

    Raises
    ------
    ValueError
        For a negative count or an exposure that is not above 0.

    Source: Garwood (1936) Biometrika 28:437-442 (citation from memory).
    """
    _check_confidence(confidence)
    if count < 0:
        raise ValueError(f"count is {count}; use 0 or more")
    if not exposure > 0:
        raise ValueError(f"exposure is {exposure}; use anything above 0")
    tail = (1 - confidence) / 2
    low = 0.0 if count == 0 else float(special.chdtri(2 * count, 1 - tail)) / 2
    high = float(special.chdtri(2 * count + 2, tail)) / 2
    return low / exposure, high / exposure


def cluster_interval(values: ArrayLike, *, cluster: ArrayLike, confidence: float = CONFIDENCE) -> Interval:
    """Interval of the mean over all values when only the clusters are independent.

    With residual sums z_g of the G clusters and n values, the variance of the
    mean is G/(G-1) x sum z_g^2 / n^2, on G-1 degrees of freedom. With clusters
    of one size this is the t interval of the cluster means, with clusters of
    one value the t interval of the values.

    Returns
    -------
    (low, high) : in the unit of ``values``; (nan, nan) for fewer than two clusters.

    Source: Cochran WG (1977) Sampling Techniques, ch. 9A (from memory).
    """
    _check_confidence(confidence)
    kept, group = _paired_finite(values, cluster)
    if not len(kept):
        return NAN, NAN
    centre = float(kept.mean())
    half = _half_width(kept - centre, numbered(group), float(len(kept)), confidence)
    return centre - half, centre + half


def variance_split(values: ArrayLike, *, draw: ArrayLike) -> tuple[float, float]:
    """Split the variance of one trial between draw (ignorance) and repeat (luck).

    One-way random effects by mean squares: luck is the mean square within
    guesses, ignorance is (mean square between - within) / n0, never below 0,
    with n0 = (n - sum n_g^2 / n) / (G - 1).

    Returns
    -------
    (between, within) : variances in the unit of ``values`` squared; (nan, nan)
    unless there are two guesses and one of them has two repeats.

    Source: the ANOVA estimator of Searle, Casella, McCulloch (1992) Variance Components (from memory).
    """
    kept, labels = _paired_finite(values, draw)
    group = numbered(labels)
    sizes, means = _cluster_means(kept, group)
    n, groups = len(kept), len(sizes)
    if groups < 2 or n == groups:
        return NAN, NAN
    inside = float(((kept - means[group]) ** 2).sum()) / (n - groups)
    across = float((sizes * (means - kept.mean()) ** 2).sum()) / (groups - 1)
    typical_size = (n - float((sizes**2).sum()) / n) / (groups - 1)
    return max(0.0, (across - inside) / typical_size), inside


def draw_range(values: ArrayLike, *, draw: ArrayLike) -> Interval:
    """5th to 95th percentile of the means of the guesses; (nan, nan) for fewer than two guesses.

    A mean of few repeats carries their luck as well, so this range is rather
    too wide than too narrow; :func:`variance_split` takes the two apart.
    """
    kept, group = _paired_finite(values, draw)
    return _percentiles(_cluster_means(kept, numbered(group))[1])


def estimate(
    values: ArrayLike, *, draw: ArrayLike, bounds: Interval = (-math.inf, math.inf), fixed: bool = False
) -> Estimate:
    """Mean over trials with its interval, the range over guesses and the split of the variance.

    Parameters
    ----------
    values : [t] one value a trial; nan where the trial has none.
    draw : [t] number of the draw of each trial.
    bounds : what the quantity can be at all; the interval is cut there.
    fixed : nothing was drawn, so trials differ by luck alone and each is independent.
    """
    kept, group = _paired_finite(values, draw)
    if not len(kept):
        return Estimate(NAN, NAN, NAN, NAN, NAN, NAN, NAN, 0, 0)
    low, high = cluster_interval(kept, cluster=units_of(group, fixed))
    spread = (NAN, NAN) if fixed else draw_range(kept, draw=group)
    between, within = (0.0, _variance(kept)) if fixed else variance_split(kept, draw=group)
    return Estimate(
        float(kept.mean()),
        _clipped(low, bounds),
        _clipped(high, bounds),
        *spread,
        between,
        within,
        len(kept),
        len(np.unique(group)),
    )


def ratio_estimate(
    top: ArrayLike, *, bottom: ArrayLike, draw: ArrayLike, most: float = math.inf, fixed: bool = False
) -> Estimate:
    """Ratio of the means of two quantities measured in the same trials (both >= 0).

    R = sum top / sum bottom, so a trial in which the bottom happens to be 0
    does not blow up. The interval is R exp(+-t se/R) with the clustered
    standard error of the residuals top - R bottom. Against simulated
    guesses x repeats its coverage was nearer 95 % than that of a bootstrap
    over guesses, above all with few guesses. It is cut at ``most``, the greatest value that
    the top can take in a trial, over the mean bottom.

    Returns
    -------
    Estimate : a pure number; ``between`` and ``within`` split the variance of
    the residuals over the mean bottom. nan when the bottom is 0 throughout.

    Source: Cochran WG (1977) Sampling Techniques, ch. 6 (ratio estimator, linearised; from memory).
    """
    over, under = np.asarray(top, dtype=float), np.asarray(bottom, dtype=float)
    if over.shape != under.shape:
        raise ValueError(f"top has {over.shape} values and bottom {under.shape}; use one of each a trial")
    both = np.isfinite(over) & np.isfinite(under)
    over, under = over[both], under[both]
    group = np.asarray(draw)[both]
    if not under.sum() > 0:
        return Estimate(NAN, NAN, NAN, NAN, NAN, NAN, NAN, len(over), len(np.unique(group)))
    ratio = float(over.sum() / under.sum())
    residual = (over - ratio * under) / float(under.mean())
    half = _half_width(residual, units_of(group, fixed), float(len(over)), CONFIDENCE)
    stretch = math.exp(half / ratio) if ratio > 0 else NAN
    spread = (NAN, NAN) if fixed else _percentiles(_cluster_ratios(over, under, numbered(group)))
    between, within = (0.0, _variance(residual)) if fixed else variance_split(residual, draw=group)
    low, high = ratio / stretch, _clipped(ratio * stretch, (0.0, most / float(under.mean())))
    return Estimate(ratio, low, high, *spread, between, within, len(over), len(np.unique(group)))


def count_estimate(hits: ArrayLike, *, draw: ArrayLike, fixed: bool = False) -> Count:
    """Count the tanks in which something happened, with an interval that knows about the guesses.

    The draw is the unit, whatever blocks there are: counts gain little by even placing, and 0 of 72 tanks
    must not be held for 0 of 8 blocks. The interval is Wilson's with the number of trials divided by the
    design effect (clustered over independent variance). When all trials agree no
    design effect can be measured and the number of guesses is taken: 0 of 64
    tanks from 16 guesses is held no more certain than 0 of 16. The size is also
    cut by how much wider t is with so few guesses (measured over 4,000 made-up
    runs of 16 unlike guesses: without it 93 % of the intervals held the truth).

    Source: Newcombe1998 for the interval; Kish (1965) Survey Sampling for the design effect (from memory);
    KornGraubard1998 for the cut.
    """
    happened = np.asarray(hits, dtype=bool)
    group = np.asarray(draw)
    n, total = len(happened), int(happened.sum())
    if n == 0:
        return Count(0, 0, NAN, NAN, NAN, NAN)
    size = effective_size(happened.astype(float), draws_apart(group, fixed))
    low, high = score_interval(total / n, size)
    single = fixed or n < REPEATS * len(np.unique(group))  # a share of one tank is 0 or 1
    spread = (NAN, NAN) if single else draw_range(happened.astype(float), draw=group)
    return Count(total, n, low, high, *spread)


def effective_size(values: Floats, unit: NDArray[np.int64], confidence: float = CONFIDENCE) -> float:
    """Number of independent trials that would tell the mean as well as these clustered ones.

    The last factor stands for Student's t with few clusters where a normal quantile is used later.
    """
    n, groups = len(values), len(np.unique(unit))
    if groups < 2:
        return float(n)
    if float(np.ptp(values)) == 0.0:
        return float(groups)
    effect = variance_of_mean(values, unit) / (float(values.var(ddof=1)) / n)
    size = float(np.clip(n / effect if effect > 0 else n, groups, n))
    tail = (1 + confidence) / 2
    return size * (_t_quantile(tail, n - 1) / _t_quantile(tail, groups - 1)) ** 2


def variance_of_mean(values: Floats, unit: NDArray[np.int64]) -> float:
    """Clustered variance of the mean; nan for fewer than two clusters (see :func:`cluster_interval`)."""
    sums = np.bincount(unit, weights=values - values.mean()) if len(values) else np.zeros(0)
    groups = len(sums)
    return groups / (groups - 1) * float((sums**2).sum()) / len(values) ** 2 if groups > 1 else NAN


def score_interval(share: float, size: float, confidence: float = CONFIDENCE) -> Interval:
    """Wilson's formula for a size that need not be whole, which scipy does not take."""
    z = float(special.ndtri((1 + confidence) / 2))
    centre = (share + z**2 / (2 * size)) / (1 + z**2 / size)
    half = z / (1 + z**2 / size) * math.sqrt(share * (1 - share) / size + z**2 / (4 * size**2))
    return max(0.0, centre - half), min(1.0, centre + half)


def _half_width(residual: Floats, cluster: NDArray[np.int64], size: float, confidence: float) -> float:
    sums = np.bincount(cluster, weights=residual)
    groups = len(sums)
    if groups < 2:
        return NAN
    error = math.sqrt(groups / (groups - 1) * float((sums**2).sum())) / size
    return _t_quantile((1 + confidence) / 2, groups - 1) * error


@cache
def _t_quantile(share: float, freedom: int) -> float:
    return float(special.stdtrit(freedom, share))


def _cluster_means(values: Floats, group: NDArray[np.int64]) -> tuple[Floats, Floats]:
    sizes = np.bincount(group).astype(float)
    return sizes, np.bincount(group, weights=values) / sizes


def _cluster_ratios(top: Floats, bottom: Floats, group: NDArray[np.int64]) -> Floats:
    over, under = np.bincount(group, weights=top), np.bincount(group, weights=bottom)
    return over[under > 0] / under[under > 0]


def _clipped(value: float, bounds: Interval) -> float:
    return float(np.clip(value, *bounds))  # nan stays nan


def _percentiles(means: Floats) -> Interval:
    if len(means) < 2:
        return NAN, NAN
    low, high = np.percentile(means, DRAW_PERCENTILES)
    return float(low), float(high)


def _variance(values: Floats) -> float:
    return float(values.var(ddof=1)) if len(values) > 1 else NAN


def _paired_finite(values: ArrayLike, cluster: ArrayLike) -> tuple[Floats, NDArray[np.int64]]:
    flat, group = np.asarray(values, dtype=float), np.asarray(cluster)
    if flat.shape != group.shape or flat.ndim != 1:
        raise ValueError(
            f"values have the shape {flat.shape} and clusters {group.shape}; use one each a trial"
        )
    kept = np.isfinite(flat)
    return flat[kept], group[kept]


def _check_confidence(confidence: float) -> None:
    if not 0 < confidence < 1:
        raise ValueError(f"confidence is {confidence}; use a number above 0 and below 1")
