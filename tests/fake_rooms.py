"""Made-up fish rooms whose fares are known, so that it is known which plan is the best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from rockshy.analysis.questions.place.assign import Choices, Plan, best_of, best_plans, rivals
from rockshy.analysis.questions.place.choices import away, choices_of, points_of
from rockshy.analysis.questions.place.room import Apart, Bounds, Chunk, Group, Home, Layout, Room, RoomTank
from rockshy.analysis.questions.place.search import Search, Shares
from rockshy.sim.rules.support.draws import BLOCK
from rockshy.sim.scenario.scenario import RockSpec, RunSpec, StockRow, TankSpec
from rockshy.sim.species.species import library
from scipy.stats import norm

KINDS = (
    "Tropheus duboisi",
    "Petrochromis trewavasae",
    "Pseudosimochromis curvifrons",
    "Eretmodus cyanostictus",
    "Tropheus moorii",
)
SHARES = Shares(range(8), range(8, 32), range(32, 72))


def made_up(seed: int, *, tanks: int = 4, groups: int = 7, moves: int = 3, **bounds: object) -> Room:
    """A room of random groups in random tanks; every tank has somebody who stays."""
    rng = np.random.default_rng([seed, 0])
    sides = rng.choice([80.0, 100.0, 120.0, 150.0], tanks)
    own = tuple(
        RoomTank(
            f"tank {t + 1}",
            TankSpec(float(sides[t]), 50.0, 50.0, 47.0),
            (Layout("", RockSpec()),),
            120,
            True,
            {},
        )
        for t in range(tanks)
    )
    every = frozenset(range(tanks))
    people = tuple(Group(f"group {g + 1}", int(rng.integers(tanks)), every) for g in range(groups))
    kinds = [KINDS[int(rng.integers(len(KINDS)))] for _ in range(groups + tanks)]
    chunks = tuple(
        Chunk(StockRow(kind, females=int(rng.integers(1, 5))), owner) for owner, kind in enumerate(kinds)
    )
    apart = tuple(
        Apart((f"group {a + 1}", f"group {b + 1}"), (1 << a, 1 << b), "must not meet")
        for a, b in (rng.choice(groups, 2, replace=False) for _ in range(2))
    )
    return Room(
        title="Stonecomb club, a room made up",
        question="",
        tanks=own,
        groups=people,
        staying=tuple((kinds[groups + t], t) for t in range(tanks)),
        chunks=chunks,
        bounds=Bounds(apart=apart, most_moves=moves, **bounds),  # type: ignore[arg-type]
        run=RunSpec(),
        species=library(),
    )


@dataclass
class World:
    """What fish keep in a made-up room. Pairs do not simply add up: more fish share the chasing out."""

    room: Room
    seed: int
    placed: float = 0.13  # of an owner in a trial, whatever the tank: what is drawn, evenly within a block
    shared: float = 0.055  # the same, by chance: with it means of a block scatter as in mild-with-hot
    own: float = 0.04  # of an owner in a trial of one tank

    def __post_init__(self) -> None:
        rng = np.random.default_rng([self.seed, 1])
        many = self.room.owners
        self.ease = rng.uniform(0.75, 0.98, many)
        self.harm = rng.gamma(0.4, 0.25, (many, many))  # few pairs are bad, and those very
        self.room_for = rng.uniform(-0.05, 0.05, len(self.room.tanks))
        self.crowding = 0.002

    def truth(self, home: Home) -> np.ndarray:
        """What each of those in a tank keeps, on the mean."""
        inside = list(self.room.inside(home))
        harm = self.harm[np.ix_(inside, inside)] * (1 - np.eye(len(inside)))
        shared = 1.0 / (1.0 + 0.15 * max(len(inside) - 2, 0))  # more fish share the chasing out
        lost = harm.sum(axis=1) * shared + self.crowding * self.room.fish(home)
        return np.clip(self.ease[inside] + self.room_for[home.tank] - lost, 0.02, 0.99)

    def run(self, home: Home, trial: int) -> np.ndarray:
        """What they keep in one trial."""
        inside = list(self.room.inside(home))
        common = self._common(trial)[inside]
        key = [self.seed, 3, trial, home.tank, home.layout, home.who]
        own = np.random.default_rng(key).standard_normal(len(inside))
        mean = self.truth(home)
        room_to_move = np.minimum(mean, 1 - mean) / 0.5  # so that means are kept
        return np.asarray(mean + (common + self.own * own) * room_to_move)

    def _common(self, trial: int) -> np.ndarray:
        """What an owner has in a trial in whatever tank, [owners]."""
        block, place = divmod(trial, BLOCK)
        rng = np.random.default_rng([self.seed, 2, block])
        order = np.argsort(rng.random((self.room.owners, BLOCK)), axis=1)
        even = norm.ppf((order + rng.random(order.shape)) / BLOCK)[:, place]
        by_chance = np.random.default_rng([self.seed, 4, trial]).standard_normal(self.room.owners)
        return np.asarray(self.placed * even + self.shared * by_chance)


def searched(room: Room, world: World, taken: int | None = None) -> Search:
    """A search carried out on what is made up."""
    work = Search(room, SHARES, taken)
    for _, homes, trials in work.batches():
        for home in homes:
            for trial in trials:
                work.enter(home, trial, world.run(home, trial))
    return work


def choices_by_truth(work: Search, world: World) -> list[Choices]:
    """What each tank may hold, with what is true of it."""
    return [
        *(
            choices_of(work.room, t, homes, [world.truth(home) for home in homes])
            for t, homes in enumerate(work.homes)
        ),
        away(work.room)[1],
    ]


def best_of_all(work: Search, world: World) -> Plan:
    """The best plan by what is true."""
    found = best_plans(
        choices_by_truth(work, world),
        groups=len(work.room.groups),
        most_moves=work.most_moves,
        most_money=work.room.bounds.most_money,
    )
    best = best_of(found)
    assert best is not None
    return best


def every_plan(room: Room) -> Iterator[tuple[Home, ...]]:
    """All ways to put the groups into the tanks as they are."""
    tanks, groups = len(room.tanks), len(room.groups)
    for code in range(tanks**groups):
        at = [code // tanks**g % tanks for g in range(groups)]
        yield tuple(Home(t, 0, sum(1 << g for g in range(groups) if at[g] == t)) for t in range(tanks))


class Judged(NamedTuple):
    """What came of a made-up room whose best plan is known."""

    right: bool  # the best plan was put forward
    behind: int  # points by which what was put forward is worse than the best
    margin: float  # points by which the best plan beats every other
    error: float  # of what fresh trials say of the worst off of the plan
    run: int
    possible: int


def judged(seed: int, *, tanks: int, groups: int) -> Judged:
    """Search a room and hold what is put forward against the truth."""
    room = made_up(seed, tanks=tanks, groups=groups)
    world = World(room, seed)
    work = searched(room, world)
    best, got = best_of_all(work, world), work.finalists[0]
    more = {"groups": groups, "most_moves": work.most_moves}
    second = rivals(choices_by_truth(work, world), best, **more)[:1]
    true = np.concatenate([world.truth(home) for home in got.homes])
    rank = got.plan._replace(points=points_of(true), total=float(true.sum())).rank
    fresh = np.concatenate([work.mean(home, SHARES.fresh) for home in got.homes])
    return Judged(
        right=bool(abs(rank[1] - best.rank[1]) < 1e-9),
        behind=int(best.rank[0] - rank[0]),
        margin=best.rank[0] - (second[0].rank[0] if second else -100),
        error=float(fresh.min() - true.min()),
        run=len(work.fares),
        possible=sum(map(len, work.homes)),
    )
