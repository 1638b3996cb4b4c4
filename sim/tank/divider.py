"""A divider in the tank: where it stands among the cells, and what lies on either side of it.

It has no thickness: it stands between two layers of cells, and no cell is lost. What is behind it is as far
as behind the glass.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ..scenario.scenario import TankSpec

LEFT, RIGHT, CUT_OFF = 0, 1, -1


def layer_of(x_cm: float, spec: TankSpec, along: int) -> int:
    """How many of the cells along the front lie left of a divider; at least one on either side.

    ``along``: cells along the front.
    """
    return min(max(round(x_cm * along / spec.length_cm), 1), along - 1)


def largest_bodies(water: NDArray[np.bool_], layer: int) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """The largest connected water left and right of a layer of cells, each [nx, ny, nz]."""
    left = np.arange(len(water)) < layer
    return _largest(water & left[:, None, None]), _largest(water & ~left[:, None, None])


def _largest(water: NDArray[np.bool_]) -> NDArray[np.bool_]:
    bodies, _ = ndimage.label(water)
    sizes = np.bincount(bodies.ravel())
    sizes[0] = 0
    found: NDArray[np.bool_] = (bodies == sizes.argmax()) & water
    return found


def parts_of(water: NDArray[np.bool_], layer: int) -> NDArray[np.int32]:
    """[n] the part of the tank that each cell of the water lies in: LEFT, RIGHT, or CUT_OFF from both."""
    left, right = largest_bodies(water, layer)
    found: NDArray[np.int32] = np.where(left, LEFT, np.where(right, RIGHT, CUT_OFF))[water].astype(np.int32)
    return found


def walled(neighbour: NDArray[np.int32], right: NDArray[np.bool_]) -> NDArray[np.int32]:
    """The table of neighbours [n, 26] without steps from one side to the other, ``right`` [n]."""
    across = (neighbour >= 0) & (right[neighbour] != right[:, None])
    return np.where(across, np.int32(-1), neighbour)


def hidden_behind(sight: NDArray[np.uint8], right: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """The table of lines of sight [n, ceil(n / 8)] without those from one side to the other."""
    bits = np.packbits(right, bitorder="little")
    return np.where(right[:, None], sight & bits, sight & ~bits)
