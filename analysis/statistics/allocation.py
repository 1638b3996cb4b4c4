"""Which of several alternatives is best, and where the next trials tell most.

Alternatives run the same trial numbers, so each is compared with the base trial
by trial. An alternative that is far behind needs few trials, the best and its
near rivals need many. :mod:`rockshy.analysis.statistics.sharing` hands them out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .intervals import Floats
from .units import ENOUGH_BLOCKS, draws_apart, units_of, whole_blocks

DRAWS = 20_000
SAME = 1e-9  # of the spread of a draw: alternatives this near to each other share the win

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Standing:
    """Where k alternatives stand against the base, alternative 0.

    ``gain`` [k] is the mean difference from the base over the trials both have.
    ``shadow`` [u, k] holds what each independent unit adds to the uncertainty:
    its columns' products are the covariances of the gains. ``free`` is the
    least number of degrees of freedom.
    """

    gain: Floats
    shadow: Floats
    free: int


def standing(values: Sequence[ArrayLike], *, draw: ArrayLike, fixed: bool = False) -> Standing:
    """Gains of all alternatives over the base and how they vary together.

    For one alternative the square root of the variance is the standard error of
    :func:`rockshy.analysis.statistics.paired.paired_difference`; the covariances come
    from the same sums by unit.

    Parameters
    ----------
    values : k arrays; ``values[i][t]`` is alternative i in trial t. Alternatives may have unequal
        numbers of trials; those beyond the base's and pairs with a nan are left out.
    draw : [t] number of the draw of each trial, for as many trials as the base has or more.
    fixed : nothing was drawn, so each trial is independent.

    Returns
    -------
    Standing : gains are nan for an alternative without a pair.

    Source: Cochran1977 (ch. 9A, here for several means at once).
    """
    runs = [np.asarray(one, dtype=float) for one in values]
    base = runs[0]
    group = np.asarray(draw)[: len(base)]
    in_all = group[: min(len(one) for one in runs)]
    few = len(whole_blocks(in_all)) < ENOUGH_BLOCKS
    unit = draws_apart(group, fixed) if few else units_of(group, fixed)
    if len(unit) < len(base):
        raise ValueError(f"guess has {len(unit)} values; use one for each of {len(base)} trials")
    gain, shadow, free = np.full(len(runs), np.nan), np.zeros((unit.max(initial=0) + 1, len(runs))), len(unit)
    for i, one in enumerate(runs):
        both = min(len(one), len(base))
        change = one[:both] - base[:both]
        known = np.isfinite(change)
        groups = len(np.unique(unit[:both][known]))
        free = min(free, groups - 1)
        if not groups:
            continue
        gain[i] = change[known].mean()
        sums = np.bincount(unit[:both][known], weights=change[known] - gain[i], minlength=len(shadow))
        shadow[:, i] = np.sqrt(groups / max(groups - 1, 1)) * sums / known.sum()
    return Standing(gain, shadow, free)


def chance_best(
    values: Sequence[ArrayLike],
    *,
    draw: ArrayLike,
    lower_is_better: bool = True,
    fixed: bool = False,
    draws: int = DRAWS,
    seed: int = 0,
) -> Floats:
    """Chance that each alternative has the best mean, given the trials so far.

    The true gains are drawn from a multivariate t about the observed ones, with
    the covariances of the common trials, and the wins are counted;
    alternatives that cannot be told apart by any trial share theirs. The t
    is the posterior of means under a flat prior and normal values.

    Parameters
    ----------
    values, draw, fixed : see :func:`standing`; alternative 0 is the base and can be the best.
    lower_is_better : which way is better.
    draws, seed : how many draws; the same seed gives the same chances.

    Returns
    -------
    [k] chances with sum 1 and a Monte Carlo error of at most 0.5 / sqrt(draws); nan with
    fewer than two independent units in common with the base.

    Source: ChickInoue2001 (posterior under common random numbers); assumption (sums by draw).
    """
    found = standing(values, draw=draw, fixed=fixed)
    if found.free < 1 or not np.isfinite(found.gain).all():
        return np.full(len(values), np.nan)
    drawn = drawn_gains(found, draws=draws, seed=seed) * (1 if lower_is_better else -1)
    nearest = drawn.min(axis=0)
    wins = drawn <= nearest + SAME * (drawn.max(axis=0) - nearest)
    return np.asarray((wins / wins.sum(axis=0)).mean(axis=1))


def drawn_gains(found: Standing, *, draws: int = DRAWS, seed: int = 0) -> Floats:
    """True gains as they may be, [k, draws]: from a multivariate t about the observed ones.

    Parameters
    ----------
    found : gains of k alternatives, all known, over two independent units or more.
    draws, seed : how many; the same seed gives the same.

    Source: ChickInoue2001 (posterior under common random numbers); assumption (sums by draw).
    """
    rng = np.random.default_rng(seed)
    factor = np.asarray(np.linalg.qr(found.shadow, mode="r")).T
    noise = factor @ rng.standard_normal((factor.shape[1], draws))  # [k, draws]
    noise /= np.sqrt(rng.chisquare(found.free, draws) / found.free)
    return np.asarray(found.gain[:, None] + noise)


def ocba(
    means: ArrayLike, *, variances: ArrayLike, budget: int, counts: ArrayLike, lower_is_better: bool = True
) -> Ints:
    """Share out the next trials by optimal computing budget allocation.

    With d_i the distance of mean i from the best mean b, totals are in the
    proportion N_i : N_j = (s_i / d_i)^2 : (s_j / d_j)^2 and
    N_b = s_b sqrt(sum N_i^2 / s_i^2). An alternative that has more than its
    total already gets none and the others are shared out anew. Fractions are
    rounded down, what is left over goes to the best. Alternatives tied with
    the best come before all others; one that never varies needs no trial.

    Parameters
    ----------
    means, variances : [k] sample means and variances of a trial.
    budget : number of further trials to share out.
    counts : [k] trials that each has had.
    lower_is_better : whether the smallest mean is the best, or the largest.

    Returns
    -------
    [k] further trials, 0 or more each, with the sum ``budget``.

    Raises
    ------
    ValueError
        For lengths that differ, values that are not finite, negative variances, counts or budget.

    Source: Chen2000.
    """
    mean, variance = np.asarray(means, dtype=float), np.asarray(variances, dtype=float)
    had = np.asarray(counts, dtype=np.int64)
    _check_ocba(mean, variance, had, budget)
    best = int(mean.argmin() if lower_is_better else mean.argmax())
    total = _totals(_proportions(np.abs(mean - mean[best]), variance, best), had, budget)
    extra = np.floor(total - had + 1e-9).astype(np.int64)
    extra[best] = 0
    extra[best] = budget - extra.sum()
    return extra


def _proportions(distance: Floats, variance: Floats, best: int) -> Floats:
    """Totals of the published rule up to a factor."""
    k = len(distance)
    rivals = (np.arange(k) != best) & (variance > 0)
    tied = rivals & (distance <= 0)
    if tied.any():  # the limit of the rule: all others vanish beside them
        rivals, distance = tied, np.ones(k)
    share = np.zeros(k)
    nearest = distance[rivals].min(initial=np.inf)  # keeps the squares within range
    share[rivals] = variance[rivals] * (nearest / distance[rivals]) ** 2
    share[best] = np.sqrt(variance[best] * (share[rivals] ** 2 / variance[rivals]).sum())
    if share.sum() > 0:
        return share
    return variance if variance.sum() > 0 else np.ones(k)


def _totals(share: Floats, had: Ints, budget: int) -> Floats:
    """Totals after the budget is spent, none below what an alternative has had."""
    open_ = np.ones(len(share), dtype=bool)
    left = float(had.sum() + budget)
    while True:
        weight = float(share[open_].sum())
        total = np.where(open_, left * share / weight if weight > 0 else had, had)
        over = open_ & (total < had)
        if not over.any():
            return total
        open_ &= ~over
        left = float(had[open_].sum() + budget)


def _check_ocba(mean: Floats, variance: Floats, had: Ints, budget: int) -> None:
    if not mean.shape == variance.shape == had.shape or mean.ndim != 1 or not len(mean):
        raise ValueError(
            f"means have the shape {mean.shape}, variances {variance.shape} and counts {had.shape}; "
            "use one of each an alternative"
        )
    if not (np.isfinite(mean).all() and np.isfinite(variance).all()):
        raise ValueError("means and variances are not all finite; use finite numbers")
    if (variance < 0).any() or (had < 0).any() or budget < 0:
        raise ValueError("a variance, a count or the budget is negative; use 0 or more")
