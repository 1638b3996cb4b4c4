"""Moves in an order that can be carried out in one afternoon, and who waits in a bucket meanwhile."""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass

from .allowed import Allowed
from .room import Home, Room, members
from .search import Moves

MOST_STATES = 50_000


@dataclass(frozen=True)
class Step:
    """One thing to do.

    Attributes
    ----------
    group : name of who is moved; "" where rock is laid, and then ``start`` is the name of the rock.
    start, end : names of tanks; "" for the bucket, or nowhere.
    waits : they go into a bucket, to be placed by a later step.
    breaks : a limit that does not hold until the next step; "" where all do.
    """

    group: str
    start: str
    end: str
    waits: bool = False
    breaks: str = ""


def in_order(room: Room, plan: Moves, first: tuple[int, ...]) -> tuple[Step, ...]:
    """The moves of a plan, with as few groups in a bucket as can be, and nobody in bad company on the way.

    Rock is laid before fish come in; whoever leaves the room does so first. Where there is a choice, groups
    are moved in the order of ``first``, the worst off before others.
    """
    steps = [
        Step("", room.tanks[home.tank].layouts[home.layout].name, room.tanks[home.tank].name)
        for home in plan.homes
        if home.layout
    ]
    steps += [
        Step(room.groups[g].name, room.tanks[now].name, "")
        for g in members(plan.out)
        if (now := room.groups[g].now) is not None
    ]
    to = {g: home.tank for home in plan.homes for g in members(home.who)}
    moved = [g for g in to if room.groups[g].now != to[g]]
    moved.sort(key=lambda g: first.index(g) if g in first else len(first))
    return (*steps, *_walk(room, plan, moved, to))


def _walk(room: Room, plan: Moves, moved: list[int], to: dict[int, int]) -> list[Step]:
    """The cheapest way from the present to the plan: a bucket costs, a limit broken on the way costs more."""
    allowed = Allowed(room)
    layouts = [home.layout for home in plan.homes]
    stay = [home.who & ~plan.out & ~sum(1 << g for g in moved) for home in room.now]

    def broken(t: int, where: tuple[int | None, ...]) -> frozenset[int]:
        who = stay[t] | sum(1 << g for g, at in zip(moved, where, strict=True) if at == t)
        return allowed.broken(Home(t, layouts[t], who), moving=True)

    start = tuple(room.groups[g].now for g in moved)
    goal = tuple(to[g] for g in moved)
    before = [broken(t, start) for t in range(len(room.tanks))]
    count = itertools.count()
    queue: list[tuple[float, int, tuple[int | None, ...], tuple[Step, ...]]] = [(0.0, 0, start, ())]
    seen: set[tuple[int | None, ...]] = set()
    while queue and len(seen) < MOST_STATES:
        cost, _, where, steps = heapq.heappop(queue)
        if where == goal:
            return list(steps)
        if where in seen:
            continue
        seen.add(where)
        for k, g in enumerate(moved):
            if where[k] == goal[k]:
                continue
            here = "" if where[k] is None else room.tanks[where[k] or 0].name
            new = (*where[:k], goal[k], *where[k + 1 :])
            bad = broken(goal[k], new) - before[goal[k]]
            says = next((allowed.rules[one].says for one in sorted(bad)), "")
            step = Step(room.groups[g].name, here, room.tanks[goal[k]].name, breaks=says)
            turn = 0.001 * k * (len(steps) == 0)
            heapq.heappush(queue, (cost + 1 + turn + 100 * len(bad), next(count), new, (*steps, step)))
            if where[k] is not None and where[k] == start[k]:
                out = (*where[:k], None, *where[k + 1 :])
                wait = Step(room.groups[g].name, here, "", waits=True)
                heapq.heappush(queue, (cost + 1.5 + turn, next(count), out, (*steps, wait)))
    return [
        Step(room.groups[g].name, "" if (now := room.groups[g].now) is None else room.tanks[now].name,
             room.tanks[to[g]].name)
        for g in moved
    ]  # fmt: skip
