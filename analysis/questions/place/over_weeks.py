"""The moves of a plan one by one over weeks: which orders there are, and the tanks as they then change."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from ..orders import GAP_D, WEEKS, Asked, Way
from .allowed import Allowed
from .answer import Placed, Placing
from .room import NEW_DAY, Home, Room, members

MOST_PERMUTED = 3  # moves of which every order is lived; of more, who comes first


def asked_of(found: Placing, months: int) -> Asked | str:
    """The orders in which the moves of the best plan can be made, or why there is nothing to choose."""
    room, best = found.room, found.best
    if found.stays or found.plan.taken is not None:
        return "nothing to put in order, since one group at most is moved"
    moved = _moved(room, best)
    if len(moved) < 2:
        return "one group is moved, so there is no order to choose"
    tanks = [
        home
        for home in best.homes
        if home != room.now[home.tank] and sum(room.sizes[k] for k in room.inside(home)) > 1
    ]
    if not tanks:
        return "nobody shares a tank that changes, so no order matters"
    ways = [Way("all in one afternoon", _dated(room, tanks, dict.fromkeys(moved, NEW_DAY)))]
    for order in _orders(moved):
        if _permitted(room, best, order):
            days = {g: NEW_DAY + GAP_D * k for k, g in enumerate(order)}
            ways.append(Way(_said(room, order), _dated(room, tanks, days)))
    if len(ways) == 1:
        return f"no order of moves {WEEKS} apart keeps every limit on the way"
    groups = tuple(tuple((room.names[k], room.labels[k]) for k in room.inside(home)) for home in tanks)
    return Asked(months, tuple(ways), groups, room.run.fixed)


def _moved(room: Room, best: Placed) -> list[int]:
    """Groups that change tanks, come into the room or leave it."""
    to = {g: home.tank for home in best.homes for g in members(home.who)}
    return [g for g, one in enumerate(room.groups) if to.get(g) != one.now]


def _orders(moved: Sequence[int]) -> Iterator[tuple[int, ...]]:
    if len(moved) <= MOST_PERMUTED:
        yield from itertools.permutations(moved)
        return
    for first in moved:
        yield (first, *(g for g in moved if g != first))


def _permitted(room: Room, best: Placed, order: Sequence[int]) -> bool:
    """Whether no limit that holds now, or that must hold at every moment, is broken between two moves."""
    allowed, to = Allowed(room), {g: home.tank for home in best.homes for g in members(home.who)}
    who = [home.who for home in room.now]
    before = [allowed.broken(home, moving=True) for home in room.now]
    for g in order:
        now, new = room.groups[g].now, to.get(g)
        if now is not None:
            who[now] &= ~(1 << g)
        if new is not None:
            who[new] |= 1 << g
            home = Home(new, best.homes[new].layout, who[new])
            if allowed.broken(home, moving=True) - before[new]:
                return False
    return True


def _dated(room: Room, tanks: Sequence[Home], days: dict[int, float]) -> tuple:  # type: ignore[type-arg]
    return tuple(one for home in tanks if (one := room.scenario(home, days)) is not None)


def _said(room: Room, order: Sequence[int]) -> str:
    names = [room.groups[g].name for g in order]
    if len(order) > MOST_PERMUTED:
        return f"{names[0]} first, then the others one by one"
    return f"{names[0]} first, then {', then '.join(names[1:])}"
