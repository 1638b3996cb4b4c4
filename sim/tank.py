"""Tank: open cells, neighbours, path fields, lines of sight, cover, refuges. All tables of one drawn tank."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Tank(NamedTuple):
    """The tables of one tank; n open cells, r refuges, s = r + feeding places path sources.

    Cells are numbered in C order of (x, y, z) over the open (water, not rock) cells.
    x runs along the front from the left, y from the front glass to the back, z up from the floor.
    """

    edge_cm: float
    shape: NDArray[np.int64]  # [3] cells along x, y, z
    index: NDArray[np.int32]  # [nx, ny, nz] number of the open cell, -1 where there is no water
    xyz: NDArray[np.int32]  # [n, 3]
    neighbour: NDArray[np.int32]  # [n, 26] open cell in DIRECTIONS[k], -1 when blocked (no corner is cut)
    path: NDArray[np.int16]  # [s, n] chamfer 3-4-5 distance to the source, in thirds of an edge; FAR if none
    toward: NDArray[np.int8]  # [s, n] direction of the first step of a shortest path to the source; -1 at it
    sight: NDArray[np.uint8]  # [n, ceil(n / 8)] bit j (little-endian) set: cell j is in sight; symmetric
    looks_in: NDArray[np.uint8]  # [r, ceil(n / 8)] bit j set: from cell j one sees into the refuge
    cover: NDArray[np.float64]  # [n] share of the water within sight range that does not see this cell
    graze: NDArray[np.float64]  # [n] rock, wood or glass surface to graze on beside the cell, 0..1
    ball_start: NDArray[np.int64]  # [n + 1] CSR starts into ball
    ball: NDArray[np.int32]  # cells within 15 cm of swimming of each cell, itself included
    refuge_cell: NDArray[np.int32]  # [r] the cell at the mouth of each refuge
    refuge_mouth_cm: NDArray[np.float64]  # [r] body depth that fits; inf for corners
    refuge_depth_cm: NDArray[np.float64]  # [r]
    refuge_room: NDArray[np.int32]  # [r] how many fish it holds
    refuge_corner: NDArray[np.bool_]  # [r] a corner of the glass or under the surface: a poor refuge, in full view
    feed_source: NDArray[np.int32]  # [f] rows of path for the feeding places


FAR = np.int16(32000)
