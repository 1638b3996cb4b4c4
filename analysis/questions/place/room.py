"""A fish room as a keeper describes it: tanks, groups of fish that stay together, and what must not be.

Every fish of the room has one label wherever it lives, so that what is drawn of it, and the luck of a trial,
are the same in every tank it is tried in: each scenario holds the whole room's stock, all but its own fish
left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from ....sim.rules.support.rule_set import Rules
from ....sim.scenario.changes import restocked
from ....sim.scenario.scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from ....sim.scenario.stock import by_row
from ....sim.species.species import Species
from ...document.plain import called

NEW_DAY = 0.5  # lit days after the others on which fish that were moved go in (assumption)


class Home(NamedTuple):
    """A tank, one of its layouts, and the groups in it beside those who stay, a bit of ``who`` each."""

    tank: int
    layout: int
    who: int


@dataclass(frozen=True)
class Layout:
    """The rock of a tank, or other rock that the keeper could lay; ``costs`` in the keeper's money."""

    name: str
    rock: RockSpec
    costs: int = 0


@dataclass(frozen=True)
class RoomTank:
    """One tank of the room; its first layout is the one it has."""

    name: str
    spec: TankSpec
    layouts: tuple[Layout, ...]
    most_fish: int
    may_be_empty: bool
    parameters: Mapping[str, float]
    line: int | None = None


@dataclass(frozen=True)
class Group:
    """Fish that stay together.

    Attributes
    ----------
    now : number of the tank they are in; None: they are in none.
    may_go : numbers of the tanks they may be in.
    must_leave : the tank they are in is no place for them.
    price : what it costs to buy them; None: they are the keeper's, and need a tank.
    gives : what giving them away brings; None: they are not given away.
    """

    name: str
    now: int | None
    may_go: frozenset[int]
    must_leave: bool = False
    price: int | None = None
    gives: int | None = None
    line: int | None = None

    @property
    def is_wish(self) -> bool:
        """Whether they may be bought."""
        return self.price is not None


@dataclass(frozen=True)
class Apart:
    """Names of groups or species no two of which share a tank, and why."""

    names: tuple[str, ...]
    groups: tuple[int, ...]  # by each name: a bit for each owner that it means
    why: str
    line: int | None = None


@dataclass(frozen=True)
class Bounds:
    """What must not be, in every tank or in the whole room."""

    apart: tuple[Apart, ...] = ()
    no_hybrids: bool = False  # no two species of one genus in a tank
    a_male: bool = False  # females of a species with a male of it
    most_moves: int = 3
    most_money: int | None = None
    lines: Mapping[str, int | None] | None = None  # of each of these in the file


class Chunk(NamedTuple):
    """Fish of one sex described alike, of one owner: a group, or the fish of a tank that stay."""

    row: StockRow
    owner: int


@dataclass(frozen=True)
class Room:
    """Everything that is asked, checked.

    Attributes
    ----------
    chunks : all fish, in an order that never changes.
    staying : species and tank of those who stay, the owners after the groups.
    """

    title: str
    question: str
    tanks: tuple[RoomTank, ...]
    groups: tuple[Group, ...]
    staying: tuple[tuple[str, int], ...]
    chunks: tuple[Chunk, ...]
    bounds: Bounds
    run: RunSpec
    species: Mapping[str, Species]
    text: str = ""
    files: tuple[tuple[str, Scenario], ...] = ()  # those of tanks that stand in files of their own
    rules: Rules | None = None  # instead of the project's; no file sets it

    @property
    def owners(self) -> int:
        """How many groups and kinds of staying fish there are."""
        return len(self.groups) + len(self.staying)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """What each owner is called; those who stay are said beside their tank."""
        return (*(one.name for one in self.groups), *(self._stay(*one) for one in self.staying))

    def _stay(self, key: str, tank: int) -> str:
        here = [k for k, one in enumerate(self.groups) if one.now == tank and key in self.kinds[k]]
        return f"the {'other ' if here else ''}{called(key, key)}"

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        """How many fish each owner has."""
        found = [0] * self.owners
        for row, owner in self.chunks:
            found[owner] += row.males + row.females + row.unsexed
        return tuple(found)

    @cached_property
    def kinds(self) -> tuple[frozenset[str], ...]:
        """The species of each owner."""
        return tuple(
            frozenset(row.species for row, owner in self.chunks if owner == k) for k in range(self.owners)
        )

    @cached_property
    def labels(self) -> tuple[tuple[str, ...], ...]:
        """The labels of each owner's fish."""
        found: list[list[str]] = [[] for _ in range(self.owners)]
        rows = by_row([chunk.row for chunk in self.chunks])
        for chunk, people in zip(self.chunks, rows, strict=True):
            found[chunk.owner] += [one.label for one in people]
        return tuple(map(tuple, found))

    @cached_property
    def now(self) -> tuple[Home, ...]:
        """Where everybody is, tank by tank."""
        return tuple(
            Home(t, 0, sum(1 << g for g, one in enumerate(self.groups) if one.now == t))
            for t in range(len(self.tanks))
        )

    def inside(self, home: Home) -> tuple[int, ...]:
        """The owners in a tank: its groups, then those who stay."""
        stay = (len(self.groups) + k for k, (_, tank) in enumerate(self.staying) if tank == home.tank)
        return (*self.groups_in(home), *stay)

    def groups_in(self, home: Home) -> tuple[int, ...]:
        """The groups in a tank."""
        return tuple(members(home.who))

    def fish(self, home: Home) -> int:
        """How many fish there are in a tank."""
        return sum(self.sizes[k] for k in self.inside(home))

    def scenario(self, home: Home, dates: Mapping[int, float] | None = None) -> Scenario | None:
        """The tank with these fish; those that were not there come in later. None: it is empty.

        ``dates``: on which day each owner is moved, into this tank or out of it; NEW_DAY for those who come
        and the end without it.
        """
        inside, new = set(self.inside(home)), home.who & ~self.now[home.tank].who
        if not inside:
            return None
        gone = set(members(self.now[home.tank].who & ~home.who)) if dates is not None else set()
        days = dates or {}
        people = by_row([chunk.row for chunk in self.chunks])
        rows = []
        for (row, owner), own in zip(self.chunks, people, strict=True):
            if owner in gone:
                rows.append(replace(row, out_day=days[owner]))
            elif owner not in inside:
                rows.append(replace(row, left_out=tuple(one.name for one in own)))
            else:
                moved = owner < len(self.groups) and new >> owner & 1
                rows.append(replace(row, day=days.get(owner, NEW_DAY)) if moved else row)
        tank = self.tanks[home.tank]
        there = [chunk.owner in inside | gone for chunk in self.chunks]
        first = min(row.day for row, here in zip(rows, there, strict=True) if here)
        # an empty tank: nobody is there before those who come first
        rows = [
            replace(row, day=row.day - first) if here else row for row, here in zip(rows, there, strict=True)
        ]
        bare = Scenario(
            title=f"{self.title}: {tank.name}",
            question=self.question,
            tank=tank.spec,
            rock=tank.layouts[home.layout].rock,
            stock=(),
            run=self.run,
            species=self.species,
            parameters=tank.parameters,
            rules=self.rules or Rules(),
        )
        return restocked(bare, tuple(rows))


def members(who: int) -> Iterator[int]:
    """The numbers whose bits are set."""
    k = 0
    while who:
        if who & 1:
            yield k
        who, k = who >> 1, k + 1
