"""Who is in view, and how far away."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import SHELTERED, Shoal
from ..tank.water import Water
from .support.compiled import index, lean, small


@small
def bit(table: NDArray[np.uint8], row: int, cell: int) -> bool:
    """Whether the bit of a cell is set in a row of a bit table. Source: computed (definition)."""
    return (table[index(row), index(cell >> 3)] >> (cell & 7)) & 1 == 1


@small
def in_crevice(i: int, tank: Water, shoal: Shoal) -> bool:
    """Whether fish i is inside a crevice (a corner hides nobody). Source: assumption."""
    return shoal.fish.doing[i] == SHELTERED and not tank.refuges.corner[index(shoal.fish.refuge[i])]


@small
def sees(i: int, j: int, tank: Water, shoal: Shoal) -> bool:
    """Whether fish i has fish j in view: along open water, and through the mouth of a crevice.

    Source: assumption (a fish in a crevice is seen, and sees, only through the mouth).
    """
    if in_crevice(i, tank, shoal):
        if in_crevice(j, tank, shoal):
            return False
        return bit(tank.looks_in, shoal.fish.refuge[i], shoal.fish.cell[j])
    if in_crevice(j, tank, shoal):
        return bit(tank.looks_in, shoal.fish.refuge[j], shoal.fish.cell[i])
    return bit(tank.sight, shoal.fish.cell[i], shoal.fish.cell[j])


@small
def apart(i: int, j: int, shoal: Shoal) -> bool:
    """Whether a divider or the wall of a box stands between two fish: neither reaches the other.

    Source: computed (definition).
    """
    return shoal.fish.part[i] != shoal.fish.part[j]


@small
def square_cm2(a: int, b: int, tank: Water) -> float:
    """Square of the straight distance between two cells, cm2. Source: computed (geometry)."""
    here, there = tank.cells[index(a)], tank.cells[index(b)]
    dx, dy, dz = here.x - there.x, here.y - there.y, here.z - there.z
    return (dx * dx + dy * dy + dz * dz) * tank.edge_cm * tank.edge_cm


@small
def distance_cm(a: int, b: int, tank: Water) -> float:
    """Straight distance between the centres of two cells, cm. Source: computed (geometry)."""
    return math.sqrt(square_cm2(a, b, tank))


@small
def path_cm(source: int, cell: int, tank: Water) -> float:
    """Swimming distance from a shelter or feeding place to a cell, cm. Source: computed (geometry)."""
    return tank.path[index(source), index(cell)] * tank.edge_cm / 3.0


@small
def fits(i: int, refuge: int, tank: Water, shoal: Shoal) -> bool:
    """Whether the mouth of a shelter is high enough for the body of fish i. Source: assumption."""
    return shoal.fish.depth_cm[i] <= tank.refuges.mouth_cm[index(refuge)]


@lean
def fish_in(refuge: int, shoal: Shoal) -> int:
    """How many fish are in a shelter. Source: computed (counting)."""
    count = 0
    for k in range(len(shoal.fish)):
        if shoal.fish.present[k] and shoal.fish.doing[k] == SHELTERED and shoal.fish.refuge[k] == refuge:
            count += 1
    return count
