"""Whom a question is about, from a keeper's words: a species of the stock, a sex of it, one fish."""

from __future__ import annotations

from ...sim.scenario.hints import hint_at
from ...sim.scenario.reading.problems import show
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.stock import individuals
from ...sim.species.names import find
from .groups import Group
from .whom import FishGroup, FishGroupError, asked_for, check_stays, said_of


def species_asked(scenario: Scenario, asked: str) -> str:
    """Key of a stocked species by any of its names.

    Raises
    ------
    FishGroupError
        When it is not in the stock.
    """
    stocked = {row.species: scenario.species[row.species] for row in scenario.stock}
    found = find(asked, among=stocked)
    if found is None:
        names = [name for one in stocked.values() for name in (one.key, *one.common)]
        raise FishGroupError(
            show(asked), f"a species of this tank: {', '.join(stocked)}", hint_at(asked, names)
        )
    return found.key


def species_whom(scenario: Scenario, asked: str) -> FishGroup:
    """All fish of a stocked species by any of its names; raises as :func:`species_asked`."""
    key = species_asked(scenario, asked)
    labels = tuple(one.label for one in individuals(scenario.stock) if one.species == key)
    return FishGroup(key, labels, key, "as you asked")


def group_asked(scenario: Scenario, asked: str | None) -> Group | None:
    """The fish, sex or species asked for; None when None.

    Raises
    ------
    FishGroupError
        When there is none such in the tank while it is measured.
    """
    if asked is None:
        return None
    said = said_of(scenario, asked)
    if said.sex == "unsexed" and said.number is None:
        raise FishGroupError(
            f"{said.name}, whose sex is drawn anew for each simulated tank",
            f"{said.species}, its males or females, or one fish such as {said.people[0].label}",
        )
    group = Group(species=said.species, sex=said.sex)
    if said.number is not None:
        group = Group(label=said.name, species=said.species)
    if not is_there(scenario, group):
        raise FishGroupError(
            f"{group.name}, out of the tank before measuring begins",
            "fish that are there in the measured time",
        )
    return group


def whom_asked(scenario: Scenario, asked: str | None) -> FishGroup | None:
    """The fish asked for, of one fish all that are described like it; None when None.

    Raises
    ------
    FishGroupError
        When there is none such in the tank while it is measured.
    """
    if asked is None:
        return None
    whom = asked_for(scenario, asked)
    check_stays(scenario, whom)
    return whom


def is_there(scenario: Scenario, group: Group) -> bool:
    """Whether any fish of a group is in the tank in the measured time."""
    there = scenario.measured_fish
    return any(
        group.label in ("", one.label)
        and (not group.labels or one.label in group.labels)
        and group.species in ("", one.species)
        and (group.sex in ("", one.sex) or one.sex == "unsexed")
        and one.label in there
        for one in individuals(scenario.stock)
    )
