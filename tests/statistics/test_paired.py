"""Paired differences against textbook cases, published tables, scipy and hand arithmetic."""

from __future__ import annotations

import inspect
import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rockshy.analysis.statistics import allocation, multiple, paired, sharing, stopping
from rockshy.analysis.statistics.intervals import cluster_interval
from rockshy.analysis.statistics.paired import paired_difference, paired_share, paired_shares_interval
from rockshy.sim.species.sources import is_known
from scipy import stats

SLEEP_ONE = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SLEEP_TWO = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def hits(*counts: int) -> tuple[np.ndarray, np.ndarray]:
    """Two columns of a fourfold table: both, first only, second only, neither."""
    first = np.repeat([1, 1, 0, 0], counts).astype(bool)
    return first, np.repeat([1, 0, 1, 0], counts).astype(bool)


def test_sleep_gained() -> None:
    """Source: Student1908, the classic paired example: 1.58 h, t = 4.06 on 9, p = 0.0028, 0.70 to 2.46 h."""
    found = paired_difference(SLEEP_TWO, base=SLEEP_ONE, draw=np.arange(10), lower_is_better=False)
    assert found.value == pytest.approx(1.58)
    assert (found.low, found.high) == pytest.approx((0.7001142, 2.4598858), abs=1e-6)
    assert found.p_value == pytest.approx(0.002833, abs=1e-6)
    assert (found.better, found.worse, found.equal, found.trials) == (9, 0, 1, 10)
    assert found.told and found.improved


def test_by_hand() -> None:
    """Differences 1, 2, 3: mean 2, standard error 1 / sqrt 3, t of 2 degrees of freedom 4.3027."""
    found = paired_difference([5.0, 8.0, 13.0], base=[4.0, 6.0, 10.0], draw=[0, 1, 2])
    assert found.half_width == pytest.approx(4.302653 / math.sqrt(3), rel=1e-6)
    assert not found.told and not found.improved


@pytest.mark.parametrize("seed", range(3))
def test_interval_and_p_value_are_those_of_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    base = rng.gamma(2.0, 3.0, 30)
    other = base + rng.normal(-0.4, 1.0, 30)
    found = paired_difference(other, base=base, draw=np.zeros(30), fixed=True)
    expected = stats.ttest_rel(other, base)
    assert (found.low, found.high) == pytest.approx(tuple(expected.confidence_interval()), rel=1e-10)
    assert found.p_value == pytest.approx(expected.pvalue, rel=1e-10)
    apart = stats.ttest_ind(other, base, equal_var=False).confidence_interval()
    assert found.unpaired_half_width == pytest.approx((apart.high - apart.low) / 2, rel=1e-10)


def test_variance_identity() -> None:
    """var(x - y) = var x + var y - 2 cov(x, y), read back from the half width."""
    rng = np.random.default_rng(5)
    x, y = rng.multivariate_normal([0, 0], [[4.0, 2.4], [2.4, 3.0]], 40).T
    found = paired_difference(x, base=y, draw=np.arange(40), fixed=True)
    (xx, xy), (_, yy) = np.cov(x, y)
    error = found.half_width / stats.t.ppf(0.975, 39)
    assert error**2 == pytest.approx((xx + yy - 2 * xy) / 40, rel=1e-10)


def test_narrowed_is_what_the_correlation_is_worth() -> None:
    """Equal variances and correlation 0.91: a standard error of sqrt(1 - 0.91) = 0.3 of the unpaired one."""
    rng = np.random.default_rng(0)
    z = np.linalg.qr(rng.standard_normal((500, 3)) - 0.0)[0]
    z -= z.mean(axis=0)
    x, e = z[:, 0] / z[:, 0].std(), z[:, 1] / z[:, 1].std()
    e -= x * (x @ e) / (x @ x)
    other = 0.91 * x + math.sqrt(1 - 0.91**2) * e / e.std()
    found = paired_difference(other, base=x, draw=np.arange(500), fixed=True)
    assert found.narrowed == pytest.approx(0.7, abs=0.002)
    worse = paired_difference(-x, base=x, draw=np.arange(500), fixed=True)
    assert worse.narrowed < -0.4


def test_guesses_are_the_unit() -> None:
    rng = np.random.default_rng(1)
    draw = np.arange(48) % 8
    base, other = rng.random(48), rng.random(48) + rng.random(8)[draw]
    found = paired_difference(other, base=base, draw=draw)
    assert (found.low, found.high) == cluster_interval(other - base, cluster=draw)
    free = paired_difference(other, base=base, draw=draw, fixed=True)
    assert free.half_width < found.half_width
    once = paired_difference(other[:8], base=base[:8], draw=draw[:8])
    copied = paired_difference(np.tile(other[:8], 9), base=np.tile(base[:8], 9), draw=np.tile(draw[:8], 9))
    for part in ("low", "high", "unpaired_half_width", "p_value"):
        assert getattr(copied, part) == pytest.approx(getattr(once, part), rel=1e-9)


def test_a_change_that_changes_nothing_is_exactly_nothing() -> None:
    same = np.random.default_rng(2).random(20)
    found = paired_difference(same, base=same.copy(), draw=np.arange(20) % 4)
    assert (found.value, found.low, found.high, found.p_value) == (0.0, 0.0, 0.0, 1.0)
    assert found.equal == 20 and not found.told and found.narrowed == 1.0
    still = paired_difference(np.ones(5), base=np.ones(5), draw=np.arange(5))
    assert math.isnan(still.narrowed) and still.unpaired_half_width == 0.0


def test_pairs_with_nan_are_left_out_and_one_unit_tells_nothing() -> None:
    found = paired_difference([1.0, np.nan, 3.0, 9.0], base=[0.0, 5.0, 1.0, np.nan], draw=[0, 1, 2, 3])
    assert (found.trials, found.value) == (2, 1.5)
    for values in ([np.nan, np.nan], [1.0, np.nan], []):
        alone = paired_difference(values, base=np.zeros(len(values)), draw=np.arange(len(values)))
        assert math.isnan(alone.low) and math.isnan(alone.p_value) and not alone.told
        share = paired_share(values, base=np.zeros(len(values)), draw=np.arange(len(values)))
        assert math.isnan(share.low) and math.isnan(share.p_value) and math.isnan(share.unpaired_half_width)
    single = paired_difference([1.0, 2.0, 4.0], base=[0.0, 0.0, 0.0], draw=[3, 3, 3])
    assert single.low == pytest.approx(cluster_interval([1.0, 2.0, 4.0], cluster=[0, 1, 2])[0])


def test_a_difference_of_shares_stays_within_100_points() -> None:
    other, base, draw = [0.9, 0.1, 0.5, 0.2], [0.1, 0.8, 0.4, 0.3], [0, 1, 2, 2]
    wide = paired_difference(other, base=base, draw=draw)
    cut = paired_difference(other, base=base, draw=draw, bounds=(-1.0, 1.0))
    assert wide.low < -1.0 and wide.high > 1.0
    assert (cut.low, cut.high) == (-1.0, 1.0)
    assert (cut.value, cut.p_value, cut.told) == (wide.value, wide.p_value, wide.told)
    assert cut.unpaired_half_width == wide.unpaired_half_width > 0.5
    assert paired_difference(other, base=base, draw=draw, bounds=(-0.5, 0.5)).unpaired_half_width == 0.5


def test_better_follows_the_direction() -> None:
    base, other = [2.0, 2.0, 2.0, 2.0], [1.0, 1.0, 3.0, 2.0]
    lower = paired_difference(other, base=base, draw=range(4))
    higher = paired_difference(other, base=base, draw=range(4), lower_is_better=False)
    assert (lower.better, lower.worse, lower.equal) == (2, 1, 1)
    assert (higher.better, higher.worse, higher.equal) == (1, 2, 1)
    assert lower.improved and not higher.improved


# ---- shares


@pytest.mark.parametrize(
    ("table", "low", "high"),
    [
        ((36, 12, 2, 0), 0.0569, 0.3404),
        ((18, 12, 2, 18), 0.0562, 0.3290),
        ((53, 0, 0, 1), -0.0729, 0.0729),
        ((0, 30, 0, 0), 0.8395, 1.0),
    ],
)
def test_published_paired_shares(table: tuple[int, ...], low: float, high: float) -> None:
    """Source: NewcombePaired1998, method 10 (values read second-hand)."""
    both, first, second, neither = table
    found = paired_shares_interval(both, first_only=first, second_only=second, neither=neither)
    assert found == pytest.approx((low, high), abs=5.1e-5)
    one, two = hits(*table)
    share = paired_share(one, base=two, draw=np.arange(len(one)))
    assert (share.low, share.high) == pytest.approx((low, high), abs=5.1e-5)
    assert share.value == pytest.approx((first - second) / sum(table))


def test_published_paired_shares_of_a_textbook() -> None:
    """Source: Altman2000, table 6.2: 14, 5, 0, 22 gives 0.122, 0.011 to 0.226."""
    found = paired_shares_interval(14, first_only=5, second_only=0, neither=22)
    assert found == pytest.approx((0.011, 0.226), abs=6e-4)


def test_unpaired_width_of_shares_is_the_published_one() -> None:
    """Source: NewcombeUnpaired1998, method 10: 9 of 10 against 3 of 10 gives 0.1705 to 0.8090."""
    found = paired_share(np.arange(10) < 9, base=np.arange(10) < 3, draw=np.arange(10))
    assert found.unpaired_half_width == pytest.approx((0.8090 - 0.1705) / 2, abs=1e-4)


def test_no_pair_that_differs_is_no_proof_of_equality() -> None:
    one, two = hits(20, 0, 0, 44)
    found = paired_share(one, base=two, draw=np.arange(64) % 16)
    assert found.value == 0.0 and found.p_value == 1.0 and not found.told and found.equal == 64
    assert found.low == pytest.approx(-found.high) and found.high > 0.05
    more = paired_share(one, base=two, draw=np.arange(64))
    assert more.high < found.high


def test_guesses_that_decide_everything() -> None:
    """Copies of 12 guesses are about as sure as the 12, counted with Student's t for few guesses."""
    one, two = hits(2, 4, 1, 5)
    draw = np.arange(12)
    once = paired_share(one, base=two, draw=draw)
    copied = paired_share(np.tile(one, 50), base=np.tile(two, 50), draw=np.tile(draw, 50))
    assert copied.trials == 600 and copied.value == pytest.approx(once.value)
    assert copied.half_width == pytest.approx(once.half_width, rel=0.15)
    free = paired_share(np.tile(one, 50), base=np.tile(two, 50), draw=np.tile(draw, 50), fixed=True)
    assert free.half_width < copied.half_width / 4


def test_few_guesses_are_counted_with_students_t() -> None:
    """Ten copies of four guesses are 4 tanks, fewer by (t of 39 / t of 3 degrees of freedom) squared."""
    one, two = hits(1, 2, 0, 1)
    found = paired_share(np.tile(one, 10), base=np.tile(two, 10), draw=np.tile(np.arange(4), 10))
    tanks = 4 * (2.0226909 / 3.1824463) ** 2
    expected = paired_shares_interval(
        tanks * 0.25, first_only=tanks * 0.5, second_only=0.0, neither=tanks * 0.25
    )
    assert (found.low, found.high) == pytest.approx(expected, abs=1e-6)


def test_shares_leave_out_what_cannot_be_judged_and_refuse_what_is_no_share() -> None:
    found = paired_share([1, np.nan, 0, 1], base=[0, 1, 1, 0], draw=range(4))
    assert (found.trials, found.better, found.worse) == (3, 1, 2)
    with pytest.raises(ValueError, match="True, False or nan"):
        paired_share([0.5, 1.0], base=[0, 1], draw=[0, 1])
    with pytest.raises(ValueError, match="0 or more"):
        paired_shares_interval(1, first_only=-1, second_only=0, neither=0)
    with pytest.raises(ValueError, match="one of each a trial"):
        paired_difference([1.0, 2.0], base=[1.0], draw=[0])
    assert all(math.isnan(end) for end in paired_shares_interval(0, first_only=0, second_only=0, neither=0))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.booleans(), st.booleans(), st.integers(0, 5)), min_size=2, max_size=40))
def test_shares_keep_their_promises(rows: list[tuple[bool, bool, int]]) -> None:
    """The value lies within, swapping turns the sign, and p < 0.05 says the same as the interval."""
    one, two, draw = (np.array(column) for column in zip(*rows, strict=True))
    found = paired_share(one, base=two, draw=draw)
    assert -1 - 1e-9 <= found.low <= found.value + 1e-9 and found.value - 1e-9 <= found.high <= 1 + 1e-9
    back = paired_share(two, base=one, draw=draw)
    assert (back.low, back.high) == pytest.approx((-found.high, -found.low), abs=1e-9)
    assert (back.better, back.worse) == (found.worse, found.better)
    if abs(found.p_value - 0.05) > 1e-3:
        assert found.told == (found.p_value < 0.05)


def test_intervals_of_shares_hold_the_truth_under_guesses() -> None:
    """16 unlike guesses x 4, a share of 0.3 against 0.5: at least 93 %, less two standard errors."""
    rng = np.random.default_rng(3)
    draw, held = np.arange(64) % 16, 0
    for _ in range(200):
        shared = rng.standard_normal(16)[draw] + 0.5 * rng.standard_normal(64)
        moved = 0.5 * rng.standard_normal(16)[draw]
        spread = math.sqrt(1.25 + 0.25), math.sqrt(1.25 + 0.25 + 0.25)
        base = shared + 0.5 * rng.standard_normal(64) < spread[0] * stats.norm.ppf(0.5)
        other = shared + moved + 0.5 * rng.standard_normal(64) < spread[1] * stats.norm.ppf(0.3)
        found = paired_share(other, base=base, draw=draw)
        held += found.low <= -0.2 <= found.high
    assert held / 200 >= 0.93 - 2 * math.sqrt(0.93 * 0.07 / 200)


@pytest.mark.parametrize("module", [paired, allocation, multiple, sharing, stopping])
def test_sources_stand_in_the_bibliography(module: object) -> None:
    text = inspect.getsource(module)  # type: ignore[arg-type]
    lines = re.findall(r"Source: (.+?)\.?\n\s*(?:\n|\"\"\")", text, re.DOTALL)
    assert lines
    for line in lines:
        assert is_known(" ".join(line.split())), line
