"""The [limits] of a room, and whom a group must not meet."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from ....sim.scenario.hints import hint_at
from ....sim.scenario.reading.kinds import Names
from ....sim.scenario.reading.limits import Limit
from ....sim.scenario.reading.problems import OwnWords, show
from ....sim.scenario.reading.tables import Table
from .room import Apart, Bounds, Room

MOVES = Limit(0, 60, "whole")
MONEY = Limit(0, 1_000_000, "whole")
MOST_APART = 200
KEPT_APART = "are to be kept apart"
WOULD_CROSS = "would cross"


def read_bounds(table: Table, room: Room, names: Names, *, good: bool) -> Bounds:
    """What must not be; ``good``: tanks and groups were read without a problem, else it is not known whom
    a name means, and only names of nobody are told.
    """
    own = table.table("limits")
    written = None if good else [str(row.raw("name")) for row in table.rows("group")]
    apart = [
        one
        for key, why in (("apart", KEPT_APART), ("forms", WOULD_CROSS))
        for one in _lists(own, key, why, room, names, written)
    ]
    apart += _not_with(table, room, names, written)
    most = _whole(own, "most_moves", MOVES)
    bounds = Bounds(
        apart=tuple(apart),
        no_hybrids=_yes(own, "no_hybrids"),
        a_male=_yes(own, "a_male"),
        most_moves=Bounds.most_moves if most is None else most,
        most_money=_whole(own, "most_money", MONEY),
        lines={key: own.book.line((*own.at, key)) for key in own.values},
    )
    own.close()
    return bounds


def _lists(
    own: Table, key: str, why: str, room: Room, names: Names, written: Sequence[str] | None
) -> Iterator[Apart]:
    """Lists of groups or species."""
    value = own.raw(key)
    if value is None:
        return
    such = 'lists of groups or species: [["the trio", "Petrochromis trewavasae"]]'
    if not isinstance(value, list) or len(value) > MOST_APART:
        own.problem(key, allowed=such)
        return
    for k, one in enumerate(value):
        if not isinstance(one, list) or len(one) < 2 or not all(isinstance(name, str) for name in one):
            own.book.add((*own.at, key, k), found=one, allowed=such)
        elif written is not None:
            _tell_nobody(own, (key, k), one, written, names)
        else:
            yield from _held(own, (key, k), one, why, room, names)


def _not_with(table: Table, room: Room, names: Names, written: Sequence[str] | None) -> Iterator[Apart]:
    """Whom each group must not meet."""
    for row, group in zip(table.rows("group"), room.groups, strict=False):
        value = row.raw("not_with")
        asked = [value] if isinstance(value, str) else value
        if asked is None:
            continue
        if not isinstance(asked, list) or not all(isinstance(name, str) for name in asked):
            row.problem("not_with", allowed="the name of a group or species, or a list of them")
        elif written is not None:
            _tell_nobody(row, ("not_with",), asked, written, names)
        else:
            for name in asked:
                yield from _held(row, ("not_with",), [group.name, name], "must not meet", room, names)


def _tell_nobody(
    own: Table, key: tuple[str | int, ...], asked: Sequence[str], written: Sequence[str], names: Names
) -> None:
    """Names that are of no group as the file has it, and of no species."""
    known = {name.casefold() for name in written}
    for name in (" ".join(one.split()) for one in asked):
        if name.casefold() not in known and names.resolve(name) is None:
            allowed = f"a group or a species of the room: {', '.join(written)}"
            own.book.add((*own.at, *key), found=name, allowed=allowed, nearest=hint_at(name, written))


def _held(
    own: Table, key: tuple[str | int, ...], asked: Sequence[str], why: str, room: Room, names: Names
) -> Iterator[Apart]:
    """One list with whom each of its names means."""
    place, said = (*own.at, *key), [" ".join(name.split()) for name in asked]
    groups = [_group(name, room) for name in said]
    beside = ~sum(groups)  # "the trio" and its species: the others of that species
    found = [
        group or _of_species(name, room, names) & beside for group, name in zip(groups, said, strict=True)
    ]
    for name, who in zip(said, found, strict=True):
        if not who:
            there = [*(one.name for one in room.groups), *room.species]
            allowed = f"a group or a species of the room: {', '.join(there)}"
            short = [
                called for one in room.species.values() for called in (*one.common, one.key.split(" ")[-1])
            ]
            own.book.add(place, found=name, allowed=allowed, nearest=hint_at(name, [*there, *short]))
    for i, j in itertools.combinations(range(len(found)), 2):
        if both := found[i] & found[j]:
            name = room.names[(both & -both).bit_length() - 1]
            text = f"{name} is {show(said[i])} and {show(said[j])}, which {why}"
            own.book.add(place, found=OwnWords(text), allowed="names that mean different fish")
            return
    if all(found):
        yield Apart(tuple(said), tuple(found), why, own.book.line(place))


def _group(name: str, room: Room) -> int:
    """The group of a name, as a bit; 0 where it is none."""
    return sum(1 << k for k, one in enumerate(room.groups) if one.name.casefold() == name.casefold())


def _of_species(name: str, room: Room, names: Names) -> int:
    """The owners with fish of a species, a bit for each."""
    key = names.resolve(name)
    return sum(1 << k for k, kinds in enumerate(room.kinds) if key in kinds)


def _yes(own: Table, key: str) -> bool:
    value = own.raw(key)
    if value is not None and not isinstance(value, bool):
        own.problem(key, allowed="true or false")
    return value is True


def _whole(own: Table, key: str, limit: Limit) -> int | None:
    value = own.raw(key)
    if value is None:
        return None
    if isinstance(value, int) and not isinstance(value, bool) and limit.holds(value):
        return value
    own.problem(key, allowed=limit.say())
    return None
