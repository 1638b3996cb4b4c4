"""How far out a case lies among others: by hand, against another package, and where it does not belong."""

from __future__ import annotations

import numpy as np
import pytest
from made_linear import linear
from rockshy.analysis.statistics.misfit import misfit, shrunk
from sklearn.covariance import LedoitWolf


def test_the_covariance_is_that_of_another_package() -> None:
    for members in (8, 40, 400):
        observed = linear(members).observed
        np.testing.assert_allclose(shrunk(observed), LedoitWolf().fit(observed).covariance_, rtol=1e-9)


def test_a_true_case_is_told_apart_about_as_seldom_as_it_says() -> None:
    made, truths = linear(200), linear(300, seed=5)
    beyond = np.array([misfit(made.observed, one).beyond for one in truths.observed[:100]])
    assert (beyond <= 0.05).mean() <= 0.11
    assert 0.4 <= beyond.mean() <= 0.6


def test_a_case_that_goes_against_how_figures_go_together_is_told_and_named() -> None:
    rng = np.random.default_rng(6)
    both = rng.standard_normal((200, 1)) + 0.1 * rng.standard_normal((200, 2))
    others = np.column_stack([both, rng.standard_normal(200)])
    found = misfit(others, np.array([1.0, -1.0, 0.0]))  # each by itself is nothing unusual
    assert found.beyond == pytest.approx(1 / 201)
    assert np.abs(found.apart).max() < 1.5
    assert np.abs(found.against[:2]).min() > 5 > 1 > abs(found.against[2])


def test_figures_in_which_nobody_differs_are_left_out() -> None:
    others = np.column_stack([linear(50).observed, np.ones(50)])
    found = misfit(others, np.append(others[:, :5].mean(axis=0), 4.0))
    assert found.beyond == 1.0
    assert found.apart[-1] == found.against[-1] == 0.0


def test_what_moves_all_figures_a_little_alike_is_told_by_their_sum() -> None:
    """Twelve figures on their own, each one deviation off the same way: 12 / sqrt(12) in the sum."""
    rng = np.random.default_rng(8)
    others, off = rng.standard_normal((100, 12)), rng.standard_normal((30, 12))
    sums = np.ones((1, 12))

    def told(cases: np.ndarray, sums: np.ndarray | None) -> float:
        return float(np.mean([misfit(others, one, sums=sums).beyond <= 0.05 for one in cases]))

    assert told(off + 1.0, sums) > 0.7 > told(off + 1.0, None)
    assert told(off, sums) <= 0.2
