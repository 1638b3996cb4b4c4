"""Ranking and selection: published allocations, exact chances, and what the rule is worth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rockshy.analysis.statistics.allocation import chance_best, ocba, standing
from rockshy.analysis.statistics.paired import paired_difference
from scipy import integrate, stats

TEN = np.arange(10.0)  # ten designs with means 0..9 and standard deviation 6, as in Chen2000 (from memory)
SD = 6.0


# ---- shares by the published rule


def test_published_allocation() -> None:
    """Source: ChenLee2010, 100 more trials for five designs (values read second-hand)."""
    found = ocba(
        [1.2, 2.1, 3.4, 4.87, 6.05], variances=[3.3, 2.0, 4.5, 5.3, 6.9], budget=100, counts=[12, 6, 5, 5, 4]
    )
    assert found.tolist() == [48, 38, 11, 2, 1]


def test_largest_mean_as_the_best() -> None:
    """A published run of the rule for means 1..4 and variances 1..4: the two worst get nothing more."""
    found = ocba(
        [1.0, 2.0, 3.0, 4.0],
        variances=[1.0, 2.0, 3.0, 4.0],
        budget=10,
        counts=[5, 5, 5, 5],
        lower_is_better=False,
    )
    assert found.tolist() == [0, 0, 4, 6]
    turned = ocba([-1, -2, -3, -4], variances=[1, 2, 3, 4], budget=10, counts=[5, 5, 5, 5])
    assert turned.tolist() == found.tolist()


def test_proportions_of_the_rule() -> None:
    """A large budget from nothing: N_i as (s_i / d_i)^2 and N_b = s_b sqrt(sum N_i^2 / s_i^2)."""
    variance = np.array([4.0, 1.0, 9.0])
    found = ocba([0.0, 1.0, 2.0], variances=variance, budget=10**7, counts=[0, 0, 0])
    assert found[1] / found[2] == pytest.approx((1.0 / 1.0) / (9.0 / 4.0), rel=1e-5)
    assert found[0] == pytest.approx(2.0 * np.sqrt(found[1] ** 2 / 1.0 + found[2] ** 2 / 9.0), rel=1e-5)


def test_ties_and_what_never_varies() -> None:
    assert ocba([1, 1, 3], variances=[1, 1, 9], budget=30, counts=[5, 5, 5]).tolist() == [15, 15, 0]
    assert ocba([1, 2, 3], variances=[1, 0, 1], budget=30, counts=[5, 5, 5])[1] == 0
    assert ocba([1, 2, 3], variances=[1, 0, 0], budget=9, counts=[5, 5, 5]).tolist() == [9, 0, 0]
    assert ocba([1, 2, 3], variances=[0, 0, 0], budget=9, counts=[5, 5, 5]).tolist() == [3, 3, 3]
    assert ocba([7, 7, 7], variances=[0, 0, 0], budget=9, counts=[5, 5, 5]).tolist() == [3, 3, 3]
    assert ocba([7, 7, 7], variances=[1, 1, 1], budget=0, counts=[5, 5, 5]).tolist() == [0, 0, 0]
    assert ocba([7], variances=[1], budget=4, counts=[5]).tolist() == [4]
    assert ocba([0, 1e-300, 1], variances=[1, 1, 1], budget=8, counts=[0, 0, 0]).sum() == 8


@given(
    st.lists(
        st.tuples(st.floats(-9, 9), st.sampled_from([0.0, 1e-12, 0.5, 3.0, 1e6]), st.integers(0, 40)),
        min_size=1,
        max_size=8,
    ),
    st.integers(0, 300),
    st.booleans(),
)
def test_shares_are_whole_and_spend_the_budget(
    rows: list[tuple[float, float, int]], budget: int, lower: bool
) -> None:
    means, variances, counts = zip(*rows, strict=True)
    found = ocba(means, variances=variances, budget=budget, counts=counts, lower_is_better=lower)
    assert found.sum() == budget and (found >= 0).all() and found.dtype == np.int64


def test_shares_of_what_is_no_number_are_refused() -> None:
    with pytest.raises(ValueError, match="one of each an alternative"):
        ocba([1.0, 2.0], variances=[1.0], budget=3, counts=[1, 1])
    with pytest.raises(ValueError, match="finite"):
        ocba([1.0, np.nan], variances=[1.0, 1.0], budget=3, counts=[1, 1])
    with pytest.raises(ValueError, match="0 or more"):
        ocba([1.0, 2.0], variances=[1.0, -1.0], budget=3, counts=[1, 1])


def correct_with_equal_shares(each: int) -> float:
    """Chance that the best of the ten has the smallest sample mean, by quadrature."""
    error = SD / np.sqrt(each)
    x = np.linspace(-9 * error, 9 * error, 4001)
    others = np.prod([stats.norm.sf(x, mean, error) for mean in TEN[1:]], axis=0)
    return float(integrate.simpson(stats.norm.pdf(x, 0.0, error) * others, x=x))


def correct_with_ocba(total: int, *, repetitions: int) -> float:
    """The same with 10 trials each and the rest shared out 20 at a time, by simulation."""
    rng = np.random.default_rng(0)
    right = 0
    for _ in range(repetitions):
        drawn = rng.normal(TEN[:, None], SD, (10, total))
        had = np.full(10, 10)
        while had.sum() < total:
            means = np.array([row[:n].mean() for row, n in zip(drawn, had, strict=True)])
            spread = np.array([row[:n].var(ddof=1) for row, n in zip(drawn, had, strict=True)])
            had = had + ocba(means, variances=spread, budget=min(20, total - int(had.sum())), counts=had)
        right += int(np.argmin([row[:n].mean() for row, n in zip(drawn, had, strict=True)])) == 0
    return right / repetitions


def test_half_the_trials_of_equal_shares_are_as_good() -> None:
    """Nine times in ten right: 1200 trials in equal shares, 600 shared out by the rule."""
    assert correct_with_equal_shares(120) == pytest.approx(0.9, abs=0.005)
    assert correct_with_ocba(600, repetitions=200) > 0.9
    assert correct_with_equal_shares(60) < 0.82


# ---- chance of the best


def test_chance_of_two_is_that_of_student() -> None:
    """With one alternative it is the chance that Student's t falls on its side of the mean difference."""
    rng = np.random.default_rng(1)
    base = rng.standard_normal(20)
    other = base + rng.normal(-0.2, 0.8, 20)
    change = other - base
    exact = stats.t.cdf(-change.mean() / stats.sem(change), 19)
    found = chance_best([base, other], draw=np.arange(20))
    assert found[1] == pytest.approx(exact, abs=0.012) and found.sum() == pytest.approx(1.0)
    higher = chance_best([base, other], draw=np.arange(20), lower_is_better=False)
    assert higher[0] == pytest.approx(exact, abs=0.012)


def test_chance_of_three_is_the_multivariate_t() -> None:
    """Alternative 2 is best where both x2 - x0 and x2 - x1 are below 0: scipy's distribution function."""
    rng = np.random.default_rng(2)
    common = 3 * rng.standard_normal(30)
    runs = [common + rng.normal(mean, 1.0, 30) for mean in (0.3, 0.1, 0.0)]
    found = chance_best(runs, draw=np.arange(30), fixed=True)
    steps = np.stack([runs[2] - runs[0], runs[2] - runs[1]])
    exact = stats.multivariate_t(loc=steps.mean(axis=1), shape=np.cov(steps) / 30, df=29)
    assert found[2] == pytest.approx(exact.cdf([0.0, 0.0]), abs=0.012)


def test_standing_is_the_paired_difference_with_its_error() -> None:
    rng = np.random.default_rng(3)
    draw = np.arange(48) % 8
    base = rng.standard_normal(48)
    runs = [base, rng.standard_normal(48), rng.standard_normal(32), rng.standard_normal(60)]
    runs[1][5] = np.nan
    found = standing(runs, draw=draw)
    assert found.gain[0] == 0.0 and not found.shadow[:, 0].any() and found.free == 7
    for i, one in enumerate(runs):
        both = min(len(one), 48)
        pair = paired_difference(one[:both], base=base[:both], draw=draw[:both])
        assert found.gain[i] == pytest.approx(pair.value)
        error = np.sqrt((found.shadow[:, i] ** 2).sum())
        assert stats.t.ppf(0.975, 7) * error == pytest.approx(pair.half_width)


def test_equals_share_the_chance_and_copies_add_no_certainty() -> None:
    rng = np.random.default_rng(4)
    base = rng.standard_normal(16)
    other = base + rng.normal(-0.2, 0.5, 16)
    alike = chance_best([base, other, base.copy(), other.copy()], draw=np.arange(16))
    assert alike[0] == pytest.approx(alike[2]) and alike[1] == pytest.approx(alike[3])
    assert chance_best([base, base, base], draw=np.arange(16)) == pytest.approx(1 / 3)
    once = chance_best([base, other], draw=np.arange(16))
    copied = chance_best([np.tile(base, 9), np.tile(other, 9)], draw=np.arange(144) % 16)
    assert copied == pytest.approx(once, abs=0.012)
    free = chance_best([np.tile(base, 9), np.tile(other, 9)], draw=np.arange(144) % 16, fixed=True)
    assert free.max() > copied.max()


def test_too_little_to_tell() -> None:
    assert np.isnan(chance_best([[1.0], [2.0]], draw=[0])).all()
    assert np.isnan(chance_best([[1.0, 2.0], [np.nan, np.nan]], draw=[0, 1])).all()
    sure = chance_best([[1.0, 2.0, 3.0], [0.0, 1.0, 2.0]], draw=[0, 1, 2])
    assert sure.tolist() == [0.0, 1.0]
    with pytest.raises(ValueError, match="one for each of 3 trials"):
        chance_best([[1.0, 2.0, 3.0], [0.0, 1.0, 2.0]], draw=[0, 1])
