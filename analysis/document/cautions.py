"""Cautions: what no simulation sees, each with when it applies. They rest on common practice, no source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ...sim.scenario.scenario import Scenario

ELECTRIC = ("heater", "filter")


@dataclass(frozen=True)
class Caution:
    """A text, and for which scenarios it is shown."""

    about: str
    text: str
    applies: Callable[[Scenario], bool]


def has_rock(scenario: Scenario) -> bool:
    """Whether there is rock, or wood, that can fall or press on the base."""
    rock = scenario.rock
    sketched = any(digit != "0" for row in rock.sketch or () for digit in row)
    return rock.cover > 0 or sketched or any(one.kind == "wood" for one in rock.objects)


def has_mains(scenario: Scenario) -> bool:
    """Whether a heater or filter is listed, or somebody reaches in during the run."""
    hands_in = any(one.day > 0 or not one.dated for one in scenario.timeline.events)
    return hands_in or any(one.kind in ELECTRIC for one in scenario.rock.objects)


def _always(_: Scenario) -> bool:
    return True


CAUTIONS = (
    Caution(
        "sick fish",
        "The model does not see your fish. If a fish does not eat, hangs in a corner or at the surface, "
        "has torn fins or breathes fast, move it out at once and look for the reason afterwards. Test the "
        "water first: bad water gives the same signs. Illness and drugs are for a vet.",
        _always,
    ),
    Caution(
        "rock",
        "Stand rock on the base, not on sand that fish dig away, and never on a point or an edge. Ask an "
        "engineer what base and floor can bear.",
        has_rock,
    ),
    Caution("power", "Switch the power off before hands go into the water.", has_mains),
    Caution("law", "Follow the animal welfare law where you live.", _always),
)

FIRST = f"First of all: {CAUTIONS[0].text}"


def cautions(scenario: Scenario) -> tuple[Caution, ...]:
    """The cautions that apply to a scenario, in the order in which they are said."""
    return tuple(one for one in CAUTIONS if one.applies(scenario))
