"""Ridge regression with CV+ intervals: against the closed form, another package, and made-up truths."""

from __future__ import annotations

import numpy as np
import pytest
from made_linear import linear
from mapie.regression import CrossConformalRegressor
from rockshy.analysis.statistics.ridge import fit
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.linear_model import RidgeCV
from sklearn.model_selection import PredefinedSplit
from sklearn.preprocessing import StandardScaler

PENALTIES = np.geomspace(0.1, 1e4, 26)


class Standardised(RegressorMixin, BaseEstimator):
    """The other package's ridge on standardised columns, its penalty by generalised cross-validation."""

    def fit(self, X: np.ndarray, y: np.ndarray) -> Standardised:  # noqa: N803
        self.scaler_ = StandardScaler().fit(X)
        self.ridge_ = RidgeCV(alphas=_chosen(self.scaler_.transform(X), y)).fit(self.scaler_.transform(X), y)
        return self

    def predict(self, X: np.ndarray) -> np.ndarray:  # noqa: N803
        return self.ridge_.predict(self.scaler_.transform(X))


def _chosen(z: np.ndarray, y: np.ndarray) -> list[float]:
    """The penalty of least generalised cross-validation error, from the hat matrix itself."""
    off, errors = y - y.mean(), []
    for penalty in PENALTIES:
        hat = z @ np.linalg.solve(z.T @ z + penalty**2 * np.eye(z.shape[1]), z.T)
        errors.append((((off - hat @ off) ** 2).sum()) / (len(y) - 1 - np.trace(hat)) ** 2)
    return [float(PENALTIES[int(np.argmin(errors))] ** 2)]


def test_interval_is_that_of_another_package() -> None:
    made = linear(96)
    ours = fit(made.observed, made.figure, folds=8)
    split = PredefinedSplit(np.arange(96) % 8)
    theirs = CrossConformalRegressor(
        Standardised(), confidence_level=0.9, cv=split, method="plus"
    ).fit_conformalize(made.observed, made.figure)
    at = linear(12, seed=2).observed
    _, ends = theirs.predict_interval(at)
    found = np.array([ours.interval(one) for one in at])
    np.testing.assert_allclose(found, ends[:, :, 0], rtol=1e-6, atol=1e-6)


def test_nine_of_ten_made_up_truths_lie_inside_and_the_width_shrinks() -> None:
    inside = []
    for seed in range(10, 20):
        made, truths = linear(200, seed=seed), linear(100, seed=100 + seed)
        found = fit(made.observed, made.figure)
        ends = np.array([found.interval(one) for one in truths.observed])
        inside += [(ends[:, 0] <= truths.figure) & (truths.figure <= ends[:, 1])]
        before = np.ptp(np.percentile(made.figure, (5, 95)))
        assert np.diff(ends).mean() < 0.7 * before
        assert found.width() == pytest.approx(np.diff(ends).mean(), rel=0.1)
    assert 0.87 <= np.mean(inside) <= 0.93


def test_a_figure_that_nothing_goes_along_with_keeps_its_width() -> None:
    made = linear(200)
    luck = np.random.default_rng(4).standard_normal(200)
    found = fit(made.observed, luck)
    assert found.width() == pytest.approx(np.ptp(np.percentile(luck, (5, 95))), rel=0.15)
    assert np.diff(found.interval(made.observed[0])) == pytest.approx(found.width(), rel=0.15)


def test_a_column_without_a_difference_does_nothing_and_few_cases_promise_nothing() -> None:
    made = linear(60)
    same = np.column_stack([made.observed, np.full(60, 3.0)])
    at = made.observed[0]
    plain = fit(made.observed, made.figure).interval(at)
    assert fit(same, made.figure).interval(np.append(at, 9.0)) == pytest.approx(plain)
    assert fit(made.observed[:8], made.figure[:8]).interval(at) == (-np.inf, np.inf)
