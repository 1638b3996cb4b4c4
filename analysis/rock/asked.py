"""What a sweep over rock may be asked for, and which amount is weighed at its end."""

from __future__ import annotations

from collections.abc import Sequence

from ...sim.drawing import draw_tank
from ...sim.population import measured_fish
from ...sim.scenario import Scenario
from .amount import Amount, amount_of
from .grid import Grid, grid_of, is_bare
from .least import FOUND
from .sweep import Plan, RockAnswer

CROWDED = 0.5  # of the water under upright blocks of rock: from there on a first tank is tried


class CountError(ValueError):
    """No fish of the species can be pinned; the message says why."""


def check_counts(scenario: Scenario, species: str) -> None:
    """Refuse a species of which no fish can be pinned: holding females never count.

    Raises
    ------
    CountError
    """
    there = measured_fish(scenario.stock, scenario.rock, scenario.run)
    staying = [one for one in there if one.species == species]
    if not staying:
        measured = scenario.last_change_day + scenario.run.settle_days
        raise CountError(f"{species}: all of it is out before day {measured:g}, when measuring begins")
    if all(one.holding for one in staying):
        raise CountError(
            f"{species}: found only holding females, which never count as pinned; allowed: another species"
        )


def watered_grid(scenario: Scenario, names: Sequence[str]) -> Grid:
    """The amounts of rock to try that leave water to swim in.

    Raises
    ------
    GridError
        When the rock cannot be varied so.
    """
    return grid_of(scenario, names=names, fits=_has_water)


def _has_water(scenario: Scenario) -> bool:
    """Whether the rock leaves water to swim in; where there is much of it, seen by building a tank."""
    rock, water = scenario.rock, scenario.tank.water_cm
    if rock.cover * min(rock.height_cm, water) / water < CROWDED:
        return True
    try:
        draw_tank(scenario)
    except ValueError:
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
