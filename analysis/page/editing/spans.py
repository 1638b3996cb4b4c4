"""Where every key and value of a TOML text stands, and values at a place of what it says."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from ....sim.scenario.reading.lines import Scanner
from ....sim.scenario.reading.problems import Place


@dataclass(frozen=True)
class Part:
    """A key with its value, or an item of a list: places in the text."""

    place: Place
    start: int  # of the key; of the value in a list
    value: int
    end: int  # behind the value


@dataclass
class Block:
    """The lines below one header, or those above the first."""

    place: Place
    start: int  # of the header
    body: int  # of the first line below it
    pairs: list[Part] = field(default_factory=list)  # that stand on lines of their own

    def keys(self, pair: Part) -> Place:
        """The key of a pair as written, ("tank", "length") where it is dotted."""
        return pair.place[len(self.place) :]


class Spans(Scanner):
    """Where every key and value of a TOML text begins and ends."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.blocks = [Block((), 0, 0)]
        self.parts: dict[Place, Part] = {}
        self.last: Part | None = None
        self.depth = 0

    def header(self) -> Place:
        start = self.at
        place = super().header()
        line_end = self.text.find("\n", self.at)
        self.blocks.append(Block(place, start, len(self.text) if line_end < 0 else line_end + 1))
        return place

    def pair(self, table: Place) -> None:
        start, self.depth = self.at, self.depth + 1
        super().pair(table)
        self.depth -= 1
        assert self.last is not None, "the text has passed tomllib"
        whole = Part(self.last.place, start, self.last.value, self.last.end)
        self.parts[whole.place] = self.last = whole
        if self.depth == 0:
            self.blocks[-1].pairs.append(whole)

    def value(self, place: Place) -> None:
        start, self.depth = self.at, self.depth + 1
        super().value(place)
        self.depth -= 1
        end = start + len(self.text[start : self.at].rstrip())
        self.parts[place] = self.last = Part(place, start, start, end)


def holds(outer: Part, inner: Part) -> bool:
    """Whether one value lies within another."""
    return outer is not inner and outer.value < inner.start and inner.end < outer.end


def value_at(values: Any, place: Place) -> Any:
    for part in place:
        if isinstance(part, str) and isinstance(values, Mapping):
            values = values.get(part)
        elif isinstance(part, int) and isinstance(values, list) and 0 <= part < len(values):
            values = values[part]
        else:
            return None
    return values


def set_at(values: Any, place: Place, value: object) -> None:
    for part in place[:-1]:
        values = values.setdefault(part, {}) if isinstance(part, str) else values[part]
    values[place[-1]] = deepcopy(value)


def drop_at(values: Any, place: Place) -> None:
    above = value_at(values, place[:-1])
    del above[place[-1]]


def same(one: Any, other: Any) -> bool:
    """Whether two values say the same; nan is nan, and numbers may be shortened."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[name], other[name]) for name in one)
    if isinstance(one, list) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        if isinstance(one, bool) or isinstance(other, bool):
            return False
        numbers = isinstance(one, int | float) and isinstance(other, int | float)
        return numbers and (
            one == other or (one != one and other != other) or abs(one - other) <= 1e-11 * abs(one)
        )
    return type(one) is type(other) and bool(one == other)
