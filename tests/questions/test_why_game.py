"""Shares of games with known Shapley values, exact and over sampled orders; whole tokens."""

from __future__ import annotations

from collections import Counter
from itertools import permutations

import numpy as np
import pytest
from rockshy.analysis.questions.why.game import (
    coalitions_of,
    everybody,
    exact_shares,
    in_whole_tokens,
    orders_for,
    shares_along,
)


def every(players: int, worth) -> dict[int, float]:
    return {
        coalition: worth({i for i in range(players) if coalition >> i & 1})
        for coalition in range(1 << players)
    }


GAMES = {
    "glove, one left and two right": (3, lambda s: float(0 in s and bool(s & {1, 2})), (2 / 3, 1 / 6, 1 / 6)),
    "airport of 1, 2 and 3": (3, lambda s: float(max((i + 1 for i in s), default=0)), (1 / 3, 5 / 6, 11 / 6)),
    "unanimity of two of four": (4, lambda s: float({1, 3} <= s), (0, 1 / 2, 0, 1 / 2)),
    "each as good as another": (4, lambda s: float(len(s) ** 2), (4, 4, 4, 4)),
    "simple sum": (5, lambda s: float(sum(s)), (0, 1, 2, 3, 4)),
    "one that takes": (2, lambda s: 3.0 * (0 in s) - 1.0 * (1 in s), (3, -1)),
    "nobody is worth something": (2, lambda s: 7.0 + len(s), (1, 1)),
    "majority of three": (3, lambda s: float(len(s) >= 2), (1 / 3, 1 / 3, 1 / 3)),
    "alone": (1, lambda s: 5.0 * len(s), (5,)),
}


@pytest.mark.parametrize("name", GAMES)
def test_exact_shares_are_the_known_ones(name: str) -> None:
    players, worth, shares = GAMES[name]
    values = every(players, worth)
    found = exact_shares(values, players=players)
    np.testing.assert_allclose(found, shares, atol=1e-14)
    all_orders = tuple(permutations(range(players)))
    np.testing.assert_allclose(shares_along(all_orders, worth=values), shares, atol=1e-14)


def test_several_outcomes_are_shared_out_at_once() -> None:
    values = {c: np.array([float(c == 3), 2.0 * (c & 1)]) for c in range(4)}
    np.testing.assert_allclose(exact_shares(values, players=2), [[0.5, 2.0], [0.5, 0.0]])
    np.testing.assert_allclose(shares_along([(0, 1), (1, 0)], worth=values), [[0.5, 2.0], [0.5, 0.0]])


def test_any_order_adds_up_to_the_whole() -> None:
    rng = np.random.default_rng(1)
    values = dict(enumerate(rng.normal(size=(1 << 6, 2))))
    for trial in range(12):
        orders = orders_for(trial, players=6, seed=3)
        found = shares_along(orders, worth={c: values[c] for c in coalitions_of(orders)})
        np.testing.assert_allclose(found.sum(axis=0), values[63] - values[0], atol=1e-12)
    exact = exact_shares(values, players=6)
    np.testing.assert_allclose(exact.sum(axis=0), values[63] - values[0], atol=1e-12)


def test_orders_come_with_their_reverse_and_visit_every_place() -> None:
    for players in (2, 3, 7):
        places: Counter[tuple[int, int]] = Counter()
        for trial in range(players):
            first, second = orders_for(trial, players=players, seed=11)
            assert sorted(first) == list(range(players))
            assert second == first[::-1]
            places.update((player, at) for at, player in enumerate(first))
        assert set(places.values()) == {1} and len(places) == players**2
    assert orders_for(0, players=1, seed=1) == ((0,),)
    assert orders_for(0, players=0, seed=1) == ((),)


def test_orders_depend_on_seed_and_trial_alone_and_differ() -> None:
    one = [orders_for(trial, players=6, seed=1) for trial in range(60)]
    assert one == [orders_for(trial, players=6, seed=1) for trial in range(60)]
    assert one != [orders_for(trial, players=6, seed=2) for trial in range(60)]
    assert len({order for order, _ in one}) > 50


def test_orders_of_a_trial_are_uniform_over_seeds() -> None:
    many = 6000
    count = Counter(orders_for(4, players=3, seed=seed)[0] for seed in range(many))
    assert len(count) == 6
    assert max(abs(one - many / 6) for one in count.values()) < 4.5 * np.sqrt(many * 5 / 36)


def test_sampled_orders_come_near_the_exact_shares() -> None:
    rng = np.random.default_rng(5)
    values = dict(enumerate(rng.normal(size=1 << 5)))
    shares = np.array([shares_along(orders_for(t, players=5, seed=1), worth=values) for t in range(2000)])
    error = shares.std(axis=0) / np.sqrt(len(shares))
    assert (np.abs(shares.mean(axis=0) - exact_shares(values, players=5)) < 4.5 * error).all()


def test_coalitions_of_two_orders_are_those_they_pass_through() -> None:
    assert coalitions_of([(0, 1, 2), (2, 1, 0)]) == (0, 1, 3, 4, 6, 7)
    assert coalitions_of([()]) == (0,)
    assert everybody(3) == 7


@pytest.mark.parametrize(
    ("shares", "tokens"),
    [
        ((0.41, 0.33, 0.26), (4, 3, 3)),
        ((0.36, 0.36, 0.28), (4, 3, 3)),
        ((1.2, -0.2), (12, -2)),
        ((0.94, 0.56, -0.5), (9, 6, -5)),
        ((0.04, 0.96), (0, 10)),
        ((1.0, 0.0, 0.0), (10, 0, 0)),
    ],
)
def test_whole_tokens_add_up_to_ten(shares: tuple[float, ...], tokens: tuple[int, ...]) -> None:
    found = in_whole_tokens(shares, total=10)
    assert sum(found) == 10
    assert all(abs(one - 10 * share) < 1 for one, share in zip(found, shares, strict=True))
    assert found == tokens
