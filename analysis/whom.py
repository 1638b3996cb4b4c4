"""Whom a keeper means: one fish, those described like it, a sex of a species, or a species.

Fish that the stock list describes alike (same species and sex, lengths, days, holding or not) are the same to
the model: who of them turns out large or bold is drawn anew in every trial. So what is worked out for one
of them is the mean over all of them, which says the same thing more precisely.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..sim.population import Individual, individuals, measured_fish
from ..sim.random_numbers import stream_key
from ..sim.reading.problems import nearest, show
from ..sim.scenario import Scenario
from ..sim.species import find

_FISH = re.compile(
    r"(?:(?P<species>.+?)\s+)?(?P<sex>male|female|unsexed)s?(?:\s+(?P<number>\d+))?", re.IGNORECASE
)


@dataclass(frozen=True)
class Kind:
    """Fish that the stock list describes alike."""

    name: str  # "Tropheus duboisi females"
    species: str
    labels: tuple[str, ...]


@dataclass(frozen=True)
class Whom:
    """The fish that a change is to help; figures are their means."""

    name: str
    labels: tuple[str, ...]
    species: str
    why: str

    def one(self, trial: int) -> str:
        """The one of them whose chief chaser is taken out in a trial: picked by the number alone.

        A fish picked because it did badly in that very trial would seem to gain by any change.
        """
        return self.labels[stream_key("whose chief chaser", trial) % len(self.labels)]


class WhomError(ValueError):
    """No such fish; the message says what was found, what is allowed and what is nearest."""


def kinds_of(scenario: Scenario) -> tuple[Kind, ...]:
    """All fish of a scenario by how they are described, in the order of the stock list."""
    alike: dict[tuple[object, ...], list[Individual]] = {}
    for one in individuals(scenario.stock):
        row = one.row
        key = (one.species, one.sex, one.holding, row.length_cm, row.day, row.out_day)
        alike.setdefault(key, []).append(one)
    groups = list(alike.values())
    return tuple(
        Kind(_named(group, groups), group[0].species, tuple(one.label for one in group)) for group in groups
    )


def kind_of(kinds: Iterable[Kind], label: str) -> Kind:
    """The kind that a fish belongs to; raises KeyError when it belongs to none."""
    for kind in kinds:
        if label in kind.labels:
            return kind
    raise KeyError(label)


def whom_of(kind: Kind, *, why: str) -> Whom:
    """All fish of a kind."""
    return Whom(kind.name, kind.labels, kind.species, why)


@dataclass(frozen=True)
class Said:
    """What a keeper's words for fish mean: a species, perhaps one sex of it, perhaps one fish of that."""

    species: str
    people: tuple[Individual, ...]  # all that are meant
    sex: str = ""  # of the stock list: "male", "female", "unsexed"
    number: int | None = None

    @property
    def name(self) -> str:
        """Such as "Tropheus duboisi", "Tropheus duboisi females" or "Tropheus duboisi female 2"."""
        if self.number is not None:
            return self.people[0].label
        return f"{self.species} {_plural(self.people)}" if self.sex else self.species


def said_of(scenario: Scenario, text: str) -> Said:
    """Read "Tropheus duboisi female 2", "duboisi females" or "Tropheus duboisi".

    In a tank of one species "male 1" is enough.

    Raises
    ------
    WhomError
        When it is not in the stock.
    """
    stocked = {key: scenario.species[key] for key in dict.fromkeys(row.species for row in scenario.stock)}
    people = individuals(scenario.stock)
    whole = find(text, among=stocked)
    if whole is not None:
        return Said(whole.key, tuple(one for one in people if one.species == whole.key))
    said = _FISH.fullmatch(text.strip())
    species = _species_said(said["species"] if said else None, scenario)
    if said is None or species is None:
        names = [name for one in stocked.values() for name in (one.key, *one.common, one.key.split(" ")[-1])]
        raise _refused(text, f"a fish or a species of this tank: {_ranges(people)}", names)
    sex = said["sex"].lower()
    of_sex = tuple(one for one in people if one.species == species and one.sex == sex)
    if said["number"] is None and of_sex:
        return Said(species, of_sex, sex)
    number = int(said["number"] or 0)
    the_one = tuple(one for one in of_sex if one.number == number)
    if not the_one:
        there = [one for one in people if one.species == species]
        allowed = f"a fish of {species} that is there: {_ranges(there)}"
        raise _refused(text, allowed, [one.label for one in there])
    return Said(species, the_one, sex, number)


def asked_for(scenario: Scenario, text: str) -> Whom:
    """The fish that a keeper names; of a single fish all that are described like it.

    Raises
    ------
    WhomError
        When it is not in the stock; see :func:`said_of`.
    """
    said = said_of(scenario, text)
    if said.number is not None:
        return whom_of(kind_of(kinds_of(scenario), said.people[0].label), why="as you asked")
    return Whom(said.name, tuple(one.label for one in said.people), said.species, "as you asked")


def check_stays(scenario: Scenario, whom: Whom) -> None:
    """Refuse fish that are all taken out before anything is measured.

    Raises
    ------
    WhomError
    """
    there = measured_fish(scenario.stock, scenario.rock, scenario.run)
    if not any(one.label in whom.labels for one in there):
        measured = scenario.last_change_day + scenario.run.settle_days
        raise WhomError(f"{whom.name}: all out before day {measured:g}, when measuring begins")


def _species_said(text: str | None, scenario: Scenario) -> str | None:
    stocked = {row.species: scenario.species[row.species] for row in scenario.stock}
    if text is None:
        return next(iter(stocked)) if len(stocked) == 1 else None
    found = find(text, among=stocked)
    return None if found is None else found.key


def _refused(text: str, allowed: str, names: Sequence[str]) -> WhomError:
    near = nearest(text, names)
    return WhomError(f"found {show(text)}; allowed: {allowed}" + (f"; nearest: {near}" if near else ""))


def _ranges(people: Iterable[Individual]) -> str:
    """``"Tropheus duboisi male 1 to 2, Tropheus duboisi female 1 to 4"``."""
    numbers: dict[tuple[str, str], list[int]] = {}
    for one in people:
        numbers.setdefault((one.species, one.sex), []).append(one.number)
    return ", ".join(
        f"{species} {sex} {min(those)}" + (f" to {max(those)}" if len(those) > 1 else "")
        for (species, sex), those in numbers.items()
    )


def _plural(fish: Sequence[Individual]) -> str:
    sex = fish[0].sex
    if sex == "unsexed":
        return "unsexed fish"
    return sex if len(fish) == 1 else f"{sex}s"


def _named(group: Sequence[Individual], groups: Sequence[Sequence[Individual]]) -> str:
    """Species and sex, and what sets these apart from others of the same."""
    first = group[0]
    name = f"{first.species} {_plural(group)}"
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
    if any(other.row.day != first.row.day for other in others):
        marks.append(f"in on day {first.row.day:g}")
    if any(other.row.out_day != first.row.out_day for other in others):
        out = first.row.out_day
        marks.append("staying" if out is None else f"out on day {out:g}")
    return f"{name} ({', '.join(marks)})" if marks else name


def _length(length: tuple[float, float]) -> str:
    low, high = length
    return f"{low:g} cm" if low == high else f"{low:g} to {high:g} cm"
