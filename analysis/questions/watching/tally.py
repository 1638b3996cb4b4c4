"""A tally: what somebody wrote down in one or several watches of a real tank."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Who:
    """Fish that a cell of a tally names: one fish, a sex of a species, a species, or some fish unknown."""

    name: str  # "Tropheus duboisi male 1"; "a fish not made out"
    labels: frozenset[str]  # all that may be meant

    @property
    def is_one(self) -> bool:
        return len(self.labels) == 1


@dataclass(frozen=True)
class Watch:
    """One sitting."""

    name: str
    minutes: float
    watched: Who | None = None  # None: the whole tank
    date: str = ""  # as written
    start: str = ""
    note: str = ""
    acts: bool = True  # acts were to be noted
    places: bool = True  # places were
    hour: float | None = None  # hours since the light came on, when it began; None: not noted

    def covers(self, labels: frozenset[str]) -> bool:
        """Whether every act of these fish was to be noted."""
        return self.acts and (self.watched is None or labels <= self.watched.labels)


@dataclass(frozen=True)
class Acts:
    """So many acts of one fish towards another in a watch."""

    watch: str
    act: str  # of ethogram.ACTS
    chaser: Who
    chased: Who
    count: int
    minute: float | None = None  # of the watch


@dataclass(frozen=True)
class Look:
    """Where a fish, or so many of several, were at a moment of a watch."""

    watch: str
    minute: float
    fish: Who
    count: int
    place: str  # of ethogram.EVERY_PLACE
    side: str = ""  # of ethogram.SIDES; "" not noted


@dataclass(frozen=True)
class Tally:
    """Everything in a file, in the order of its rows."""

    name: str
    watches: tuple[Watch, ...]
    acts: tuple[Acts, ...]
    looks: tuple[Look, ...]

    @property
    def minutes(self) -> float:
        return sum(one.minutes for one in self.watches)

    @property
    def of_acts(self) -> tuple[Watch, ...]:
        """The watches in which acts were to be noted."""
        return tuple(one for one in self.watches if one.acts)

    def count(self, act: str) -> int:
        """How many acts of a kind were noted in all."""
        return sum(one.count for one in self.acts if one.act == act)
