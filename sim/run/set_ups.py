"""What each trial of a scenario is run as: its draw, the species that is watched, the set-ups."""

from __future__ import annotations

from ..fish.population import measured_individuals, mildest
from ..scenario.scenario import Scenario
from .table import AS_STOCKED, LEFT_ALONE, OWN_KIND


def draw_of(scenario: Scenario, trial: int) -> int:
    """Which draw a trial belongs to: guesses take turns, so any number of trials spreads over them."""
    return 0 if scenario.run.fixed else trial % min(scenario.run.guesses, scenario.run.trials)


def watched(scenario: Scenario) -> tuple[str, str]:
    """The mild species that the answer looks at, and why it is that one.

    It is one that is in the tank in the measured time: of a species that is out by then nothing is known.
    """
    named = scenario.run.watch
    there = {one.species for one in measured_individuals(scenario)}
    if named in there:
        return str(named), "named in the scenario"
    if named is not None:
        gone = f"{named}, named in the scenario, is out before measuring begins"
        return mildest(scenario), f"the mildest of those that stay; {gone}"
    if any(row.species not in there for row in scenario.stock):
        reason = "the mildest of those that stay until it is measured; name another with watch"
        return mildest(scenario), reason
    return mildest(scenario), "the mildest of the stock by temper and timidity; name another with watch"


def set_ups(scenario: Scenario) -> tuple[str, ...]:
    """The set-ups run in each trial. Own kind is left out where the stock is of one kind already."""
    if not scenario.run.controls:
        return (AS_STOCKED,)
    several = len({row.species for row in scenario.stock}) > 1
    return (AS_STOCKED, OWN_KIND, LEFT_ALONE) if several else (AS_STOCKED, LEFT_ALONE)
