"""Whom a keeper means: one fish, those described like it, a sex of a species, or a species.

Fish that the stock list describes alike (same species and sex, lengths, days, holding or not) are the same to
the model: who of them turns out large or bold is drawn anew in every trial. So what is worked out for one
of them is the mean over all of them, which says the same thing more precisely.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...sim.fish.population import Individual, individuals
from ...sim.rules.support.random_numbers import stream_key
from ...sim.scenario.reading.named import NamedFish as NamedFish
from ...sim.scenario.reading.named import NobodyError as FishGroupError
from ...sim.scenario.reading.named import fish_said, plural
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.timeline import Stay
from ...sim.scenario.timeline.again import FEW


@dataclass(frozen=True)
class Kind:
    """Fish that the stock list describes alike."""

    name: str  # "Tropheus duboisi females"
    species: str
    labels: tuple[str, ...]


@dataclass(frozen=True)
class FishGroup:
    """The fish that a change is to help; figures are their means."""

    name: str
    labels: tuple[str, ...]
    species: str
    why: str
    beside: str = ""  # that the file watches another species, where nobody asked for these; a sentence

    def one(self, trial: int) -> str:
        """The one of them whose chief chaser is taken out in a trial: picked by the number alone.

        A fish picked because it did badly in that very trial would seem to gain by any change.
        """
        return self.labels[stream_key("whose chief chaser", trial) % len(self.labels)]


def kinds_of(scenario: Scenario) -> tuple[Kind, ...]:
    """All fish of a scenario by how they are described, in the order of the stock list."""
    stays = scenario.timeline.stays
    alike: dict[tuple[object, ...], list[Individual]] = {}
    for one in individuals(scenario.stock):
        key = (one.species, one.sex, one.holding, one.row.length_cm, stays[one.label])
        alike.setdefault(key, []).append(one)
    groups = list(alike.values())
    return tuple(
        Kind(_named(group, groups, stays), group[0].species, tuple(one.label for one in group))
        for group in groups
    )


def kind_of(kinds: Iterable[Kind], label: str) -> Kind:
    """The kind that a fish belongs to; raises KeyError when it belongs to none."""
    for kind in kinds:
        if label in kind.labels:
            return kind
    raise KeyError(label)


def whom_of(kind: Kind, *, why: str, beside: str = "") -> FishGroup:
    """All fish of a kind."""
    return FishGroup(kind.name, kind.labels, kind.species, why, beside)


def said_of(scenario: Scenario, text: str) -> NamedFish:
    """Read "Tropheus duboisi female 2", "duboisi females" or "Tropheus duboisi".

    In a tank of one species "male 1" is enough.

    Raises
    ------
    FishGroupError
        When it is not in the stock.
    """
    return fish_said(text, stock=scenario.stock, species=scenario.species)


def asked_for(scenario: Scenario, text: str) -> FishGroup:
    """The fish that a keeper names; of a single fish all that are described like it.

    Raises
    ------
    FishGroupError
        When it is not in the stock; see :func:`said_of`.
    """
    said = said_of(scenario, text)
    if said.number is not None:
        return whom_of(kind_of(kinds_of(scenario), said.people[0].label), why="as you asked")
    return FishGroup(said.name, tuple(one.label for one in said.people), said.species, "as you asked")


def check_stays(scenario: Scenario, whom: FishGroup) -> None:
    """Refuse fish that are all taken out before anything is measured.

    Raises
    ------
    FishGroupError
    """
    if not scenario.measured_fish & set(whom.labels):
        begins = scenario.measured_days[0]
        found = f"{whom.name}, all out before day {begins:g}, when measuring begins"
        raise FishGroupError(found, "fish that are there when measuring begins", "")


def _named(
    group: Sequence[Individual], groups: Sequence[Sequence[Individual]], stays: Mapping[str, tuple[Stay, ...]]
) -> str:
    """Species and sex, and what sets these apart from others of the same."""
    first = group[0]
    name = f"{first.species} {plural(group)}"
    others = [
        other[0]
        for other in groups
        if other is not group and (other[0].species, other[0].sex) == (first.species, first.sex)
    ]
    marks = []
    if any(other.holding != first.holding for other in others):
        marks.append("holding" if first.holding else "not holding")
    if any(other.row.length_cm != first.row.length_cm for other in others):
        length = first.row.length_cm
        marks.append("length not given" if length is None else _length(length))
    mine, theirs = stays[first.label], [stays[other.label] for other in others]
    if any(other[0][0] != mine[0][0] for other in theirs):
        marks.append(f"in on day {mine[0][0]:g}")
    if any(_later(other) != _later(mine) for other in theirs):
        marks.append(" and ".join(_later(mine)) or "staying")
    return f"{name} ({', '.join(marks)})" if marks else name


def _later(stays: tuple[Stay, ...]) -> list[str]:
    """When a fish is taken out and put back, after it came in."""
    if len(stays) > FEW + 1:
        outs = [last for _, last in stays if not math.isinf(last)]
        return [f"out {len(outs)} times from day {outs[0]:g} on"]
    said: list[str] = []
    for k, (first, last) in enumerate(stays):
        said += [f"back on day {first:g}"] if k else []
        said += [] if math.isinf(last) else [f"out on day {last:g}"]
    return said


def _length(length: tuple[float, float]) -> str:
    low, high = length
    return f"{low:g} cm" if low == high else f"{low:g} to {high:g} cm"
