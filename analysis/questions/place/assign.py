"""The best assignment of groups to tanks, exactly: a dynamic programme over sets of groups, tank by tank.

What is best: the worst-off owner's share kept, in whole points of a hundred; then the sum of what all keep.
That order is not additive, so it takes two sweeps: one finds for each number of moves how well off the worst
off can be at all; the other adds up among tanks in which nobody is worse off than that.

A state is the set of groups that have a tank among those looked at so far, the moves made and the money
spent. With few moves allowed only sets near the present one can occur, so that there are few states.

Source: HeldKarp1962 (dynamic programmes over subsets).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...statistics.intervals import Floats

Ints = NDArray[np.int64]
NOBODY = 1_000  # points where nobody is in a tank: more than any fish can keep
MOVE_POINTS = 2  # what a move must be worth to the worst off (assumption)
_PAIRS = 2_000_000  # of states and choices that are looked at together


@dataclass(frozen=True)
class Choices:
    """What may be in one tank: c sets of groups.

    Attributes
    ----------
    home : groups that are in it now, a bit each.
    who : [c] the groups.
    points : [c] what the worst off in it keeps, in hundredths.
    total : [c] the sum of what all in it keep.
    moves, money : [c] what it takes.
    """

    home: int
    who: Ints
    points: Ints
    total: Floats
    moves: Ints
    money: Ints

    def without(self, place: int) -> Choices:
        """The same, one choice left out by never being good enough."""
        points = self.points.copy()
        points[place] = -1
        return Choices(self.home, self.who, points, self.total, self.moves, self.money)


class Plan(NamedTuple):
    """A choice for each tank, by its place, and what it comes to."""

    picks: tuple[int, ...]
    points: int
    total: float
    moves: int
    money: int

    @property
    def rank(self) -> tuple[float, float, int]:
        """The larger the better: the worst off less what the moves must be worth, then the sum."""
        return (self.points - MOVE_POINTS * self.moves, self.total, -self.moves)


class _States(NamedTuple):
    placed: Ints
    moves: Ints
    money: Ints
    value: Floats
    before: Ints  # place of the state that it came from
    pick: Ints


def best_plans(
    tanks: Sequence[Choices], *, groups: int, most_moves: int, most_money: int | None = None
) -> dict[int, Plan]:
    """The best plan with exactly so many moves, for each number of moves that any plan has.

    Parameters
    ----------
    tanks : a choice of each is taken; each of the groups must be in exactly one of them.
    groups : how many there are; at most 62.
    """
    steps = _sweep(tanks, groups, most_moves, most_money, totals=False, least=0)
    last = steps[-1]
    reached = _whole(last, groups, most_money)
    found = {}
    for moves in np.unique(last.moves[reached]).tolist():
        points = int(last.value[reached & (last.moves == moves)].max())
        adding = _sweep(tanks, groups, moves, most_money, totals=True, least=points)
        end = adding[-1]
        ends = np.flatnonzero(_whole(end, groups, most_money) & (end.moves == moves))
        at = int(ends[np.argmax(end.value[ends])])
        found[moves] = _plan(tanks, _picks(adding, at), points)
    return found


def best_of(plans: dict[int, Plan]) -> Plan | None:
    """The best of all; None where there is none."""
    return max(plans.values(), key=lambda one: one.rank, default=None)


def rivals(
    tanks: Sequence[Choices], best: Plan, *, groups: int, most_moves: int, most_money: int | None = None
) -> list[Plan]:
    """The plans nearest to the best, its runner-up first.

    Any other plan differs from the best in some tank, so what it has there is barred, a tank at a time.
    """
    found: list[Plan] = []
    for t, pick in enumerate(best.picks):
        barred = [one.without(pick) if k == t else one for k, one in enumerate(tanks)]
        plans = best_plans(barred, groups=groups, most_moves=most_moves, most_money=most_money)
        found += [other] if (other := best_of(plans)) is not None and other not in found else []
    return sorted(found, key=lambda one: one.rank, reverse=True)


def _sweep(
    tanks: Sequence[Choices],
    groups: int,
    most_moves: int,
    most_money: int | None,
    *,
    totals: bool,
    least: int,
) -> list[_States]:
    """The states after each tank, each with the best value of those that lead there."""
    zero = np.zeros(1, dtype=np.int64)
    start = np.array([0.0 if totals else float(NOBODY)])
    steps = [_States(zero, zero, zero, start, zero, zero)]
    gone = 0  # groups whose tank has been looked at
    for one in tanks:
        gone |= one.home
        good = np.flatnonzero(one.points >= least)
        steps.append(_next(steps[-1], one, good, gone, most_moves, most_money is not None, totals))
    return steps


def _next(
    old: _States, tank: Choices, good: Ints, gone: int, most_moves: int, counts_money: bool, totals: bool
) -> _States:
    parts: list[_States] = []
    size = max(1, _PAIRS // max(len(old.placed), 1))
    for first in range(0, max(len(good), 1), size):
        some = good[first : first + size]
        parts.append(_unique(_pairs(old, tank, some, gone, most_moves, counts_money, totals)))
    columns: list[Any] = [np.concatenate(column) for column in zip(*parts, strict=True)]
    return _unique(_States(*columns))


def _pairs(
    old: _States, tank: Choices, some: Ints, gone: int, most_moves: int, counts_money: bool, totals: bool
) -> _States:
    """Every state with every one of some choices that goes with it."""
    free = (old.placed[:, None] & tank.who[some][None, :]) == 0
    moves = old.moves[:, None] + tank.moves[some][None, :]
    placed = old.placed[:, None] | tank.who[some][None, :]
    waiting = bits_in(gone & ~placed)  # each of them must still be moved somewhere
    state, pick = np.nonzero(free & (moves + waiting <= most_moves))
    picks = some[pick]
    value = tank.total if totals else tank.points.astype(float)
    known = old.value[state]
    return _States(
        placed[state, pick],
        moves[state, pick],
        old.money[state] + (tank.money[picks] if counts_money else 0),
        known + value[picks] if totals else np.minimum(known, value[picks]),
        state.astype(np.int64),
        picks.astype(np.int64),
    )


def _unique(found: _States) -> _States:
    """Of equal states the best, the first of equals."""
    order = np.lexsort((found.pick, found.before, -found.value, found.money, found.moves, found.placed))
    keys = np.stack([found.placed[order], found.moves[order], found.money[order]])
    new = np.ones(len(order), dtype=bool)
    new[1:] = (keys[:, 1:] != keys[:, :-1]).any(axis=0)
    columns: list[Any] = [column[order][new] for column in found]
    return _States(*columns)


def _whole(states: _States, groups: int, most_money: int | None) -> NDArray[np.bool_]:
    every = states.placed == (1 << groups) - 1
    return every if most_money is None else every & (states.money <= most_money)


def _picks(steps: Sequence[_States], at: int) -> tuple[int, ...]:
    picks = []
    for one in reversed(steps[1:]):
        picks.append(int(one.pick[at]))
        at = int(one.before[at])
    return tuple(reversed(picks))


def _plan(tanks: Sequence[Choices], picks: tuple[int, ...], points: int) -> Plan:
    def add(name: str) -> float:
        return sum(getattr(one, name)[pick].item() for one, pick in zip(tanks, picks, strict=True))

    return Plan(picks, points, float(add("total")), int(add("moves")), int(add("money")))


def bits_in(numbers: Ints) -> Ints:
    """How many bits of each number, 0 or more, are set."""
    found, rest = np.zeros(np.shape(numbers), dtype=np.int64), np.array(numbers, dtype=np.int64)
    while rest.any():
        found += _BITS[rest & 0xFFFF]
        rest >>= 16
    return found


_BITS = np.array([bin(k).count("1") for k in range(1 << 16)], dtype=np.int64)
