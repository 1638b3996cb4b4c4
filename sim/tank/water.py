"""Water: the tables of a tank in the form that compiled rules read."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..fish.records import Records, columns_of, flag, real, records, whole
from .tank import Tank


class CellRecords(Records):
    """Properties of an open cell, [n]: 32 bytes, so that one look at the memory brings all of them."""

    x = whole("along the front from the left", "cells")
    y = whole("from the front glass to the back", "cells")
    z = whole("up from the floor", "cells")
    block = whole("number of the block it lies in")
    cover = real("0..1", "share of the water in range that does not see it")
    graze = real("0..1", "surface to graze on beside it")


class RefugeRecords(Records):
    """Properties of a shelter, [r]."""

    cell = whole("the cell at its mouth")
    mouth_cm = real("cm", "body depth that fits; inf for a corner")
    depth_cm = real("cm", "how deep it is")
    room = whole("how many fish it holds", "fish", default=1)
    corner = flag("a corner of the glass or under the surface, in full view")


BLOCK_CM = 10.0  # edge of a block, the smallest place a fish knows: assumption

CELL, REFUGE = columns_of(CellRecords), columns_of(RefugeRecords)


class Water(NamedTuple):
    """Tables of one tank as rules read them; see :class:`rockshy.sim.tank.tank.Tank` for the meaning."""

    edge_cm: float
    cells: CellRecords  # [n] records of CELL
    refuges: RefugeRecords  # [r] records of REFUGE
    neighbour: NDArray[np.int16]
    path: NDArray[np.int16]
    toward: NDArray[np.int8]
    sight: NDArray[np.uint8]
    looks_in: NDArray[np.uint8]
    ball_start: NDArray[np.int64]
    ball: NDArray[np.int32]
    beside: NDArray[np.int32]  # [b, 27] blocks round each block and itself, -1 where there is none
    feed_source: NDArray[np.int32]
    feed_part: NDArray[np.int32]  # [f] part of the tank that each feeding place lies in
    steepest_cover: float  # largest change of cover in one step
    steepest_graze: float  # the same for the surface to graze on
    rise: NDArray[np.float64]  # [n, 2] largest rise of cover, and of that surface, in one step from each cell


def water_of(tank: Tank) -> Water:
    """The tables of a tank, packed for the rules; nothing is recomputed."""
    cells = records(CellRecords, (len(tank.xyz),))
    cells.x, cells.y, cells.z = tank.xyz.T
    cells.cover, cells.graze = tank.cover, tank.graze
    cells.block, beside = blocks_of(tank)
    refuges = records(RefugeRecords, (len(tank.refuge_cell),))
    for name in REFUGE:
        refuges[name] = getattr(tank, f"refuge_{name}")
    return Water(
        float(tank.edge_cm),
        cells,
        refuges,
        tank.neighbour.astype(np.int16),  # half the size stays nearer to the processor (at most 25,000 cells)
        tank.path,
        tank.toward,
        tank.sight,
        tank.looks_in,
        tank.ball_start,
        tank.ball,
        beside,
        tank.feed_source,
        tank.part[tank.feed_cell],
        steepest(tank.cover, tank.neighbour),
        steepest(tank.graze, tank.neighbour),
        np.stack([rises(tank.cover, tank.neighbour), rises(tank.graze, tank.neighbour)], axis=1),
    )


def blocks_of(tank: Tank) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """The block of BLOCK_CM that each cell lies in, [n], and the blocks round each block, [b, 27], -1: none.

    A block without open water has a number as well, and nobody comes there.
    """
    place = ((tank.xyz + 0.5) * tank.edge_cm / BLOCK_CM).astype(np.int32)
    shape = np.ceil(np.array(tank.shape) * tank.edge_cm / BLOCK_CM - 1e-9).astype(int)
    number = np.full(shape + 2, -1, np.int32)
    number[1:-1, 1:-1, 1:-1] = np.arange(shape.prod()).reshape(shape)
    x, y, z = shape
    beside = [
        number[a : a + x, b : b + y, c : c + z].ravel() for a in range(3) for b in range(3) for c in range(3)
    ]
    return number[tuple((place + 1).T)], np.ascontiguousarray(np.stack(beside, axis=1))


def steepest(values: NDArray[np.float64], neighbour: NDArray[np.int32]) -> float:
    """Largest difference of a value [n] between neighbouring cells."""
    return float(np.abs(values[stepped(neighbour)] - values[:, None]).max())


def rises(values: NDArray[np.float64], neighbour: NDArray[np.int32]) -> NDArray[np.float64]:
    """Largest rise of a value [n] in one step from each cell, [n]; 0 where every step leads down."""
    return values[stepped(neighbour)].max(axis=1).clip(values) - values


def stepped(neighbour: NDArray[np.int32]) -> NDArray[np.int64]:
    """The cell that each step leads to, [n, 26]; a blocked one leads nowhere else."""
    return np.where(neighbour >= 0, neighbour, np.arange(len(neighbour))[:, None])
