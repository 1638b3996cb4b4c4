"""Whom an option means: a species of the stock, a sex of it, one fish."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .errors import RefusedError

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..measures.groups import Group
    from ..measures.whom import FishGroup


def species_of(scenario: Scenario, asked: str, *, option: str) -> str:
    """Key of a stocked species by any of its names.

    Raises
    ------
    RefusedError
        When it is not in the stock.
    """
    from ...sim.scenario.reading.problems import nearest, show
    from ...sim.species.species import find as find_species

    stocked = {row.species: scenario.species[row.species] for row in scenario.stock}
    found = find_species(asked, among=stocked)
    if found is None:
        names = [name for one in stocked.values() for name in (one.key, *one.common)]
        near = nearest(asked, names)
        raise RefusedError(
            f"{option}: found {show(asked)}; allowed: a species of this tank: {', '.join(stocked)}"
            + (f"; nearest: {near}" if near else "")
        )
    return found.key


def group_of(scenario: Scenario, asked: str | None) -> Group:
    """The fish, sex or species asked for with ``--for``; the mild species when None.

    Raises
    ------
    RefusedError
        When there is none such in the tank while it is measured.
    """
    from ...sim.run.set_ups import watched
    from ..measures.groups import Group
    from ..measures.whom import FishGroupError, said_of

    if asked is None:
        group = Group(species=watched(scenario)[0])
    else:
        try:
            said = said_of(scenario, asked)
        except FishGroupError as problem:
            raise RefusedError(f"--for: {problem}") from problem
        if said.sex == "unsexed" and said.number is None:
            raise RefusedError(
                f"--for: found {said.name}, whose sex is drawn anew for each simulated tank; allowed: "
                f"{said.species}, its males or females, or one fish such as {said.people[0].label}"
            )
        if said.number is not None:
            group = Group(label=said.name, species=said.species)
        else:
            group = Group(species=said.species, sex=said.sex)
    if not is_there(scenario, group):
        raise RefusedError(f"--for {group.name}: it is out of the tank before measuring begins")
    return group


def whom_of(scenario: Scenario, asked: str | None) -> FishGroup | None:
    """The fish asked for with ``--for``, of one fish all that are described like it; None when None.

    Raises
    ------
    RefusedError
        When there is none such in the tank while it is measured.
    """
    from ..measures.whom import FishGroupError, asked_for, check_stays

    if asked is None:
        return None
    try:
        whom = asked_for(scenario, asked)
        check_stays(scenario, whom)
    except FishGroupError as problem:
        raise RefusedError(f"--for: {problem}") from problem
    return whom


def is_there(scenario: Scenario, group: Group) -> bool:
    """Whether any fish of a group is in the tank in the measured time."""
    from ...sim.fish.population import individuals

    there = scenario.measured_fish
    return any(
        group.label in ("", one.label)
        and group.species in ("", one.species)
        and (group.sex in ("", one.sex) or one.sex == "unsexed")
        and one.label in there
        for one in individuals(scenario.stock)
    )
