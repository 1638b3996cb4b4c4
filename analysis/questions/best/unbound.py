"""One limit at a time out of the way: the same stock in a longer tank, with more rock, with fewer fish."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ....sim.scenario import changes as sim
from ....sim.scenario.reading.limits import LIMITS, MOST_CELLS
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import say_length_cm
from ....sim.tank.tank import cell_counts
from ...document.plain import called, percent
from .levels import Level
from .space import COVERS, MOST_ROCK, Pair, Space, Stocking
from .surrogate import Surrogate

LONGER = 4.0 / 3.0
MORE_COVER = 0.2
FEWER = 2.0 / 3.0


@dataclass(frozen=True)
class Unbound:
    """A plan without one of its limits."""

    limit: str  # "the tank's length"
    said: str  # "in 163 cm (64 in)"
    scenario: Scenario


def unbound(space: Space, plan: Stocking, level: Level, surrogate: Surrogate | None) -> list[Unbound]:
    """What can be tried; a limit that does not bind the plan is left out."""
    found = [_longer(space, plan), _rockier(space, plan), _fewer(space, plan, level)]
    found.append(_fewer_species(space, plan, level, surrogate))
    return [one for one in found if one is not None]


def _longer(space: Space, plan: Stocking) -> Unbound | None:
    longest = max(tank.length_cm for tank in space.tanks)
    scenario = space.scenario(plan)
    length = LONGER * longest
    new = sim.with_tank(scenario, length_cm=length)
    x, y, z = cell_counts(new.tank)
    if not LIMITS["tank.length"].holds(length) or x * y * z > MOST_CELLS:
        return None
    return Unbound("the tank's length", f"in {say_length_cm(length)}", new)


def _rockier(space: Space, plan: Stocking) -> Unbound | None:
    """More rock than can be had, where no layout with more of it was allowed."""
    if not space.is_laid:
        return None
    scenario, mine = space.scenario(plan), space.layout(plan)
    most = max(one.cover for one in space.layouts[plan.tank])
    cover = round(most + MORE_COVER, 2)
    height = mine.height_cm or 0.5 * scenario.tank.water_cm
    if most >= COVERS[-1] or cover * height / scenario.tank.water_cm > MOST_ROCK:
        return None
    new = sim.with_rock(scenario, cover=cover, height_cm=height, piles=mine.piles)
    return Unbound("the rock that can be had", f"with rock on {percent(cover)} of the floor", new)


def _fewer(space: Space, plan: Stocking, level: Level) -> Unbound | None:
    """A third of the fish fewer, where the plan has hardly more than are asked for."""
    if space.count(plan) > 1.2 * level.fish:
        return None
    fish = tuple(_thinned(pair) for pair in plan.fish)
    if fish == plan.fish:
        return None
    new = replace(plan, fish=fish)
    said = f"with {space.count(new)} fish, not {space.count(plan)}"
    return Unbound(f"wanting at least {level.fish} fish", said, space.scenario(new))


def _thinned(pair: Pair) -> Pair:
    """Fewer of both sexes, but not none of one that was there."""
    males, females = (max(min(1, many), int(many * FEWER)) for many in pair)
    return males, females


def _fewer_species(space: Space, plan: Stocking, level: Level, surrogate: Surrogate | None) -> Unbound | None:
    """Without the species that is foretold to be missed least, where no more than are asked for are there."""
    if space.species(plan) > level.species or space.species(plan) < 2 or surrogate is None:
        return None
    without = list(_without_each(space, plan))
    if not without:
        return None
    said = np.median(surrogate.worst([one for _, one in without]), axis=0)
    name, new = without[int(said.argmax())]
    return Unbound(
        f"wanting at least {level.species} species",
        f"with {space.count(new)} fish, without {called(name, name)}",
        space.scenario(new),
    )


def _without_each(space: Space, plan: Stocking) -> Iterator[tuple[str, Stocking]]:
    for k, (liked, pair) in enumerate(zip(space.wanted.liked, plan.fish, strict=True)):
        if sum(pair) and liked.species not in space.kinds_there and not liked.must:
            new = replace(plan, fish=(*plan.fish[:k], (0, 0), *plan.fish[k + 1 :]))
            if space.count(new) > 1:
                yield liked.species, new
