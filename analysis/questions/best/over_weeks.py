"""The species of a plan one after the other over weeks: which orders there are, and the tank as it fills."""

from __future__ import annotations

from dataclasses import replace

from ....sim.fish.population import individuals
from ....sim.scenario.scenario import Scenario
from ...document.plain import called
from ..orders import GAP_D, Asked, Way
from .answer import Best
from .said import group_said


def asked_of(found: Best, months: int) -> Asked | str:
    """The orders in which the species of the first plan can go in, or why there is nothing to choose.

    Of two species either goes first; of more each is tried as the first and as the last, the others together.
    """
    tank, there = found.scenario(found.best), len(found.plan.space.base.stock)
    new = list(dict.fromkeys(row.species for row in tank.stock[there:]))
    if len(new) < 2:
        return "one species goes in, so there is no order to choose"
    ways = [Way("all at once", (tank,))]
    for key in new:
        ways.append(Way(f"{called(key, key)} first, then the rest", (_late(tank, there, {key}),)))
    for key in new if len(new) > 2 else ():
        late = set(new) - {key}
        ways.append(Way(f"{called(key, key)} last, after the rest", (_late(tank, there, late),)))
    names = list(dict.fromkeys((one.species, one.sex) for one in individuals(tank.stock)))
    groups = tuple(
        (
            group_said(name),
            tuple(one.label for one in individuals(tank.stock) if (one.species, one.sex) == name),
        )
        for name in names
    )
    return Asked(months, tuple(ways), (groups,), found.plan.fixed)


def _late(tank: Scenario, there: int, first: set[str]) -> Scenario:
    """The tank with all new fish but those of some species put in later."""
    stock = tuple(
        replace(row, day=GAP_D) if k >= there and row.species not in first else row
        for k, row in enumerate(tank.stock)
    )
    return replace(tank, stock=stock)
