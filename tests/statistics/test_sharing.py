"""Handing out trials: numbers, pairs, when it ends, and what it saves."""

from __future__ import annotations

import numpy as np
import pytest
from rockshy.analysis.statistics.sharing import Sharer

DRAW, FOUR = np.arange(384) % 16, np.arange(384) % 4  # draws that the trials take turns over


def world(rng: np.random.Generator, *, means: list[float], trials: int) -> list[np.ndarray]:
    """Trials that share the greater part of their luck, and a guess that all alternatives share."""
    shared = 2 * rng.standard_normal(trials) + 2 * rng.standard_normal(16)[np.arange(trials) % 16]
    return [mean + shared + rng.standard_normal(trials) for mean in means]


def run_out(sharer: Sharer, runs: list[np.ndarray]) -> list[list[tuple[int, int]]]:
    """Hand the values of all trials back until nothing more is handed out."""
    batches: list[list[tuple[int, int]]] = []
    while batch := sharer.next_batch([one[:n] for one, n in zip(runs, sharer.counts, strict=True)]):
        batches.append(batch)
    return batches


def test_batches_go_on_with_the_next_numbers_and_keep_the_base_ahead() -> None:
    runs = world(np.random.default_rng(0), means=[1.0, 0.1, 0.0, 3.0], trials=400)
    sharer = Sharer(4, budget=150, draw=DRAW, first=10, batch=12)
    given = [0, 0, 0, 0]
    batches = run_out(sharer, runs)
    assert batches[0][:5] == [(0, 0), (1, 0), (2, 0), (3, 0), (0, 1)] and len(batches[0]) == 40
    for batch in batches:
        assert batch == sorted(batch, key=lambda job: (job[1], job[0])) and len(batch) <= 40
        for which, trial in batch:
            assert trial == given[which]
            given[which] += 1
        assert given[0] == max(given)
    assert sharer.reason == "spent" and 149 <= sum(given) <= 150
    assert given[3] < given[1] and given[3] < given[2]
    assert sharer.best in (1, 2)


def test_it_ends_once_the_best_is_clear_twice() -> None:
    runs = world(np.random.default_rng(1), means=[1.0, 5.0, -5.0], trials=200)
    sharer = Sharer(3, budget=600, draw=DRAW, batch=12)
    batches = run_out(sharer, runs)
    assert sharer.reason == "clear" and sharer.best == 2 and len(batches) == 2
    assert sharer.next_batch([one[:n] for one, n in zip(runs, sharer.counts, strict=True)]) == []
    higher = Sharer(3, budget=600, draw=DRAW, batch=12, lower_is_better=False)
    run_out(higher, runs)
    assert higher.best == 1


def test_a_change_that_changes_nothing_counts_with_the_best() -> None:
    runs = world(np.random.default_rng(2), means=[0.0, 5.0], trials=200)
    sharer = Sharer(3, budget=600, draw=DRAW)
    run_out(sharer, [runs[0], runs[1], runs[0].copy()])
    assert sharer.reason == "clear"
    assert sharer.chances == pytest.approx([0.5, 0.0, 0.5], abs=1e-3)


def test_a_small_budget_and_values_that_are_missing() -> None:
    runs = world(np.random.default_rng(3), means=[0.0, 1.0, 2.0], trials=100)
    sharer = Sharer(3, budget=10, draw=FOUR)
    assert [len(batch) for batch in run_out(sharer, runs)] == [9]  # one left over has no pair
    assert sharer.reason == "spent"
    runs[1][:] = np.nan
    blind = Sharer(3, budget=60, draw=FOUR, first=4)
    run_out(blind, runs)
    assert blind.best is None and blind.counts.tolist() == [20, 20, 20]


def test_the_same_values_get_the_same_batches() -> None:
    runs = world(np.random.default_rng(4), means=[0.5, 0.3, 0.0, 0.2], trials=300)
    first, second = (run_out(Sharer(4, budget=300, draw=DRAW), runs) for _ in range(2))
    assert first == second


def test_what_cannot_be_shared_out_is_refused() -> None:
    for wrong, said in (
        ({"alternatives": 1}, "alternatives is 1"),
        ({"budget": 5}, "budget is 5; use 6 or more"),
        ({"first": 1}, "first is 1"),
        ({"batch": 1}, "batch is 1"),
        ({"clear": 0.4}, "clear is 0.4"),
    ):
        given = {"alternatives": 3, "budget": 90, "draw": FOUR, **wrong}
        with pytest.raises(ValueError, match=said):
            Sharer(given.pop("alternatives"), **given)  # type: ignore[arg-type]
    sharer = Sharer(2, budget=40, draw=FOUR, first=4)
    sharer.next_batch([[], []])
    with pytest.raises(ValueError, match=r"\[4, 3\] trials; use \[4, 4\]"):
        sharer.next_batch([[1.0] * 4, [1.0] * 3])


def test_a_base_that_is_the_best_gets_pairs_not_more() -> None:
    runs = world(np.random.default_rng(6), means=[0.0, 0.2, 2.0], trials=300)
    sharer = Sharer(3, budget=200, draw=DRAW)
    run_out(sharer, runs)
    assert sharer.best == 0 and sharer.counts[0] == sharer.counts[1] > 2 * sharer.counts[2]


def test_sharing_out_needs_half_the_trials_of_equal_shares() -> None:
    """Eight alternatives on common trials: 384 shared out do as well as 768 in equal shares, within 5 %.

    What common trials share does not change which mean is smallest, so the
    chance to be right with equal shares is that of independent means.
    """
    means = [0.8, 0.2, 0.0, 0.4, 0.6, 1.0, 1.2, 1.4]
    rng = np.random.default_rng(5)

    def equal(total: int) -> float:
        drawn = rng.normal(means, 1 / np.sqrt(total / 8), (20_000, 8))
        return float(np.mean(drawn.argmin(axis=1) == 2))

    right = 0
    for _ in range(60):
        sharer = Sharer(8, budget=384, draw=DRAW, batch=32, clear=0.999999)
        run_out(sharer, world(rng, means=means, trials=384))
        assert sharer.counts.sum() <= 384
        right += sharer.best == 2
    assert right / 60 > equal(768) - 0.05 > equal(384) + 0.01


def test_equal_alternatives_are_seldom_called_apart() -> None:
    """Two best that are really equal: named in at most one run in ten, so wrongly in one in twenty."""
    rng = np.random.default_rng(7)
    named = {0.99: 0, 0.8: 0}
    for _ in range(60):
        runs = world(rng, means=[0.5, 0.0, 0.0], trials=300)
        for clear in named:
            sharer = Sharer(3, budget=300, draw=DRAW, clear=clear)
            run_out(sharer, runs)
            named[clear] += sharer.reason == "clear"
    assert named[0.99] / 60 <= 0.1 + 2 * np.sqrt(0.1 * 0.9 / 60)
    assert named[0.8] / 60 > 0.5
