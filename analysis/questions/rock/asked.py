"""What a sweep over rock may be asked for, and which amount is weighed at its end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ....sim.fish.population import individuals
from ....sim.run.drawing import check_water
from ....sim.scenario.scenario import Scenario
from ....sim.tank.tank import WaterError
from .amount import Amount, amount_of
from .grid import Grid, grid_of, is_bare
from .least import FOUND, guesses_needed
from .sweep import LEVEL, Plan, RockAnswer


class CountError(ValueError):
    """No fish of the species can be pinned; the message says why."""


def check_counts(scenario: Scenario, species: str) -> None:
    """Refuse a species of which no fish can be pinned: holding females never count.

    Raises
    ------
    CountError
    """
    there = scenario.measured_fish
    staying = [one for one in individuals(scenario.stock) if one.species == species and one.label in there]
    if not staying:
        begins = scenario.measured_days[0]
        raise CountError(f"{species}: all of it is out before day {begins:g}, when measuring begins")
    if all(one.holding for one in staying):
        raise CountError(
            f"{species}: found only holding females, which never count as pinned; allowed: another species"
        )


def watered_grid(scenario: Scenario, names: Sequence[str], *, level: float = LEVEL) -> Grid:
    """The amounts of rock to try that leave water to swim in, in every tank that may be simulated.

    Raises
    ------
    GridError
        When the rock cannot be varied so.
    """
    run = replace(scenario.run, trials=max(scenario.run.trials, guesses_needed(level)))
    return grid_of(scenario, names=names, fits=lambda tried: _has_water(replace(tried, run=run)))


def _has_water(scenario: Scenario) -> bool:
    """Whether the rock of every simulated tank leaves water to swim in."""
    try:
        check_water(scenario)
    except WaterError:
        return False
    return True


def weighed(plan: Plan, answer: RockAnswer) -> tuple[int | None, Amount | None]:
    """The amount found, the least where several lines have one; the keeper's own where none does."""
    found = [line.found for line in answer.lines if line.least.verdict == FOUND and line.found is not None]
    places = found or [place for place in (plan.grid.own,) if place is not None]
    known: list[tuple[int, Amount | None]] = []
    for place in dict.fromkeys(places):
        scenario = plan.grid.points[place].scenario
        known.append((place, None if is_bare(scenario.rock) else amount_of(scenario)))
    if not known:
        return None, None
    return min(known, key=lambda one: 0.0 if one[1] is None else one[1].bulk_l.middle)
