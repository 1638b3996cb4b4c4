"""What may be in a tank: each limit of a room, held against a tank and the groups in it."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from ...document.plain import listed
from .room import Home, Room

MOVES, MONEY = "most_moves", "most_money"  # limits of the room as a whole


@dataclass(frozen=True)
class Rule:
    """One thing that must not be in a tank.

    Attributes
    ----------
    says : it in plain words.
    breaks : whether a tank with these owners, bits of a number, breaks it.
    lasting : it holds at every moment of moving too, and not only at the end.
    """

    says: str
    line: int | None
    breaks: Callable[[Home, int], bool]
    lasting: bool = True


class Allowed:
    """The limits of a room, each by its place in ``rules``."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.stay = [sum(1 << k for k in room.inside(Home(t, 0, 0))) for t in range(len(room.tanks))]

    def owners(self, home: Home) -> int:
        """Everybody in a tank, those who stay as well, a bit each."""
        return home.who | self.stay[home.tank]

    def broken(self, home: Home, *, moving: bool = False) -> frozenset[int]:
        """The rules that a tank breaks; ``moving``: while fish are being moved."""
        who = self.owners(home)
        return frozenset(
            k for k, rule in enumerate(self.rules) if (rule.lasting or not moving) and rule.breaks(home, who)
        )

    @cached_property
    def rules(self) -> tuple[Rule, ...]:
        """Every limit that the room has."""
        return (
            *self._of_groups(),
            *self._of_tanks(),
            *self._apart(),
            *self._hybrids(),
            *self._males(),
        )

    def _of_groups(self) -> Iterator[Rule]:
        room = self.room
        every = frozenset(range(len(room.tanks)))
        for g, one in enumerate(room.groups):
            bit = 1 << g
            if one.must_leave:
                says = f'"{one.name}" must come out of {room.tanks[one.now or 0].name}'
                yield Rule(says, one.line, _in_tank(bit, frozenset([one.now or 0])), lasting=False)
            if one.may_go != every:
                places = listed([room.tanks[t].name for t in sorted(one.may_go)])
                yield Rule(
                    f'"{one.name}" may only be in {places}', one.line, _in_tank(bit, every - one.may_go)
                )
            if small := frozenset(t for t in every if not self._fits(g, t)):
                names = listed([room.tanks[t].name for t in sorted(small)])
                says = f'"{one.name}" may grow longer than {names}'
                yield Rule(says, one.line, _in_tank(bit, small))

    def _fits(self, group: int, tank: int) -> bool:
        """Whether every fish of a group is, or can become, no longer than the tank."""
        long = self.room.tanks[tank].spec.length_cm
        for row, owner in self.room.chunks:
            if owner == group:
                traits = self.room.species[row.species].traits
                names = {"length_max_male_cm", "length_max_female_cm"} & traits.keys()
                grown = max((traits[name].high for name in names), default=0.0)
                if (grown if row.length_cm is None else row.length_cm[1]) >= long:
                    return False
        return True

    def _of_tanks(self) -> Iterator[Rule]:
        sizes = self.room.sizes
        for t, one in enumerate(self.room.tanks):

            def too_full(home: Home, who: int, t: int = t, most: int = one.most_fish) -> bool:
                return home.tank == t and sum(sizes[k] for k in _bits(who)) > most

            def empty(home: Home, who: int, t: int = t) -> bool:
                return home.tank == t and not who

            yield Rule(f"at most {one.most_fish} fish in {one.name}", one.line, too_full)
            if not one.may_be_empty:
                yield Rule(f"{one.name} must not be empty", one.line, empty, lasting=False)

    def _apart(self) -> Iterator[Rule]:
        for one in self.room.bounds.apart:
            for i, j in itertools.combinations(range(len(one.groups)), 2):
                says = f"{one.names[i]} and {one.names[j]} {one.why}"
                yield Rule(says, one.line, _together(one.groups[i], one.groups[j]))

    def _hybrids(self) -> Iterator[Rule]:
        bounds, room = self.room.bounds, self.room
        if not bounds.no_hybrids:
            return
        of: dict[str, dict[str, int]] = {}
        for k, kinds in enumerate(room.kinds):
            for key in kinds:
                genus = of.setdefault(key.split(" ")[0], {})
                genus[key] = genus.get(key, 0) | 1 << k
        line = (bounds.lines or {}).get("no_hybrids")
        for kinds_of in of.values():
            for one, other in itertools.combinations(kinds_of, 2):
                says = f"{one} and {other} would cross (one genus)"
                yield Rule(says, line, _together(kinds_of[one], kinds_of[other]))

    def _males(self) -> Iterator[Rule]:
        bounds, room = self.room.bounds, self.room
        if not bounds.a_male:
            return
        line = (bounds.lines or {}).get("a_male")
        for key in room.species:
            her, his = 0, 0
            for row, owner in room.chunks:
                if row.species == key:
                    her |= (1 << owner) if row.females else 0
                    his |= (1 << owner) if row.males or row.unsexed else 0

            def alone(home: Home, who: int, her: int = her, his: int = his) -> bool:
                return bool(who & her) and not who & his

            if her:
                says = f"females of {key} need a male of theirs in the tank"
                yield Rule(says, line, alone, lasting=False)


def _in_tank(bit: int, tanks: frozenset[int]) -> Callable[[Home, int], bool]:
    return lambda home, _: bool(home.who & bit) and home.tank in tanks


def _together(one: int, other: int) -> Callable[[Home, int], bool]:
    """Two different owners, one of each of two sets, or a single owner that is of both."""
    return lambda _, who: bool(who & one) and bool(who & other)


def _bits(who: int) -> Iterator[int]:
    while who:
        low = who & -who
        yield low.bit_length() - 1
        who ^= low
