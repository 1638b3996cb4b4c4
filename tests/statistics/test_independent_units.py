"""What is independent of what: blocks of draws where there are enough of them, else draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from placed_draws import WORLDS, coverage
from rockshy.analysis.statistics.allocation import standing
from rockshy.analysis.statistics.intervals import cluster_interval, count_estimate, estimate
from rockshy.analysis.statistics.paired import paired_difference, paired_share
from rockshy.analysis.statistics.units import ENOUGH_BLOCKS, draws_apart, units_of
from rockshy.sim.rules.support.draws import BLOCK
from rockshy.sim.run.set_ups import draws_of
from rockshy.sim.scenario.scenario import RunSpec
from scipy import stats

DRAW = draws_of(RunSpec(), 72)


def test_blocks_are_the_units_of_a_default_run() -> None:
    assert units_of(DRAW, False).tolist() == (DRAW // BLOCK).tolist()
    assert units_of(DRAW, True).tolist() == list(range(72))
    once = np.arange(64)
    values = np.random.default_rng(0).random(64)
    found = estimate(values, draw=once)
    expected = stats.ttest_1samp(values.reshape(-1, BLOCK).mean(axis=1), 0.0).confidence_interval()
    assert (found.low, found.high) == pytest.approx(tuple(expected), rel=1e-10)


def test_few_blocks_leave_the_draws() -> None:
    for draw in (np.arange(64) % 16, np.arange(BLOCK * (ENOUGH_BLOCKS - 1)), np.arange(10)):
        assert units_of(draw, False).tolist() == draws_apart(draw, False).tolist()
    assert len(set(units_of(np.arange(BLOCK * ENOUGH_BLOCKS), False))) == ENOUGH_BLOCKS
    assert units_of(np.full(5, 3), False).tolist() == [0, 1, 2, 3, 4]  # one draw: trials differ by luck


def test_a_block_that_was_cut_short_goes_with_its_neighbour() -> None:
    draw = np.arange(5 * BLOCK + 2)
    assert units_of(draw, False)[-4:].tolist() == [4, 4, 4, 4]
    assert units_of(draw[BLOCK - 2 :], False)[:4].tolist() == [0, 0, 0, 0]
    half = np.arange(5 * BLOCK + BLOCK // 2)
    assert units_of(half, False)[-1] == 5


def test_differences_go_by_blocks_and_counts_by_draws() -> None:
    rng = np.random.default_rng(1)
    base, other = rng.random(72), rng.random(72)
    found = paired_difference(other, base=base, draw=DRAW)
    assert (found.low, found.high) == cluster_interval(other - base, cluster=DRAW // BLOCK)
    joint = standing([base, other], draw=DRAW)
    error = math.sqrt((joint.shadow[:, 1] ** 2).sum())
    assert joint.free == 7 and stats.t.ppf(0.975, 7) * error == pytest.approx(found.half_width)
    none = count_estimate(np.zeros(72), draw=DRAW)
    assert none.high < stats.beta.ppf(0.975, 1, 60)  # not that of 0 in 8 blocks, 0.32
    assert math.isnan(none.guess_low)  # of one tank a guess it would be 0 or 1
    assert count_estimate(np.arange(64) % 16 < 4, draw=np.arange(64) % 16).guess_high == 1.0
    same = paired_share(np.zeros(72), base=np.zeros(72), draw=DRAW)
    assert same.half_width < 0.1


def test_alternatives_with_few_trials_stand_by_draws() -> None:
    """An alternative given up after 16 trials must not leave all others with one degree of freedom."""
    rng = np.random.default_rng(2)
    runs = [rng.random(72), rng.random(72), rng.random(16)]
    assert standing(runs, draw=DRAW).free == 15


def test_without_a_repeated_draw_luck_and_ignorance_are_not_told_apart() -> None:
    values = np.random.default_rng(3).random(72)
    assert math.isnan(estimate(values[:40], draw=DRAW[:40]).ignorance)
    found = estimate(values, draw=DRAW)
    assert 0.0 <= found.ignorance <= 1.0 and found.guesses == 64
    assert math.isfinite(estimate(values[:40], draw=DRAW[:40]).guess_low)


def test_luck_is_told_from_ignorance_by_the_repeats() -> None:
    """Mean over 200 runs of the two variances, which are 4 and 1."""
    rng = np.random.default_rng(4)
    runs = [
        estimate(2.0 * rng.standard_normal(64)[DRAW] + rng.standard_normal(72), draw=DRAW) for _ in range(200)
    ]
    assert np.mean([one.within for one in runs]) == pytest.approx(1.0, abs=0.12)
    assert np.mean([one.between for one in runs]) == pytest.approx(4.0, abs=0.2)


def test_intervals_of_placed_draws_hold_the_mean_and_are_narrow() -> None:
    """200 runs of three made-up worlds with twelve inputs; 0.91 is the lower 1 % point of 95 % of 200."""
    found = coverage((WORLDS[1], WORLDS[3], WORLDS[4]), repetitions=200, inputs=12)
    for name, of in found.items():
        (held, wide), (_, before) = of["new"], of["old"]
        assert held >= 0.91, name
        assert wide < before * (0.6 if "difference" in name else 1.0 / 3.0), name
    assert max(of["new"][0] for of in found.values()) < 0.99
