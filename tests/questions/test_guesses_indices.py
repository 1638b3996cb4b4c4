"""Shares of a spread: known functions, with and without luck, by the code that shares out tanks."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from rockshy.analysis.questions.guesses.fit import Additive, fitted, known_of
from rockshy.analysis.questions.guesses.indices import Known, Points, Shares, design_of, estimators, shares_of
from scipy import stats

SINGLE = [np.array([k]) for k in range(3)]
# Saltelli2010, a 7, b 0.1
FIRST, TOTAL = (0.31391, 0.44241, 0.0), (0.55759, 0.44241, 0.24368)
ISHIGAMI_VARIANCE = 13.8446  # a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2


def ishigami(points: np.ndarray) -> np.ndarray:
    x = np.pi * (2.0 * points - 1.0)
    return np.sin(x[..., 0]) * (1.0 + 0.1 * x[..., 2] ** 4) + 7.0 * np.sin(x[..., 1]) ** 2


def values(
    design: Points,
    of: Callable[[np.ndarray], np.ndarray],
    *,
    luck: float = 0.0,
    trials: int = 1,
    seed: int = 0,
) -> np.ndarray:
    """A function at every point of a design, with luck of its own in every trial."""
    points = np.stack([design.row(k) for k in range(len(design.a))])
    every = np.repeat(of(points)[..., None], trials, axis=2)
    return every + np.random.default_rng(seed).normal(0.0, luck, every.shape)


def shared(of: Callable[[np.ndarray], np.ndarray], *, rows: int, seed: int = 1, **luck: float) -> Shares:
    design = design_of(SINGLE, rows=rows, seed=seed)
    return shares_of(values(design, of, seed=seed, **luck), seed=seed, resamples=149)  # type: ignore[arg-type]


def assert_holds(found: Shares, first: tuple[float, ...], total: tuple[float, ...]) -> None:
    for share, one, all_ in zip(found.shares, first, total, strict=True):
        assert share.first_interval[0] <= one <= share.first_interval[1]
        assert share.total_interval[0] <= all_ <= share.total_interval[1]


def test_ishigami_has_the_published_indices() -> None:
    found = shared(ishigami, rows=1024)
    assert_holds(found, FIRST, TOTAL)
    assert [one.first for one in found.shares] == pytest.approx(FIRST, abs=0.02)
    assert [one.total for one in found.shares] == pytest.approx(TOTAL, abs=0.02)
    assert found.variance == pytest.approx(ISHIGAMI_VARIANCE, rel=0.01)
    assert found.alone == pytest.approx(sum(FIRST), abs=0.03)
    assert found.alone_interval[0] < sum(FIRST) < found.alone_interval[1]


def test_luck_in_every_point_is_not_taken_for_an_effect() -> None:
    sd = np.sqrt(ISHIGAMI_VARIANCE)  # half of the variance of a trial is luck
    found = shared(ishigami, rows=1024, luck=sd, trials=2)
    assert_holds(found, FIRST, TOTAL)
    assert [one.total for one in found.shares] == pytest.approx(TOTAL, abs=0.1)
    assert found.luck_of_trial == pytest.approx(0.5, abs=0.04)
    assert found.luck_of_point == pytest.approx(1 / 3, abs=0.04)
    naive = values(design_of(SINGLE, rows=1024, seed=1), ishigami, luck=sd, trials=2, seed=1).mean(axis=2)
    plain = shares_of(naive[..., None], seed=1, resamples=19)
    assert plain.shares[2].total > TOTAL[2] + 0.1  # which is why products of different trials are taken


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    hits = []
    for seed in range(16):
        found = shared(ishigami, rows=64, seed=seed, luck=2.6, trials=2)
        for share, one, all_ in zip(found.shares, FIRST, TOTAL, strict=True):
            hits.append(share.first_interval[0] <= one <= share.first_interval[1])
            hits.append(share.total_interval[0] <= all_ <= share.total_interval[1])
    assert 0.86 <= np.mean(hits) <= 0.99  # of 96, which are not all independent


def test_inputs_of_one_guess_are_moved_together() -> None:
    """x0 x1 is all interaction of two inputs, and no interaction of the guess that holds both."""
    design = design_of([np.array([0, 1]), np.array([2])], rows=512, seed=3)
    found = shares_of(
        values(design, lambda x: 8.0 * (x[..., 0] - 0.5) * (x[..., 1] - 0.5) + x[..., 2]), seed=3
    )
    truth = (64 / 144) / (64 / 144 + 1 / 12)
    assert_holds(found, (truth, 1 - truth), (truth, 1 - truth))
    assert found.shares[0].first == pytest.approx(truth, abs=0.05)


def test_without_a_fit_the_estimators_are_those_of_scipy() -> None:
    design = design_of(SINGLE, rows=64, seed=5)
    every = values(design, ishigami)[..., 0].T
    asked = {"f_A": every[:1], "f_B": every[1:2], "f_AB": every[2:, None, :]}
    theirs = stats.sobol_indices(func=asked, n=64)
    none = Known(np.zeros((3, 64)), np.zeros((3, 64)), np.zeros(3))
    ours = stats.sobol_indices(func=asked, n=64, method=estimators(none))
    assert ours.first_order == pytest.approx(theirs.first_order, abs=1e-12)
    assert ours.total_order == pytest.approx(theirs.total_order, abs=1e-12)


def fit_of(of: Callable[[np.ndarray], np.ndarray], *, seed: int, points: int = 256) -> Additive:
    drawn = np.random.default_rng(seed).random((points, 3))
    return fitted(drawn, of(drawn), guesses=[0, 1, 2], columns=SINGLE)


def test_a_fit_that_says_it_all_leaves_nothing_to_estimate() -> None:
    def bowl(x: np.ndarray) -> np.ndarray:
        return 3.0 * x[..., 0] + 6.0 * (x[..., 1] - 0.5) ** 2

    design = design_of(SINGLE, rows=8, seed=2)
    found = shares_of(
        values(design, bowl), seed=2, known=known_of(fit_of(bowl, seed=1), design), resamples=99
    )
    straight, bend = 9 / 12, 36 / 180
    assert [one.first for one in found.shares] == pytest.approx(
        [straight / (straight + bend), bend / (straight + bend), 0.0], abs=1e-3
    )
    for one in found.shares:
        assert one.first_interval[1] - one.first_interval[0] < 1e-3


def test_a_fit_narrows_intervals_and_a_wrong_one_does_not_mislead() -> None:
    def nearly(x: np.ndarray) -> np.ndarray:
        """Additive but for a product; variances 0.75, 1/3 and 1/9 of the product."""
        y = 2.0 * x - 1.0
        return np.asarray(1.5 * y[..., 0] + y[..., 1] + y[..., 0] * y[..., 2])

    whole = 0.75 + 1 / 3 + 1 / 9
    first, total = (0.75, 1 / 3, 0.0), (0.75 + 1 / 9, 1 / 3, 1 / 9)
    design = design_of(SINGLE, rows=128, seed=4)
    every = values(design, nearly)
    wrong = Additive((0, 2), (SINGLE[0], SINGLE[2]), (np.array([3.0, 0.0]), np.array([2.0, 1.0])))
    width = []
    for fit in (None, fit_of(nearly, seed=9), wrong):
        known = None if fit is None else known_of(fit, design)
        found = shares_of(every, seed=4, known=known, resamples=299)
        assert_holds(found, tuple(v / whole for v in first), tuple(v / whole for v in total))
        width.append(np.mean([one.first_interval[1] - one.first_interval[0] for one in found.shares]))
    assert width[1] < 0.6 * width[0] < width[2]


def test_a_part_of_the_fit_belongs_to_the_lot_of_all_others() -> None:
    design = design_of([SINGLE[0], np.array([1, 2])], rows=128, seed=6)
    known = known_of(fit_of(ishigami, seed=9), design)
    assert known.variance.shape == (2,)
    found = shares_of(values(design, ishigami), seed=6, known=known, resamples=199)
    assert_holds(found, (FIRST[0], 1 - TOTAL[0]), (TOTAL[0], 1 - FIRST[0]))


def test_what_does_not_vary_has_no_shares() -> None:
    found = shared(lambda x: np.full(x.shape[:-1], 0.3), rows=8)
    assert found.variance == 0.0
    assert [(one.first, one.total) for one in found.shares] == [(0.0, 0.0)] * 3


@pytest.mark.parametrize("shape", [(4, 5, 1), (24, 5, 1), (16, 3, 1)])
def test_rows_that_cannot_be_shared_out_are_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="power of 2"):
        shares_of(np.random.default_rng(0).random(shape), seed=0)


def test_more_rows_go_on_from_fewer() -> None:
    few, many = (design_of(SINGLE, rows=rows, seed=8) for rows in (16, 32))
    assert np.array_equal(many.a[:16], few.a) and np.array_equal(many.b[:16], few.b)
    assert not np.array_equal(design_of(SINGLE, rows=16, seed=9).a, few.a)
