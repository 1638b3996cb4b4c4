"""Which plan is found in made-up rooms: against brute force, and against what is known to be true."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_rooms import SHARES, World, best_of_all, every_plan, judged, made_up, searched
from rockshy.analysis.questions.place.allowed import Allowed
from rockshy.analysis.questions.place.assign import Plan
from rockshy.analysis.questions.place.choices import RoomError, points_of, taken_by
from rockshy.analysis.questions.place.room import Room
from rockshy.analysis.questions.place.search import Search

ROOMS = 20
LIMITS = {
    "apart": {},
    "most moves": {"moves": 1},
    "hybrids": {"no_hybrids": True, "moves": 5},
    "a male": {"a_male": True, "moves": 5},
    "money": {"most_money": 30, "moves": 4},
}


def varied(room: Room, what: str, seed: int) -> Room:
    """The room with what a limit needs to bite."""
    rng = np.random.default_rng([seed, 9])
    groups = list(room.groups)
    if what == "money":
        groups[0] = replace(groups[0], now=None, price=20)
        groups[1] = replace(groups[1], now=None, price=20)
        groups[2] = replace(groups[2], gives=15)
    groups[3] = replace(groups[3], must_leave=True)
    groups[4] = replace(groups[4], may_go=frozenset([0, groups[4].now or 0]))
    chunks = list(room.chunks)
    if what == "a male":
        chunks = [one._replace(row=replace(one.row, males=int(rng.random() < 0.7))) for one in chunks]
    tanks = [replace(one, most_fish=int(rng.integers(6, 14))) for one in room.tanks]
    tanks[0] = replace(tanks[0], may_be_empty=False)
    return replace(room, groups=tuple(groups), chunks=tuple(chunks), tanks=tuple(tanks), staying=(), text="")


def by_hand(room: Room, world: World) -> Plan | None:
    """The best of all plans that keep every limit, looked at one by one."""
    allowed, bounds = Allowed(room), room.bounds
    bought = [g for g, one in enumerate(room.groups) if one.is_wish]
    given = [g for g, one in enumerate(room.groups) if one.gives is not None]
    found: list[Plan] = []
    for homes in every_plan(room):
        for code in range(1 << len(bought + given)):
            out = sum(1 << g for k, g in enumerate(bought + given) if code >> k & 1)
            if any(out >> g & 1 and homes[0].who >> g & 1 == 0 for g in bought + given):
                continue  # counted once, with those who are out in the first tank
            real = tuple(home._replace(who=home.who & ~out) for home in homes)
            moves = sum(taken_by(room, home)[0] for home in real) + sum(out >> g & 1 for g in given)
            money = sum(taken_by(room, home)[1] for home in real)
            money -= sum(room.groups[g].gives or 0 for g in given if out >> g & 1)
            if moves > bounds.most_moves or any(allowed.broken(home) for home in real):
                continue
            if bounds.most_money is not None and money > bounds.most_money:
                continue
            kept = np.concatenate([world.truth(home) for home in real])
            found.append(Plan((), points_of(kept), float(kept.sum()), moves, money))
    return max(found, key=lambda one: one.rank, default=None)


@pytest.mark.parametrize("what", LIMITS)
def test_the_solver_finds_what_looking_at_every_plan_finds(what: str) -> None:
    answered = 0
    for seed in range(ROOMS):
        options = dict(LIMITS[what])
        room = varied(made_up(seed, tanks=3, groups=5, **options), what, seed)  # type: ignore[arg-type]
        room = replace(room, chunks=room.chunks[: len(room.groups)])
        world = World(room, seed)
        best = by_hand(room, world)
        if best is None:
            with pytest.raises(RoomError):
                Search(room, SHARES)
            continue
        answered += 1
        found = best_of_all(Search(room, SHARES), world)
        assert found.rank == pytest.approx(best.rank), seed
        assert (found.moves, found.money) == (best.moves, best.money) or found.rank == best.rank
    assert answered >= ROOMS // 3


CLEAR = 3  # points by which the best plan beats every other, so that it is plain which one is right


def test_the_right_plan_is_found_and_its_fare_not_overstated() -> None:
    """24 made-up rooms; ``python -m tests.placed_rooms`` looks at more."""
    found = [judged(seed, tanks=3, groups=5) for seed in range(24)]
    clear = [one for one in found if one.margin >= CLEAR]
    assert len(clear) >= 6
    assert sum(one.right for one in clear) >= 0.95 * len(clear)
    assert np.mean([one.behind <= 2 for one in found]) >= 0.9
    errors = np.array([one.error for one in found])
    assert errors.mean() <= 2 * errors.std() / np.sqrt(len(errors))
    assert errors.mean() >= -0.01  # the least of several means is a little low
    assert max(one.run / one.possible for one in found) <= 1.0
    assert np.mean([one.run / one.possible for one in found]) < 0.6


def test_the_same_seed_gives_the_same_plan() -> None:
    room = made_up(3, tanks=3, groups=5)
    one, other = (searched(room, World(room, 3)) for _ in range(2))
    assert one.finalists == other.finalists and one.errors == other.errors
