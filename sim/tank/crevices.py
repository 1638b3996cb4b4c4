"""Crevices: hiding places in the rock as things, with place, mouth, depth and openings, in cm.

Nobody has measured the crevices of an aquarium; that they scale with the pieces is an
assumption with a range (:class:`RockDraw`), drawn anew for each draw.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..scenario.scenario import CreviceSpec, ObjectSpec, RockSpec, TankSpec

CREVICES_MAX = 64  # in one tank; of more the deepest are kept
UNKNOWN_DIRECTION = (0.0, 0.0, 0.0)
_TWO_OPENINGS = 0.3  # share of drawn crevices that one can leave at the other end: assumption
_NOMINAL_GAP_CM = 3.0  # wood and equipment never stand quite flush: assumption
_GAP_MIN_CM = 1.5  # narrower nobody gets in, wider nobody is hidden: assumption
_GAP_MAX_CM = 15.0
_TURNS = 4  # directions tried before a crevice is given up as facing the glass


class RockDraw(NamedTuple):
    """What nobody has measured about rock. Mouth and depth are multiples of the size of the pieces."""

    crevices_per_piece: float = 1.5
    mouth_low: float = 0.15
    mouth_high: float = 0.6
    depth_low: float = 0.5
    depth_high: float = 1.5


class Crevice(NamedTuple):
    """A hiding place; the fish whose body depth is under the mouth fits."""

    x_cm: float
    y_cm: float
    z_cm: float
    mouth_cm: float
    depth_cm: float
    openings: int
    outward: tuple[float, float, float]  # unit vector out of the mouth; zeros: away from the rock beside it
    piece: int = -1  # number of the piece of rock it goes into; -1 for one that was listed


def drawn_crevices(
    top: NDArray[np.float64],
    step: tuple[float, float],
    pieces: NDArray[np.float64],
    *,
    size: float,
    water_cm: float,
    draw: RockDraw,
    rng: np.random.Generator,
) -> tuple[Crevice, ...]:
    """Crevices of rock whose crevices nobody listed.

    A column of rock as high as k pieces counts as k pieces. From the middle of a piece one goes in a
    random direction at a random height until one comes out of the rock: there the mouth is. Where
    one stays in rock for the size of a piece, the next piece leans against this one, and the
    mouth is the seam between them, on top.

    Parameters
    ----------
    top : [a, b] height of the rock on points ``step`` cm apart
    pieces : [p, 3] middle of each piece and height of the rock there
    size : of the pieces, cm

    Returns
    -------
    At most CREVICES_MAX crevices, the deepest, in the order of the pieces.
    """
    columns = np.where(pieces[:, 2] > 0.0, np.maximum(1, np.rint(pieces[:, 2] / size)), 0.0)
    most = draw.crevices_per_piece * columns
    slots = int(np.ceil(most.max())) + 1 if len(most) else 0
    luck = rng.random((slots, len(pieces), 7))
    slot, piece = np.nonzero(np.arange(slots)[:, None] + luck[:, :, 0] < most[None, :])
    luck = luck[slot, piece]
    x, y, column_top = pieces[piece].T
    z = luck[:, 1] * np.minimum(column_top, water_cm)
    place, outward, found = _mouths(top, step, (x, y, z), luck[:, 2], size)
    mouth = size * (draw.mouth_low + (draw.mouth_high - draw.mouth_low) * luck[:, 3])
    mouth = np.minimum(mouth, column_top)  # a low rock has no high hole
    depth = size * (draw.depth_low + (draw.depth_high - draw.depth_low) * luck[:, 4])
    openings = np.where(luck[:, 5] < _TWO_OPENINGS, 2, 1)
    kept = np.nonzero(found & (place[:, 2] < water_cm))[0]
    kept = np.sort(kept[np.argsort(-depth[kept], kind="stable")][:CREVICES_MAX])
    return tuple(
        Crevice(
            float(place[c, 0]),
            float(place[c, 1]),
            float(place[c, 2]),
            float(mouth[c]),
            float(depth[c]),
            int(openings[c]),
            (float(outward[c, 0]), float(outward[c, 1]), float(outward[c, 2])),
            int(piece[c]),
        )
        for c in kept
    )


def _mouths(
    top: NDArray[np.float64],
    step: tuple[float, float],
    start: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]],
    turn: NDArray[np.float64],
    size: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    """Where one comes out of the rock: places [c, 3], outward unit vectors [c, 3] and whether one does."""
    x, y, z = start
    count = len(x)
    place = np.zeros((count, 3))
    outward = np.zeros((count, 3))
    found = np.zeros(count, dtype=np.bool_)
    way = np.arange(0.0, size + 1.0, 1.0)
    for quarter in range(_TURNS):
        angle = 2.0 * np.pi * (turn + quarter / _TURNS)
        along_x = x[:, None] + way * np.cos(angle)[:, None]
        along_y = y[:, None] + way * np.sin(angle)[:, None]
        height, inside = _heights(top, step, along_x, along_y)
        free = inside & (height <= z[:, None])
        side = free.any(axis=1)
        last = np.where(side, free.argmax(axis=1), len(way) // 2)
        row = np.arange(count)
        seam = ~side & inside[row, last]
        new = (side | seam) & ~found
        mouth_z = np.where(side, z, height[row, last])
        flat = np.where(side, 1.0, np.sqrt(0.5))
        place[new] = np.column_stack([along_x[row, last], along_y[row, last], mouth_z])[new]
        direction = np.column_stack([flat * np.cos(angle), flat * np.sin(angle), np.where(side, 0.0, flat)])
        outward[new] = direction[new]
        found |= new
    return place, outward, found


def _heights(
    top: NDArray[np.float64], step: tuple[float, float], x: NDArray[np.float64], y: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    i = np.floor(x / step[0]).astype(np.int64)
    j = np.floor(y / step[1]).astype(np.int64)
    inside = (i >= 0) & (i < top.shape[0]) & (j >= 0) & (j < top.shape[1])
    return top[np.clip(i, 0, top.shape[0] - 1), np.clip(j, 0, top.shape[1] - 1)], inside


def listed_crevices(listed: tuple[CreviceSpec, ...]) -> tuple[Crevice, ...]:
    """The keeper's own crevices. They face away from the rock they are in."""
    return tuple(
        Crevice(it.x_cm, it.y_cm, it.z_cm, it.mouth_cm, it.depth_cm, it.openings, UNKNOWN_DIRECTION)
        for it in listed
    )


def behind_objects(tank: TankSpec, rock: RockSpec) -> tuple[Crevice, ...]:
    """One hiding place for each piece of wood or equipment: behind it, or under it."""
    return tuple(_behind(tank, it) for it in rock.objects)


def _behind(tank: TankSpec, it: ObjectSpec) -> Crevice:
    """The gap to the back glass, open at both ends; else the gap under it, open to the front."""
    middle_x = it.x_cm + it.length_cm / 2.0
    back_y = it.y_cm + it.width_cm
    back_gap = tank.width_cm - back_y
    if not _is_hiding_gap(back_gap) and _is_hiding_gap(it.z_cm):
        return Crevice(middle_x, it.y_cm, it.z_cm / 2.0, it.z_cm, it.width_cm, 1, (0.0, -1.0, 0.0))
    gap = back_gap if _is_hiding_gap(back_gap) else _NOMINAL_GAP_CM
    y = min(back_y + gap / 2.0, tank.width_cm)
    z = min(it.z_cm + it.height_cm / 2.0, tank.water_cm)
    return Crevice(middle_x, y, z, gap, it.length_cm, 2, (1.0, 0.0, 0.0))


def _is_hiding_gap(gap_cm: float) -> bool:
    return _GAP_MIN_CM <= gap_cm <= _GAP_MAX_CM
