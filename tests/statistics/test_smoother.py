"""The ensemble smoother: against the exact posterior of a linear world, and against another package."""

from __future__ import annotations

import iterative_ensemble_smoother as other
import numpy as np
from made_linear import exactly, linear
from rockshy.analysis.statistics.smoother import smoothed

SEEN = np.array([1.0, -0.5, 0.8, 0.3, -1.2])


def test_many_members_are_moved_to_the_exact_posterior() -> None:
    made = linear(20_000)
    moved = smoothed(made.values, made.observed, SEEN, cut=0.0)
    mean, covariance = exactly(SEEN)
    np.testing.assert_allclose(moved[:, :4].mean(axis=0), mean, atol=0.03)
    np.testing.assert_allclose(np.cov(moved[:, :4].T), covariance, atol=0.03)
    cut = smoothed(made.values, made.observed, SEEN)
    np.testing.assert_array_equal(cut[:, 4:], made.values[:, 4:])  # nothing was seen of these
    assert cut[:, :4].std() < made.values[:, :4].std()


def test_the_update_is_that_of_another_package() -> None:
    """With as good as no luck of its own beside that of the members, and little shrinkage among so many."""
    made = linear(5_000)
    moved = smoothed(made.values, made.observed, SEEN, cut=0.0)
    theirs = other.ESMDA(covariance=np.full(5, 1e-8), observations=SEEN, alpha=1, seed=1)
    theirs.prepare_assimilation(Y=made.observed.T)
    expected = theirs.assimilate_batch(X=made.values.T).T
    np.testing.assert_allclose(moved, expected, atol=0.02)


def test_correlations_that_are_luck_move_nothing_when_cut() -> None:
    rng = np.random.default_rng(8)
    values, observed = rng.standard_normal((100, 40)), rng.standard_normal((100, 10))
    seen = np.full(10, 3.0)
    uncut, cut = (smoothed(values, observed, seen, cut=cut) for cut in (0.0, 3.0))
    assert np.abs(uncut - values).mean() > 0.3
    assert (cut == values).all(axis=0).mean() > 0.9
