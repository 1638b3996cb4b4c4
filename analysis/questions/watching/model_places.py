"""Where a simulated fish is, in the places that a watcher of the real tank can tell apart."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ....sim.fish.shoal import SHELTERED
from ....sim.tank.tank import Tank
from .ethogram import HAND_CM, PLACES, SIDES

Codes = NDArray[np.int8]

SHELTER, CORNER, SURFACE, ROCK, FLOOR, OPEN = range(len(PLACES))
ABSENT = -1  # not in the tank
HIDDEN = np.array([one.hidden for one in PLACES])


def codes_of_cells(tank: Tank) -> Codes:
    """Place of a fish that swims in each open cell, [n]: side x number of places + place.

    At the surface counts before beside rock, and that before on the floor. A hand's breadth is rounded to
    whole cells, one at least.
    """
    hand = max(1, round(HAND_CM / tank.edge_cm))
    solid = np.asarray(tank.index) < 0
    near_rock = ndimage.binary_dilation(solid, np.ones((3, 3, 3), bool), iterations=hand)
    x, y, z = tank.xyz.T
    level = np.full(len(tank.xyz), OPEN, np.int8)
    level[z < hand] = FLOOR
    level[near_rock[x, y, z]] = ROCK
    level[z >= tank.shape[2] - hand] = SURFACE
    return (_side(tank, x) * len(PLACES) + level).astype(np.int8)


def codes_of_refuges(tank: Tank) -> Codes:
    """Place of a fish that has gone into each refuge, [r]."""
    side = _side(tank, tank.xyz[tank.refuge_cell, 0])
    return (side * len(PLACES) + np.where(tank.refuge_corner, CORNER, SHELTER)).astype(np.int8)


def scan(fish: Any, cells: Codes, refuges: Codes) -> Codes:
    """Where every fish of a shoal's record array is now, [n]; places of cells and of refuges as above."""
    sheltered = (fish.doing == SHELTERED) & (fish.refuge >= 0)
    place = np.where(sheltered, refuges[np.maximum(fish.refuge, 0)], cells[fish.cell])
    return np.where(fish.present, place, ABSENT).astype(np.int8)


def is_hidden(codes: Codes) -> NDArray[np.bool_]:
    """Whether a place is a shelter or a corner, of any shape; not where a fish is absent."""
    return (codes >= 0) & HIDDEN[codes % len(PLACES)]


def _side(tank: Tank, x: NDArray[np.integer]) -> NDArray[np.int64]:
    """Left, middle or right third, 0 to 2."""
    return np.minimum((len(SIDES) * (x + 0.5) / tank.shape[0]).astype(np.int64), len(SIDES) - 1)
