"""Shares of the players of a game, exact or over sampled orders. Knows nothing of tanks.

A coalition is a whole number whose bit i says that player i is in. A game is a mapping from coalitions to
what they are worth, one number or an array of several outcomes.

Source: Shapley1953 (2nd hand, a review of it); Castro2009 (abstract; the mean over sampled orders).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ....sim.rules.support.random_numbers import generator

Floats = NDArray[np.float64]
Order = tuple[int, ...]


def everybody(players: int) -> int:
    """The coalition of all players."""
    return (1 << players) - 1


def exact_shares(worth: Mapping[int, ArrayLike], *, players: int) -> Floats:
    """Shapley values by their definition, from the worth of all coalitions.

    phi_i is the sum over the coalitions S without i of |S|! (n - |S| - 1)! / n! x (v(S with i) - v(S)).

    Parameters
    ----------
    worth : of each of the 2^n coalitions: a number, or an array [k] of outcomes.
    players : n.

    Returns
    -------
    [n] or [n, k]; they sum to v(all) - v(nobody).

    Raises
    ------
    KeyError
        When a coalition is missing.
    """
    weight = [
        math.factorial(size) * math.factorial(players - size - 1) / math.factorial(players)
        for size in range(players)
    ]
    shares = [
        sum(
            weight[coalition.bit_count()]
            * (np.asarray(worth[coalition | 1 << i], dtype=float) - np.asarray(worth[coalition], dtype=float))
            for coalition in range(1 << players)
            if not coalition >> i & 1
        )
        for i in range(players)
    ]
    return np.array(shares, dtype=float)


def shares_along(orders: Sequence[Order], *, worth: Mapping[int, ArrayLike]) -> Floats:
    """Mean over orders of what each player adds when the players come in one after the other.

    Each order sums to v(all) - v(nobody), so their mean does; over all n! orders it is the Shapley value.

    Parameters
    ----------
    orders : each a permutation of 0 .. n - 1.
    worth : of the coalitions that the orders pass through.

    Returns
    -------
    [n] or [n, k], see :func:`exact_shares`.
    """
    added = []
    for order in orders:
        here, mine = 0, {}
        for player in order:
            after = here | 1 << player
            mine[player] = np.asarray(worth[after], dtype=float) - np.asarray(worth[here], dtype=float)
            here = after
        added.append([mine[player] for player in range(len(order))])
    return np.array(np.mean(np.array(added, dtype=float), axis=0), dtype=float)


def orders_for(trial: int, *, players: int, seed: int) -> tuple[Order, ...]:
    """The orders of one trial: one drawn at random, and its reverse (antithetic).

    In n trials that follow each other one order is turned round, so that each player stands at each place
    once. The order of a trial on its own is uniform over all orders, so that its shares are unbiased.
    """
    block, turn = divmod(trial, max(players, 1))
    drawn = generator(seed, "order of the mechanisms", players, block).permutation(players)
    order = tuple(int(player) for player in np.roll(drawn, turn))
    return (order,) if players < 2 else (order, order[::-1])


def coalitions_of(orders: Iterable[Order]) -> tuple[int, ...]:
    """Every coalition that the orders pass through, once, nobody and everybody included; ascending."""
    found = {0}
    for order in orders:
        here = 0
        for player in order:
            here |= 1 << player
            found.add(here)
    return tuple(sorted(found))


def in_whole_tokens(shares: Sequence[float], *, total: int) -> tuple[int, ...]:
    """Whole numbers near some shares that add up to ``total`` as the shares do, by largest remainder.

    Shares below 0 become whole numbers below 0. A share is never moved by 1 or more.
    """
    scaled = [share * total / math.fsum(shares) for share in shares]
    down = [math.floor(one) for one in scaled]
    missing = total - sum(down)
    by_rest = sorted(range(len(scaled)), key=lambda k: (down[k] - scaled[k], k))
    for k in by_rest[:missing]:
        down[k] += 1
    return tuple(down)
