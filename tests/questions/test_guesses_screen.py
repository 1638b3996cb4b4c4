"""The screening: it keeps what acts and drops what does not, though there is luck in every point."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.analysis.questions.guesses.screen import screen
from scipy import stats
from scipy.stats import qmc

INPUTS, ACTIVE = 60, 4
SINGLE = [np.array([k]) for k in range(INPUTS)]


def made_up(points: np.ndarray) -> np.ndarray:
    """Four of sixty inputs act: two straight, one by a bend alone, one in both ways; variance near 1."""
    x = 2.0 * points - 1.0
    return 1.0 * x[:, 0] - 0.8 * x[:, 1] + 1.3 * (x[:, 2] ** 2) + 0.5 * (x[:, 3] + x[:, 3] ** 2)


def drawn(seed: int, *, points: int = 256) -> np.ndarray:
    return np.asarray(qmc.Sobol(d=INPUTS, seed=np.random.default_rng(seed)).random(points))


def one_at_a_time(seed: int, *, budget: int = 256, luck: float) -> set[int]:
    """Radial elementary effects with the same number of points (Morris1991), a t test of each at 5 %."""
    rng = np.random.default_rng(seed)
    rounds = budget // (INPUTS + 1)
    effects = np.empty((rounds, INPUTS))
    for k in range(rounds):
        base, other = rng.random((2, INPUTS))
        rows = np.tile(base, (INPUTS + 1, 1))
        rows[np.arange(1, INPUTS + 1), np.arange(INPUTS)] = other
        values = made_up(rows) + rng.normal(0.0, luck, INPUTS + 1)
        effects[k] = (values[1:] - values[0]) / (other - base)
    found = stats.ttest_1samp(effects, 0.0).pvalue
    return set(np.flatnonzero(found < 0.05 / INPUTS))


def test_what_acts_is_kept_and_what_does_not_is_dropped() -> None:
    kept_active, kept_inert, by_steps = 0, 0, 0
    rounds = 12
    for seed in range(rounds):
        points = drawn(seed)
        answer = made_up(points) + np.random.default_rng(seed).normal(0.0, 1.0, len(points))
        kept = set(screen(points, [answer], columns=SINGLE, most=INPUTS).kept)
        kept_active += len(kept & set(range(ACTIVE)))
        kept_inert += len(kept - set(range(ACTIVE)))
        by_steps += len(one_at_a_time(seed, luck=1.0) & set(range(ACTIVE)))
    assert kept_active >= 0.95 * ACTIVE * rounds
    assert kept_inert <= 0.2 * rounds  # the level is 5 % for all inert ones of a round together
    assert by_steps < 0.5 * kept_active  # the reason for moving all at once


def test_luck_alone_keeps_nothing_but_the_one_that_must_stay() -> None:
    seen = 0
    for seed in range(12):
        points = drawn(seed, points=128)
        answer = np.random.default_rng(seed).normal(size=len(points))
        found = screen(points, [answer], columns=SINGLE, most=6)
        seen += len(found.seen_anywhere())
        assert len(found.kept) == 1
        assert found.fits[0].guesses == found.seen_anywhere()
    assert seen <= 3


def test_guesses_of_several_inputs_and_several_answers_share_one_list() -> None:
    points = drawn(1)
    columns = [np.arange(k, k + 2) for k in range(0, INPUTS, 2)]
    one, two = 2.0 * points[:, 1], 2.0 * points[:, 10] + 0.5 * points[:, 20]
    found = screen(points, [one, two], columns=columns, most=2)
    assert found.kept == (0, 5)  # each answer's chief one, before what tells less
    assert found.by_answer[1][1].draw == 10 and found.by_answer[1][1].is_seen
    assert found.seen_anywhere() == (0, 5, 10)
    assert found.by_answer[0][0].share == pytest.approx(1.0, abs=1e-6)


def test_an_answer_that_does_not_vary_keeps_nothing() -> None:
    found = screen(drawn(2), [np.full(256, 0.5)], columns=SINGLE, most=3)
    assert not any(one.is_seen for one in found.by_answer[0])
    assert len(found.kept) == 1
