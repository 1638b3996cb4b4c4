"""Sobol indices of guesses, with the luck of the trials taken out.

The spread of an answer over what nobody has measured is shared out. The first-order index of a guess is
the part that would go if that guess alone were known; the total index is the part that would be left if
all the others were known. What a guess does only together with others is total less first order.

Every point is run in several trials. A product of two differences taken in different trials holds no luck
on average, a square holds it all: so every product here is of different trials, and a mean square of
luck is not taken for an effect. With one trial a point the estimators are those of Saltelli2010.

Source: Saltelli2010 (table 2 b and f, as scipy documents them); products of different trials in the place
of squares are the project's own, after the textbook rule that independent errors have no covariance.
Several columns moved at once (groups): textbook, from memory.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.stats import qmc

from ...statistics.intervals import CONFIDENCE, NAN, Floats, Interval

LEAST_ROWS = 8
RESAMPLES = 999
FIRST_SLOTS = 2  # A and B stand before the pages of the guesses


@dataclass(frozen=True)
class Points:
    """Rows of points: A, B, and for every guess A with the columns of that guess from B."""

    a: Floats  # [rows, inputs] numbers from 0 to 1
    b: Floats
    columns: tuple[NDArray[np.int64], ...]  # of each guess

    @property
    def slots(self) -> int:
        """Points in a row."""
        return FIRST_SLOTS + len(self.columns)

    def row(self, number: int) -> Floats:
        """The points of one row, [slots, inputs]."""
        points = np.tile(self.a[number], (self.slots, 1))
        points[1] = self.b[number]
        for slot, columns in enumerate(self.columns, FIRST_SLOTS):
            points[slot, columns] = self.b[number, columns]
        return points


def design_of(columns: Sequence[NDArray[np.int64]], *, rows: int, seed: int) -> Points:
    """Rows from one scrambled Sobol sequence, its first half of columns for A, the other for B.

    Parameters
    ----------
    columns : of each guess; together every column once.
    rows : a power of 2; more rows go on from fewer.
    """
    inputs = sum(len(one) for one in columns)
    both = qmc.Sobol(d=2 * inputs, seed=np.random.default_rng(seed), bits=64).random(rows)
    return Points(both[:, :inputs], both[:, inputs:], tuple(columns))


@dataclass(frozen=True)
class Known:
    """An additive fit of the answer that does not rest on the rows: its parts, and their exact variances.

    What the fit carries is known; only what is left of the answer is estimated (control variates). Without
    a fit all of it is 0.
    """

    own_a: Floats  # [guesses, rows] the part of each guess at its inputs in A; mean 0 over a uniform draw
    own_b: Floats  # the same in B
    variance: Floats  # [guesses] exact

    def rows(self, index: NDArray[np.int64]) -> Known:
        """Some rows of it."""
        return Known(self.own_a[:, index], self.own_b[:, index], self.variance)


@dataclass(frozen=True)
class Share:
    """What one guess carries of a spread: 0 nothing, 1 all of it, with 95 % intervals."""

    first: float
    first_interval: Interval
    total: float
    total_interval: Interval

    @property
    def by_itself(self) -> float:
        """First order as it is said: by chance it may come out below nothing, or above the total."""
        return max(0.0, min(self.first, self.total))


@dataclass(frozen=True)
class Shares:
    """How the spread of one answer is shared out."""

    shares: tuple[Share, ...]  # in the order of the guesses of the design
    alone_interval: Interval  # 95 %, of the sum of what they carry each by itself
    mean: float
    span: Interval  # 5th to 95th percentile over points A and B
    variance: float  # over guesses, the luck of trials taken out; 0 where there is no more than luck
    luck_variance: float  # of one trial; nan with one trial a point
    rows: int
    trials: int  # a point

    @property
    def luck_of_trial(self) -> float:
        """Share of the variance of a single trial that is luck."""
        return self._luck(1)

    @property
    def luck_of_point(self) -> float:
        """Share of the variance of a point, the mean of its trials, that is luck."""
        return self._luck(self.trials)

    def _luck(self, trials: int) -> float:
        luck = self.luck_variance / trials
        return luck / (luck + self.variance) if luck + self.variance > 0 else NAN

    @property
    def alone(self) -> float:
        """Sum of what the guesses carry each by itself; what is left to 1 they carry only together."""
        return sum(one.first for one in self.shares)


def shares_of(values: Floats, *, seed: int, known: Known | None = None, resamples: int = RESAMPLES) -> Shares:
    """Share the spread of one answer out among the guesses of a design.

    Parameters
    ----------
    values : [rows, slots, trials] the answer at every point of :class:`Points` in every trial. Trials are
        independent of one another; the points of a row may share them.
    seed : of the bootstrap over rows.
    known : a fit that narrows the intervals, see :func:`rockshy.analysis.questions.guesses.fit.known_of`.

    Returns
    -------
    Shares; with intervals of nan where nothing varies.

    Raises
    ------
    ValueError
        For a number of rows that is no power of 2, under LEAST_ROWS, or values that are not finite.
    """
    rows, slots, trials = values.shape
    if rows < LEAST_ROWS or rows & (rows - 1) or slots < FIRST_SLOTS + 2 or not np.isfinite(values).all():
        raise ValueError(
            f"{values.shape} values: use finite ones, rows by a power of 2 "
            f"from {LEAST_ROWS}, two guesses or more"
        )
    by_slot = values.transpose(1, 2, 0)  # [slots, trials, rows]
    a, b, pages = by_slot[0], by_slot[1], by_slot[FIRST_SLOTS:]
    points = np.concatenate([a, b], axis=1)  # [trials, 2 rows]
    variance = max(float(_variance(a, b)), 0.0)
    luck = float(points.var(axis=0, ddof=1).mean()) if trials > 1 else NAN
    over_points = points.mean(axis=0)
    low, high = np.percentile(over_points, (5.0, 95.0))
    told = (float(over_points.mean()), (float(low), float(high)), variance, luck, rows, trials)
    if not variance > 1e-12 * max(1.0, float(np.abs(points).max()) ** 2):
        nothing = Share(0.0, (NAN, NAN), 0.0, (NAN, NAN))
        return Shares((nothing,) * len(pages), (NAN, NAN), told[0], told[1], 0.0, *told[3:])
    none = np.zeros((len(pages), rows))
    fit = known or Known(none, none, np.zeros(len(pages)))
    first, total, low, high = _indices(a, b, pages, fit, seed=seed, resamples=resamples)
    shares = tuple(
        Share(
            float(first[k]),
            (float(low[0, k]), float(high[0, k])),
            float(total[k]),
            (float(low[1, k]), float(high[1, k])),
        )
        for k in range(len(pages))
    )
    return Shares(shares, (float(low[0, -1]), float(high[0, -1])), *told)


def _indices(
    a: Floats, b: Floats, pages: Floats, known: Known, *, seed: int, resamples: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """First order and total [guesses], and the ends of their intervals and their sums' [2, guesses + 1]."""
    rows = a.shape[1]
    found = stats.sobol_indices(func={"f_A": a, "f_B": b, "f_AB": pages}, n=rows, method=estimators(known))
    middle = np.concatenate([a, b], axis=1).mean(axis=1, keepdims=True)
    a, b, pages = a - middle, b - middle, pages - middle  # as sobol_indices does

    def again(index: NDArray[np.int64]) -> Floats:
        method = estimators(known.rows(index))
        both = np.array(method(a[:, index], b[:, index], pages[:, :, index]))
        return np.concatenate([both, both.sum(axis=1, keepdims=True)], axis=1)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", stats.DegenerateDataWarning)  # no spread, no interval: said by nan
        drawn = stats.bootstrap(
            [np.arange(rows)],
            again,
            vectorized=False,
            n_resamples=resamples,
            confidence_level=CONFIDENCE,
            method="percentile",
            random_state=np.random.default_rng(seed),
        ).confidence_interval
    return found.first_order, found.total_order, drawn.low, drawn.high


def estimators(known: Known) -> Callable[..., tuple[Floats, Floats]]:
    """A method for ``scipy.stats.sobol_indices``: Saltelli2010 of what a fit leaves over, and the fit.

    Without a fit and with one trial a point it gives what scipy's own "saltelli_2010" gives.

    Parameters
    ----------
    known : the fit, zeros for none.
    """
    fit_a, fit_b = known.own_a.sum(axis=0), known.own_b.sum(axis=0)
    step = known.own_b - known.own_a

    def method(f_A: Floats, f_B: Floats, f_AB: Floats) -> tuple[Floats, Floats]:  # noqa: N803 (scipy's names)
        """Values less their mean, [trials, rows] and [guesses, trials, rows] -> first, total."""
        a, b = f_A - fit_a, f_B - fit_b
        middle = np.concatenate([a, b], axis=1).mean()
        a, b = a - middle, b - middle
        moved = f_AB - (f_A + step[:, None, :])
        both = np.concatenate([a, b], axis=1)
        fit = np.concatenate([fit_a, fit_b])
        variance = known.variance.sum() + 2.0 * (fit * both.mean(axis=0)).mean() + _product(both, both).mean()
        by_step = moved.mean(axis=1)  # over trials
        first = known.variance + (known.own_b * by_step + step * b.mean(axis=0)).mean(axis=1)
        first += _product(b[None], moved).mean(axis=1)
        total = known.variance + (step * by_step + _product(moved, moved) / 2.0).mean(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            return first / variance, total / variance

    return method


def _variance(a: Floats, b: Floats) -> float:
    """Variance over points without luck, [trials, rows] each; as numpy's ``var`` with one trial."""
    both = np.concatenate([a, b], axis=1)
    both = both - both.mean(axis=1, keepdims=True)
    return float(_product(both, both).mean())


def _product(one: Floats, other: Floats) -> Floats:
    """Mean over all pairs of different trials of their product, [..., trials, rows] -> [..., rows].

    The plain product where there is one trial.
    """
    trials = one.shape[-2]
    if trials == 1:
        return np.asarray(one[..., 0, :] * other[..., 0, :])
    crossed = one.sum(axis=-2) * other.sum(axis=-2) - (one * other).sum(axis=-2)
    return np.asarray(crossed / (trials * (trials - 1)))
