"""What is asked for at least: one best plan for the least the keeper accepts, and some for more than that.

How fish fare is set against how many and how many kinds they are, and what they cost. So the best plan is
looked for several times: among all, among those with many fish, with many species, with both, and among the
cheap ones. The winners are the front.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .space import Space, Stocking


@dataclass(frozen=True)
class Level:
    """Plans with at least so many fish and species, for at most so much money."""

    name: str
    fish: int
    species: int
    money: float = math.inf

    def inside(self, space: Space, plans: Sequence[Stocking]) -> NDArray[np.bool_]:
        """[plans] which of them are of the level."""
        sums = np.array([(space.count(one), space.species(one), space.money(one)) for one in plans])
        return np.asarray(
            (sums[:, 0] >= self.fish) & (sums[:, 1] >= self.species) & ~(sums[:, 2] > self.money)
        )


def levels_of(space: Space, plans: Sequence[Stocking]) -> tuple[Level, ...]:
    """The levels that plans reach, the least first; those that hold the same plans are one."""
    fish = np.array([space.count(plan) for plan in plans])
    species = np.array([space.species(plan) for plan in plans])
    few, kinds = int(fish.min()), int(species.min())
    middle, many = (math.ceil(few + part * (fish.max() - few)) for part in (0.5, 0.9))
    several = math.ceil(kinds + 0.7 * (species.max() - kinds))
    asked = [
        Level("all that you would accept", few, kinds),
        Level("more fish", middle, kinds),
        Level("most fish", many, kinds),
        Level("more species", few, several),
        Level("more of both", middle, several),
    ]
    if space.wanted.has_prices:
        money = [space.money(plan) for plan in plans]
        asked.append(Level("cheap", few, kinds, float(np.quantile(money, 0.15))))
    found: dict[frozenset[int], Level] = {}
    for level in asked:
        those = frozenset(np.flatnonzero(level.inside(space, plans)).tolist())
        if those:
            found.setdefault(those, level)
    return tuple(found.values())
