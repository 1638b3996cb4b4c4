"""The least amount of rock and its interval, from counts of pinned tanks alone."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.analysis.questions.rock.least import (
    CANNOT_TELL,
    FOUND,
    NONE_DOES,
    Tried,
    draws_needed,
    falling,
    hinges,
    least,
    shares_drawn,
    trials_needed,
)
from scipy import stats


def rng(seed: int = 0) -> np.random.Generator:
    return np.random.default_rng(seed)


def tried(hits: int, of: int, *, repeats: int = 1) -> Tried:
    """The first ``hits`` of ``of`` guesses always pinned, each run ``repeats`` times."""
    held = np.arange(of) < hits
    return Tried(np.tile(held, repeats), np.tile(np.arange(of), repeats))


# --- the bootstrap --------------------------------------------------------------


def test_single_trials_give_the_beta_distribution_of_laplace() -> None:
    drawn = shares_drawn([tried(3, 20)], rng=rng(), draws=40_000)[:, 0]
    exact = stats.beta(4, 18)
    assert drawn.mean() == pytest.approx(exact.mean(), abs=0.002)
    for share in (0.025, 0.5, 0.975):
        assert np.quantile(drawn, share) == pytest.approx(exact.ppf(share), abs=0.005)


def test_running_each_guess_again_adds_nothing_where_guesses_alone_decide() -> None:
    once = shares_drawn([tried(5, 30)], rng=rng(1), draws=500)
    thrice = shares_drawn([tried(5, 30, repeats=3)], rng=rng(1), draws=500)
    np.testing.assert_allclose(once, thrice)


def test_guesses_weigh_alike_at_every_amount() -> None:
    drawn = shares_drawn([tried(5, 30), tried(5, 30)], rng=rng(2), draws=100)
    np.testing.assert_allclose(drawn[:, 0], drawn[:, 1])


def test_nothing_run_tells_nothing() -> None:
    nothing = Tried(np.zeros(0, dtype=bool), np.zeros(0, dtype=np.int64))
    drawn = shares_drawn([nothing], rng=rng(), draws=20_000)[:, 0]
    assert np.quantile(drawn, [0.25, 0.5, 0.75]) == pytest.approx([0.25, 0.5, 0.75], abs=0.02)


# --- the least amount ---------------------------------------------------------


@pytest.mark.parametrize(
    ("hits", "of", "verdict", "low", "high", "unsure"),
    [
        ((36, 0, 30, 0), 36, FOUND, 3, 3, ()),  # the first after the last above the level
        ((0, 0, 20), 36, NONE_DOES, 3, 3, None),  # the largest is above beyond doubt
        ((0, 0, 0, 0, 0), 36, FOUND, 0, 0, None),
        ((36, 3, 0, 2), 36, CANNOT_TELL, 1, 4, (1, 3)),  # 0 of 36 is below beyond doubt
        ((0,), 12, CANNOT_TELL, 0, 1, None),  # few trials without a hit are not certain
    ],
)
def test_the_least_amount_and_what_it_hinges_on(hits, of, verdict, low, high, unsure) -> None:
    found = least([tried(one, of) for one in hits], level=0.1, rng=rng())
    assert (found.verdict, found.low, found.high) == (verdict, low, high)
    assert verdict == CANNOT_TELL or found.place == low
    assert unsure is None or hinges(found) == unsure


def test_a_level_must_lie_between_nothing_and_always() -> None:
    for level in (0.0, 1.0, float("nan")):
        with pytest.raises(ValueError, match="level"):
            least([tried(0, 4)], level=level, rng=rng())
    with pytest.raises(ValueError, match="no amount"):
        least([], level=0.1, rng=rng())


def test_guesses_needed_are_the_fewest_that_can_tell() -> None:
    """Without a hit the upper limit of 35 guesses is 1 - 0.025 ** (1 / 36) = 0.0974; of 33 it is 0.103."""
    assert draws_needed(0.1) == 36
    assert 1 - 0.025 ** (1 / 37) < 0.1 < 1 - 0.025 ** (1 / 34)
    for level in (0.02, 0.05, 0.2, 0.5):
        assert stats.beta.ppf(0.975, 1, draws_needed(level) + 1) <= level
        assert stats.beta.ppf(0.975, 1, draws_needed(level) - 4 + 1) > level


def test_trials_needed_by_hand() -> None:
    """8 hits of 98 tanks count as 9 of 100. From 0.15 that is 0.06 away: (0.06 / 1.96) ** 2 = 0.000937;
    0.09 x 0.91 / 0.000937 = 87.4 tanks would be enough. From 0.1 it is 0.01: 3146 tanks, 3048 more."""
    assert trials_needed(tried(8, 98), level=0.15) == 0.0
    assert trials_needed(tried(8, 98), level=0.1) == pytest.approx(3048, abs=2)


def test_no_number_of_trials_tells_a_chance_from_itself() -> None:
    assert trials_needed(tried(9, 98), level=0.1) == np.inf  # 10 of 100
    assert trials_needed(Tried(np.zeros(0, dtype=bool), np.zeros(0, dtype=np.int64)), level=0.1) == np.inf


def test_monotone_fit_by_hand() -> None:
    """0.1 and 0.3 break the fall; their mean weighted by 1 and 3 tanks is 0.25."""
    np.testing.assert_allclose(falling([0.5, 0.1, 0.3, 0.0], trials=[1, 1, 3, 1]), [0.5, 0.25, 0.25, 0.0])


def test_a_monotone_fit_is_made_only_where_asked_and_the_raw_shares_stay() -> None:
    points = [tried(20, 36), tried(0, 36), tried(7, 36)]
    raw, fit = (least(points, level=0.15, rng=rng(), monotone=asked) for asked in (False, True))
    assert raw.fitted is None
    assert (raw.place, fit.place) == (3, 1)  # 0 and 7 of 36 make 3.5 of 36 each
    assert fit.fitted == pytest.approx((20 / 36, 3.5 / 36, 3.5 / 36))


@pytest.mark.parametrize("truth", ["all below", "falls", "all above"])
def test_interval_holds_the_true_least_amount(truth: str) -> None:
    """40 sweeps of 36 to 72 tanks at 8 amounts; at least 93 % of 95 % intervals must hold the truth.

    All chances just below the level is the case in which one of many amounts looks worse than it is.
    """
    chances = {
        "all below": np.full(8, 0.09),
        "falls": np.array([0.9, 0.7, 0.5, 0.3, 0.15, 0.06, 0.03, 0.02]),
        "all above": np.full(8, 0.16),
    }[truth]
    true = {"all below": 0, "falls": 5, "all above": 8}[truth]
    held = 0
    for seed in range(40):
        luck = rng(seed).random((36, 8))
        found = least([Tried(luck[:, k] < chances[k], np.arange(36)) for k in range(8)], level=0.1, rng=rng())
        held += found.low <= true <= found.high
    assert held >= 0.93 * 40
