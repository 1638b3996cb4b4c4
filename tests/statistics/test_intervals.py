"""Intervals against published values, closed forms and scipy, and their coverage under guesses x repeats."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import ArrayLike
from rockshy.analysis.statistics.intervals import (
    Estimate,
    cluster_interval,
    count_estimate,
    draw_range,
    estimate,
    poisson_interval,
    ratio_estimate,
    variance_split,
    wilson_interval,
)
from scipy import stats


@pytest.mark.parametrize(
    ("hits", "trials", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson(hits: int, trials: int, low: float, high: float) -> None:
    """Source: Newcombe1998, table of worked examples."""
    assert wilson_interval(hits, trials=trials) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [(0, 0.0, 3.6889), (5, 1.6235, 11.6683), (10, 4.7954, 18.3904), (100, 81.3640, 121.6268)],
)
def test_exact_poisson(count: int, low: float, high: float) -> None:
    """Exact 95 % limits of a Poisson mean (tables of Garwood 1936; computed). An exposure scales them."""
    assert poisson_interval(count) == pytest.approx((low, high), abs=5.1e-5)
    assert poisson_interval(count, exposure=4.0) == pytest.approx((low / 4, high / 4), abs=2e-5)


def t_interval(values: ArrayLike) -> tuple[float, float]:
    """Student's t interval of the mean of independent values, by scipy."""
    low, high = stats.t.interval(0.95, np.size(values) - 1, loc=np.mean(values), scale=stats.sem(values))
    return float(low), float(high)


def test_the_interval_of_independent_values_is_that_of_scipy_and_leaves_nan_out() -> None:
    values = np.array([3.0, 4.5, 1.0, 7.25, 2.0])
    for some in (values, [*values, np.nan]):
        found = cluster_interval(some, cluster=np.arange(len(some)))
        assert found == pytest.approx(t_interval(values), rel=1e-12)
    assert all(math.isnan(end) for end in cluster_interval([1.0], cluster=[0]))


def test_equal_clusters_give_the_t_interval_of_their_means() -> None:
    """Cochran (1977), from memory: for clusters of one size the two are the same."""
    values = np.array([1.0, 2.0, 5.0, 7.0, 3.0, 3.5, 9.0, 8.0])
    cluster = np.repeat([4, 7, 9, 30], 2)
    means = values.reshape(4, 2).mean(axis=1)
    assert cluster_interval(values, cluster=cluster) == pytest.approx(t_interval(means), rel=1e-12)


def test_copies_of_a_run_add_no_certainty() -> None:
    """Repeats that are copies of one another must leave the interval of the guesses alone."""
    once = np.array([1.0, 4.0, 2.0, 6.0])
    found = cluster_interval(np.repeat(once, 50), cluster=np.repeat(np.arange(4), 50))
    assert found == pytest.approx(t_interval(once), rel=1e-9)


def test_variance_split_by_hand() -> None:
    """Guesses {1, 3} and {5, 7}: within (1+1+1+1)/2 = 2; means 2 and 6: 2(4+4)/1 = 16; (16-2)/2 = 7."""
    assert variance_split([1, 3, 5, 7], draw=[0, 0, 1, 1]) == pytest.approx((7.0, 2.0))
    assert estimate([1, 3, 5, 7], draw=[0, 0, 1, 1]).ignorance == pytest.approx(7 / 9)


def test_variance_split_finds_the_variances_it_was_made_from() -> None:
    rng = np.random.default_rng(4)
    draw = np.repeat(np.arange(3000), rng.integers(1, 6, 3000))
    values = 2.0 * rng.standard_normal(3000)[draw] + 3.0 * rng.standard_normal(len(draw))
    assert variance_split(values, draw=draw) == pytest.approx((4.0, 9.0), rel=0.06)


def test_variance_split_is_never_negative_and_unknown_without_repeats() -> None:
    assert variance_split([1, 9, 2, 8], draw=[0, 0, 1, 1])[0] == 0.0
    for draw in ([0, 0, 0], [0, 1, 2]):
        assert all(math.isnan(part) for part in variance_split([1, 2, 4], draw=draw))


def test_guess_range_is_over_the_means_of_the_guesses() -> None:
    """21 guesses with means 0..20: the 5th to 95th percentile is 1 to 19."""
    draw = np.repeat(np.arange(21), 2)
    values = draw + np.tile([-0.5, 0.5], 21)
    assert draw_range(values, draw=draw) == pytest.approx((1.0, 19.0))


def test_estimate_of_one_guess_takes_the_trials_as_independent() -> None:
    found = estimate([1.0, 2.0, 4.0], draw=[5, 5, 5])
    assert (found.low, found.high) == pytest.approx(t_interval([1.0, 2.0, 4.0]))
    assert math.isnan(found.guess_low) and found.guesses == 1


def test_fixed_runs_have_luck_only() -> None:
    found = estimate([1.0, 2.0, 4.0, 9.0], draw=[0, 0, 1, 1], fixed=True)
    assert (found.low, found.high) == pytest.approx(t_interval([1.0, 2.0, 4.0, 9.0]))
    assert math.isnan(found.guess_low) and found.between == 0.0 and found.ignorance == 0.0


def test_estimate_is_cut_at_what_can_be_and_says_nothing_of_nothing() -> None:
    found = estimate([0.0, 1.0, 1.0, 0.9], draw=[0, 1, 2, 3], bounds=(0.0, 1.0))
    assert (found.low, found.high) == (pytest.approx(0.0, abs=0.1), 1.0)
    assert found.high < t_interval([0.0, 1.0, 1.0, 0.9])[1]
    empty = estimate([np.nan, np.nan], draw=[0, 1])
    assert (empty.trials, empty.guesses) == (0, 0) and math.isnan(empty.value)


def test_ratio_by_hand() -> None:
    """Tops 2 and 6, bottoms 1 and 3: exactly 2 in both, so there is nothing to be unsure of."""
    found = ratio_estimate([2.0, 6.0], bottom=[1.0, 3.0], draw=[0, 1])
    assert (found.value, found.low, found.high) == pytest.approx((2.0, 2.0, 2.0))
    assert (found.guess_low, found.guess_high) == pytest.approx((2.0, 2.0))


def test_ratio_agrees_with_the_bootstrap_on_many_clusters() -> None:
    """Against scipy.stats.bootstrap (percentile, paired): the same interval within 6 % of its width."""
    rng = np.random.default_rng(2)
    bottom = rng.gamma(4.0, 2.0, 400)
    top = bottom * rng.gamma(20.0, 0.15, 400)
    found = ratio_estimate(top, bottom=bottom, draw=np.arange(400))
    drawn = stats.bootstrap(
        (top, bottom),
        lambda a, b, axis: a.sum(axis) / b.sum(axis),
        paired=True,
        method="percentile",
        n_resamples=4000,
        rng=np.random.default_rng(0),
    ).confidence_interval
    width = drawn.high - drawn.low
    assert found.low == pytest.approx(drawn.low, abs=0.06 * width)
    assert found.high == pytest.approx(drawn.high, abs=0.06 * width)


def test_ratio_is_cut_at_what_can_be() -> None:
    """Tops are shares, bottoms on average 0.8: no more than 1 / 0.8 can come of it, whatever t says."""
    top, bottom, draw = [0.1, 0.9], [0.7, 0.9], [0, 1]
    whole, cut = (ratio_estimate(top, bottom=bottom, draw=draw, most=most) for most in (math.inf, 1.0))
    assert whole.high > 100.0 and cut.high == pytest.approx(1.25)
    assert (cut.value, cut.low) == (whole.value, whole.low)


@pytest.mark.parametrize("guesses", [2, 4, 8])
def test_a_cut_ratio_covers_as_often_as_an_uncut_one(guesses: int) -> None:
    """Shares of the day near 1 in the bottom and unlike guesses in the top; the truth is 0.5 / 0.95."""
    rng = np.random.default_rng(7)
    covered = np.zeros((600, 2), dtype=bool)
    for run in range(len(covered)):
        draw = np.repeat(np.arange(guesses), 4)
        top = rng.beta(4.0, 4.0, guesses)[draw] * rng.uniform(0.9, 1.1, len(draw))
        bottom = rng.uniform(0.9, 1.0, len(draw))
        for k, most in enumerate((math.inf, 1.0)):
            found = ratio_estimate(top, bottom=bottom, draw=draw, most=most)
            covered[run, k] = found.low <= 0.5 / 0.95 <= found.high
    assert (covered[:, 0] == covered[:, 1]).all()
    assert covered[:, 1].mean() > 0.91


def test_ratio_to_nothing_is_unknown_and_of_nothing_is_zero() -> None:
    assert math.isnan(ratio_estimate([1.0, 2.0], bottom=[0.0, 0.0], draw=[0, 1]).value)
    nothing = ratio_estimate([0.0, 0.0], bottom=[1.0, 2.0], draw=[0, 1])
    assert nothing.value == 0.0 and math.isnan(nothing.high)
    assert ratio_estimate([1.0, np.nan, 4.0], bottom=[1.0, 5.0, np.nan], draw=[0, 1, 2]).trials == 1


def test_count_of_independent_trials_is_wilson() -> None:
    """One trial a guess and no design effect: the interval of Newcombe1998 (15 of 148)."""
    hits = np.arange(148) < 15
    found = count_estimate(hits, draw=np.arange(148))
    assert (found.hits, found.of) == (15, 148)
    assert (found.low, found.high) == pytest.approx((0.0624, 0.1605), abs=1e-4)


def test_count_knows_about_guesses_that_decide_everything() -> None:
    """8 guesses x 50 copies: as sure as 3 of 8, less what t of 7 is wider; all alike: as 0 of the 8 guesses.

    Tables of Student's t: 97.5 % at 7 degrees of freedom 2.365, at 399 1.966. Source: KornGraubard1998.
    """
    decided = np.repeat([1, 1, 1, 0, 0, 0, 0, 0], 50)
    draw = np.repeat(np.arange(8), 50)
    found = count_estimate(decided, draw=draw)
    assert found.hits == 150
    z, size, share = 1.96, 8 * (1.966 / 2.365) ** 2, 3 / 8
    centre = (share + z**2 / (2 * size)) / (1 + z**2 / size)
    half = z / (1 + z**2 / size) * np.sqrt(share * (1 - share) / size + z**2 / (4 * size**2))
    assert (found.low, found.high) == pytest.approx((centre - half, centre + half), abs=0.015)
    none = count_estimate(np.zeros(400), draw=draw)
    assert (none.low, none.high) == pytest.approx(wilson_interval(0, trials=8))
    assert count_estimate([], draw=[]).of == 0


def test_cluster_interval_covers_what_it_should_and_the_naive_one_does_not() -> None:
    """16 guesses x 4 repeats, guesses twice as different: 95 % within 3 standard errors of 600 draws."""
    rng = np.random.default_rng(7)
    draw = np.repeat(np.arange(16), 4)
    clustered = naive = 0
    for _ in range(600):
        values = 2.0 * rng.standard_normal(16)[draw] + rng.standard_normal(64)
        low, high = cluster_interval(values, cluster=draw)
        clustered += low <= 0 <= high
        low, high = cluster_interval(values, cluster=np.arange(64))
        naive += low <= 0 <= high
    assert clustered / 600 == pytest.approx(0.95, abs=3 * math.sqrt(0.95 * 0.05 / 600))
    assert naive / 600 < 0.8


@given(
    st.lists(
        st.tuples(st.floats(0.0, 100.0), st.floats(0.01, 100.0), st.integers(0, 4)), min_size=1, max_size=20
    )
)
def test_values_lie_in_their_intervals(rows: list[tuple[float, float, int]]) -> None:
    top, bottom, draw = (np.array(column) for column in zip(*rows, strict=True))
    for found in (estimate(top, draw=draw), ratio_estimate(top, bottom=bottom, draw=draw)):
        assert isinstance(found, Estimate)
        if not math.isnan(found.low):
            slack = 1e-9 * (1 + abs(found.value))
            assert found.low - slack <= found.value <= found.high + slack
    hits = count_estimate(top > 50, draw=draw)
    assert 0 <= hits.low <= hits.share + 1e-12 and hits.share - 1e-12 <= hits.high <= 1


def test_bad_input_is_refused() -> None:
    with pytest.raises(ValueError, match="use 0 to 3"):
        wilson_interval(4, trials=3)
    with pytest.raises(ValueError, match="0 or more"):
        poisson_interval(-1)
    with pytest.raises(ValueError, match="exposure"):
        poisson_interval(1, exposure=0.0)
    with pytest.raises(ValueError, match="confidence"):
        wilson_interval(1, trials=3, confidence=95)
    with pytest.raises(ValueError, match="one each a trial"):
        estimate([1.0, 2.0], draw=[0])
    with pytest.raises(ValueError, match="one of each a trial"):
        ratio_estimate([1.0, 2.0], bottom=[1.0], draw=[0, 1])
