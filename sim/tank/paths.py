"""Ways through the water: the 26 steps from cell to cell, path fields, and what lies within a short swim.

Path lengths are chamfer distances (face 3, edge 4, corner 5 thirds of an edge), at most about
8 % off the straight-line length. Source: Borgefors1986 (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..rules.support.compiled import rule

FAR = np.int16(32000)


def _directions() -> NDArray[np.int64]:
    steps = [(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)]
    return np.array(sorted(steps, key=lambda step: (sum(map(abs, step)), step)), dtype=np.int64)


DIRECTIONS = _directions()  # [26, 3]: 6 through faces, then 12 over edges, then 8 over corners
STEP_THIRDS = 2 + np.abs(DIRECTIONS).sum(axis=1)  # [26] chamfer length: 3, 4 or 5 thirds of an edge
STEP_CM = np.sqrt(np.abs(DIRECTIONS).sum(axis=1))  # [26] in edges: 1, sqrt 2, sqrt 3

_BUCKETS = 6  # one more than the longest step, so a bucket never holds two distances


@rule
def neighbour_table(index: NDArray[np.int32], xyz: NDArray[np.int32]) -> NDArray[np.int32]:
    """Open cell beside each cell in each of the 26 directions.

    Parameters
    ----------
    index : [nx + 2, ny + 2, nz + 2]
        Number of the open cell, -1 elsewhere, with a rim of -1 on all sides.
    xyz : [n, 3]
        Place of each cell without the rim.

    Returns
    -------
    [n, 26]; -1 where the step is blocked. A diagonal step needs every cell of the box it spans
    to be open, so no fish cuts the corner of a rock.
    """
    n = xyz.shape[0]
    table = np.full((n, 26), -1, dtype=np.int32)
    for cell in range(n):
        x = xyz[cell, 0] + 1
        y = xyz[cell, 1] + 1
        z = xyz[cell, 2] + 1
        for k in range(26):
            a = DIRECTIONS[k, 0]
            b = DIRECTIONS[k, 1]
            c = DIRECTIONS[k, 2]
            clear = True
            for i in range(min(a, 0), max(a, 0) + 1):
                for j in range(min(b, 0), max(b, 0) + 1):
                    for h in range(min(c, 0), max(c, 0) + 1):
                        if index[x + i, y + j, z + h] < 0:
                            clear = False
            if clear:
                table[cell, k] = index[x + a, y + b, z + c]
    return table


@rule
def _fill_path(
    neighbour: NDArray[np.int32], source: int, dist: NDArray[np.int16], queue: NDArray[np.int32]
) -> None:
    """Chamfer distance of every cell to ``source``, into ``dist`` [n]; ``queue`` [6, n] is working space."""
    count = np.zeros(_BUCKETS, dtype=np.int64)
    dist[:] = FAR
    dist[source] = 0
    queue[0, 0] = source
    count[0] = 1
    waiting = 1
    length = 0
    while waiting > 0:
        bucket = length % _BUCKETS
        for entry in range(count[bucket]):
            cell = queue[bucket, entry]
            if dist[cell] != length:
                continue  # reached on a shorter way since it was queued
            for k in range(26):
                other = neighbour[cell, k]
                if other < 0:
                    continue
                reached = length + STEP_THIRDS[k]
                if reached < dist[other]:
                    dist[other] = reached
                    slot = reached % _BUCKETS
                    queue[slot, count[slot]] = other
                    count[slot] += 1
                    waiting += 1
        waiting -= count[bucket]
        count[bucket] = 0
        length += 1


@rule
def path_fields(
    neighbour: NDArray[np.int32], sources: NDArray[np.int32]
) -> tuple[NDArray[np.int16], NDArray[np.int8]]:
    """Path length and first step from every cell to every source, by bucket search.

    Parameters
    ----------
    neighbour : [n, 26]
    sources : [s] cells

    Returns
    -------
    path : [s, n] int16
        Chamfer distance in thirds of an edge, FAR where there is no way.
    toward : [s, n] int8
        Direction of the first step of a shortest path, -1 at the source. Of several it is the
        highest-numbered direction: corners before edges before faces, which in open water is
        also the shortest in cm.

    Source: Dial1969 (from memory).
    """
    n = neighbour.shape[0]
    path = np.empty((len(sources), n), dtype=np.int16)
    toward = np.full((len(sources), n), -1, dtype=np.int8)
    queue = np.empty((_BUCKETS, n), dtype=np.int32)
    for row in range(len(sources)):
        dist = path[row]
        _fill_path(neighbour, sources[row], dist, queue)
        for cell in range(n):
            if dist[cell] == 0 or dist[cell] == FAR:
                continue
            for k in range(25, -1, -1):
                other = neighbour[cell, k]
                if other >= 0 and dist[other] + STEP_THIRDS[k] == dist[cell]:
                    toward[row, cell] = k
                    break
    return path, toward


def open_ball_size(limit: int) -> int:
    """Cells within ``limit`` thirds of an edge of a cell with nothing in the way."""
    reach = np.abs(np.arange(-(limit // 3), limit // 3 + 1))
    side = np.sort(np.stack(np.meshgrid(reach, reach, reach, indexing="ij"), axis=-1).reshape(-1, 3), axis=1)
    return int(np.count_nonzero(side @ np.array([1, 1, 3]) <= limit))


@rule
def balls(
    neighbour: NDArray[np.int32], limit: int, largest: int
) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """Cells within a short swim of each cell, itself included and first, by bounded bucket search.

    Parameters
    ----------
    neighbour : [n, 26]
    limit : thirds of an edge
    largest : no ball holds more cells (see :func:`open_ball_size`)

    Returns
    -------
    start : [n + 1] int64, CSR starts
    ball : [start[n]] int32, in order of their distance
    """
    n = neighbour.shape[0]
    start = np.zeros(n + 1, dtype=np.int64)
    ball = np.empty(n * largest, dtype=np.int32)
    dist = np.full(n, FAR, dtype=np.int16)
    queue = np.empty((_BUCKETS, largest), dtype=np.int32)
    count = np.zeros(_BUCKETS, dtype=np.int64)
    touched = np.empty(largest, dtype=np.int32)
    end = 0
    for centre in range(n):
        dist[centre] = 0
        queue[0, 0] = centre
        count[0] = 1
        touched[0] = centre
        seen = 1
        for length in range(limit + 1):
            bucket = length % _BUCKETS
            for entry in range(count[bucket]):
                cell = queue[bucket, entry]
                if dist[cell] != length:
                    continue
                ball[end] = cell
                end += 1
                for k in range(26):
                    reached = length + STEP_THIRDS[k]
                    if reached > limit:
                        break  # directions are in order of length
                    other = neighbour[cell, k]
                    if other >= 0 and reached < dist[other]:
                        if dist[other] == FAR:
                            touched[seen] = other
                            seen += 1
                        dist[other] = reached
                        slot = reached % _BUCKETS
                        queue[slot, count[slot]] = other
                        count[slot] += 1
            count[bucket] = 0
        for entry in range(seen):
            dist[touched[entry]] = FAR
        start[centre + 1] = end
    return start, ball[:end].copy()
