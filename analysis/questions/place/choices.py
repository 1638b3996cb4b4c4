"""Every set of groups that a tank may hold within the moves allowed, and which limits stand in the way."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from ...document.plain import listed
from ...statistics.intervals import Floats
from .allowed import MONEY, MOVES, Allowed
from .assign import NOBODY, Choices, best_plans
from .room import Home, Room, members

FEW, MANY_GROUPS = 8, 10  # moves looked at where it is asked what stands in the way; of more groups half


class RoomError(ValueError):
    """Nothing can be planned; the message says what stands in the way."""


def homes_of(room: Room, tank: int, *, most_moves: int) -> Iterator[Home]:
    """Every set of groups in a tank that so many moves can lead to, in each of its layouts.

    Laying other rock counts as a move; a group that is in no tank yet is placed without one.
    """
    there = [g for g, one in enumerate(room.groups) if one.now == tank]
    elsewhere = [g for g, one in enumerate(room.groups) if one.now not in (tank, None)]
    homeless = [g for g, one in enumerate(room.groups) if one.now is None]
    for layout in range(len(room.tanks[tank].layouts)):
        left = most_moves - (layout > 0)
        for out in range(min(left, len(there)) + 1):
            for gone in itertools.combinations(there, out):
                for come in range(min(left - out, len(elsewhere)) + 1):
                    for new in itertools.combinations(elsewhere, come):
                        for k in range(len(homeless) + 1):
                            for placed in itertools.combinations(homeless, k):
                                who = [g for g in there if g not in gone] + [*new, *placed]
                                yield Home(tank, layout, sum(1 << g for g in who))


def taken_by(room: Room, home: Home) -> tuple[int, int]:
    """Moves and money that a home takes."""
    new = home.who & ~room.now[home.tank].who
    moves = sum(room.groups[g].now is not None for g in members(new)) + (home.layout > 0)
    money = sum(room.groups[g].price or 0 for g in members(home.who))
    return moves, money + room.tanks[home.tank].layouts[home.layout].costs


def choices_of(room: Room, tank: int, homes: Sequence[Home], fares: Sequence[Floats]) -> Choices:
    """Homes of one tank as choices; ``fares``: what each of those in it keeps, 0 to 1."""
    taken = [taken_by(room, home) for home in homes]
    return Choices(
        home=room.now[tank].who,
        who=np.array([home.who for home in homes], dtype=np.int64),
        points=np.array([points_of(one) for one in fares], dtype=np.int64),
        total=np.array([float(np.sum(one)) for one in fares]),
        moves=np.array([moves for moves, _ in taken], dtype=np.int64),
        money=np.array([money for _, money in taken], dtype=np.int64),
    )


def points_of(kept: Floats) -> int:
    """What the worst off keeps, in whole hundredths."""
    return int(np.floor(100.0 * float(np.min(kept)) + 1e-9)) if len(kept) else NOBODY


def away(room: Room) -> tuple[tuple[int, ...], Choices]:
    """Groups that are given away or not bought, as one more tank; nobody is in it now."""
    may = [g for g, one in enumerate(room.groups) if one.is_wish or one.gives is not None]
    sets = [some for k in range(len(may) + 1) for some in itertools.combinations(may, k)]
    who = [sum(1 << g for g in some) for some in sets]
    moves = [sum(room.groups[g].now is not None for g in some) for some in sets]
    money = [-sum(room.groups[g].gives or 0 for g in some) for some in sets]
    return tuple(who), Choices(
        home=0,
        who=np.array(who, dtype=np.int64),
        points=np.full(len(sets), NOBODY, dtype=np.int64),
        total=np.zeros(len(sets)),
        moves=np.array(moves, dtype=np.int64),
        money=np.array(money, dtype=np.int64),
    )


def feasible(room: Room, homes: Sequence[Sequence[Home]], *, most_moves: int, most_money: int | None) -> int:
    """The fewest moves of any plan; -1 where there is none."""
    tanks = [choices_of(room, t, some, [np.zeros(0)] * len(some)) for t, some in enumerate(homes) if some]
    if len(tanks) < len(homes):
        return -1
    _, out = away(room)
    found = best_plans([*tanks, out], groups=len(room.groups), most_moves=most_moves, most_money=most_money)
    return min(found, default=-1)


def in_the_way(room: Room, allowed: Allowed) -> str:
    """Which limit, or which two together, must go before the room can be planned at all."""
    few = FEW if len(room.groups) <= MANY_GROUPS else FEW // 2
    most = min(len(room.groups) + sum(len(one.layouts) > 1 for one in room.tanks), few)
    every = [list(homes_of(room, t, most_moves=most)) for t in range(len(room.tanks))]
    broken = {home: allowed.broken(home) for homes in every for home in homes}
    bounds = room.bounds

    def helps(gone: frozenset[int], moves: bool = False, money: bool = False) -> bool:
        left = [[home for home in homes if broken[home] <= gone] for homes in every]
        may = most if moves else bounds.most_moves
        return feasible(room, left, most_moves=may, most_money=None if money else bounds.most_money) >= 0

    lines = bounds.lines or {}
    said = []
    if helps(frozenset(), moves=True):
        said.append(_at(f"at most {bounds.most_moves} moves", lines.get(MOVES)))
    if bounds.most_money is not None and helps(frozenset(), money=True):
        said.append(_at(f"at most {bounds.most_money} of money", lines.get(MONEY)))
    hurts = sorted({k for one in broken.values() for k in one})
    rules = allowed.rules
    said += [_at(rules[k].says, rules[k].line) for k in hurts if helps(frozenset([k]))]
    if said:
        return f"no plan keeps every limit; what stands in the way: {'; or '.join(said)}"
    for i, j in itertools.combinations(hurts, 2):
        if helps(frozenset([i, j])):
            both = listed([_at(rules[k].says, rules[k].line) for k in (i, j)])
            return f"no plan keeps every limit; these stand in the way together: {both}"
    return "no plan keeps every limit, and no two of them alone stand in the way; loosen several"


def _at(says: str, line: int | None) -> str:
    return says if line is None else f"{says} (line {line})"
