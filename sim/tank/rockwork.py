"""Rockwork: where the rock stands and where its crevices are, in cm, before anything is turned into cells.

Rock is a height over the floor on points about 1 cm apart, built from rounded pieces in heaps or
from the keeper's own sketch. How keepers build (heaps against the back, highest inside, gaps
between them) is common practice, no source; the shapes and sizes below are assumptions.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..rules.support.compiled import rule
from ..scenario.scenario import ObjectSpec, RockSpec, TankSpec
from .crevices import CREVICES_MAX, Crevice, RockDraw, behind_objects, drawn_crevices, listed_crevices

_PIECE_MIN_CM = 2.0  # finer than this is gravel, not rock to hide in
_POINTS_MIN = 40  # points along a side of the smallest tank
_SPACING = 0.8  # of a piece, between centres: neighbours overlap a little and leave gullies at the floor
_LAYERS = 3  # the second and third layer of pieces fill the gullies when much cover is asked for
_GAP = 0.15  # of a heap's strip, left free between heaps
_GAP_MAX_CM = 15.0
_SPECK = 0.25  # the last piece is left out when less than this of its size is wanted

# columns of Rock.pieces
X, Y, LONG, SHORT, COS, SIN, TOP, FACET_AX, FACET_AY, FACET_BX, FACET_BY = range(11)


class Rock(NamedTuple):
    """Rock and solid objects of one tank, in cm from the left end, the front glass and the base."""

    length_cm: float
    width_cm: float
    top_cm: NDArray[np.float64]  # [a, b] height of the rock, a points along the length, b front to back
    pieces: NDArray[np.float64]  # [p, 11] in the order they were laid; empty for a sketch
    boxes: NDArray[np.float64]  # [o, 6] wood, filter, heater: x, y, z of the low corner, then of the high one
    crevices: tuple[Crevice, ...]


@dataclass(frozen=True)
class RockSummary:
    """What the rock leaves, for saying back to the keeper."""

    water_litres: float  # left after rock, wood, filter and heater
    solid_litres: float  # rock and objects below the water line, gaps between the pieces not counted as water
    cover: float  # share of the floor under rock
    highest_cm: float
    pieces: int
    crevices: int
    mouth_edges_cm: tuple[float, ...]  # k + 1 edges of the size classes, the last is inf
    mouth_counts: tuple[int, ...]  # k crevices by mouth


def draw_rock(
    tank: TankSpec, rock: RockSpec, *, rng: np.random.Generator, draw: RockDraw | None = None
) -> Rock:
    """Rock of one trial.

    Asked for more cover with the same random numbers, it keeps the pieces it had and adds to them;
    the last piece may have been laid smaller. Cell size and water level change nothing.

    Raises ValueError: a sketch that is no block of digits, or cover without height.

    Parameters
    ----------
    tank, rock : what the keeper wrote
    rng : its draws do not depend on cover or height
    draw : sizes and number of crevices; the middle of the assumed range when left out
    """
    draw = RockDraw() if draw is None else draw
    points = max(_POINTS_MIN, round(tank.length_cm)), max(_POINTS_MIN, round(tank.width_cm))
    step = tank.length_cm / points[0], tank.width_cm / points[1]
    size = max(rock.piece_cm, _PIECE_MIN_CM)
    candidates = _candidates(tank, rock, size, rng)
    if rock.sketch is not None:
        top = _sketch_heights(rock, points)
        pieces = candidates[:0]
        heart = _middles(_pieces_under(top, candidates, step), top, step)
    else:
        top = np.zeros(points)
        laid = _pile_up(top, candidates, step[0], step[1], _points_wanted(rock, points))
        pieces = candidates[:laid]
        heart = _middles(pieces, top, step)
    if rock.crevices is None:
        found = drawn_crevices(top, step, heart, size=size, water_cm=tank.water_cm, draw=draw, rng=rng)
    else:
        found = listed_crevices(rock.crevices)
    return Rock(
        tank.length_cm, tank.width_cm, top, pieces, _boxes(rock.objects), found + behind_objects(tank, rock)
    )


def changed_rock(
    tank: TankSpec,
    before: Rock,
    rock: RockSpec,
    *,
    rng: np.random.Generator,
    more: np.random.Generator,
    draw: RockDraw | None = None,
) -> Rock:
    """Rock to which pieces were added, or of which the last ones were taken.

    What stays lies where it was, with its crevices, but for those that the new pieces cover up; of the last
    piece that stays more or less may show. New pieces have crevices of their own.

    Parameters
    ----------
    before : the rock until then.
    rock : what is there from now on; it differs in its cover alone.
    rng : the same draws that ``before`` was made of.
    more : draws of the new pieces' crevices.
    draw : see :func:`draw_rock`.
    """
    draw = RockDraw() if draw is None else draw
    bare = draw_rock(tank, replace(rock, crevices=()), rng=rng, draw=draw)
    step = tank.length_cm / bare.top_cm.shape[0], tank.width_cm / bare.top_cm.shape[1]
    stay, behind = min(len(before.pieces), len(bare.pieces)), len(rock.objects)
    drawn = before.crevices[: len(before.crevices) - behind]
    kept = [one for one in drawn if one.piece < stay and _is_open(bare, one)]
    new = drawn_crevices(
        bare.top_cm,
        step,
        _middles(bare.pieces, bare.top_cm, step)[stay:],
        size=max(rock.piece_cm, _PIECE_MIN_CM),
        water_cm=tank.water_cm,
        draw=draw,
        rng=more,
    )
    kept += [one._replace(piece=one.piece + stay) for one in new[: max(0, CREVICES_MAX - len(kept))]]
    return bare._replace(crevices=(*kept, *behind_objects(tank, rock)))


def _is_open(rock: Rock, hole: Crevice) -> bool:
    """Whether the mouth of a crevice is not covered up."""
    at = rock_top_cm(rock, np.array([hole.x_cm]), np.array([hole.y_cm]))
    return float(at[0]) <= hole.z_cm + 1e-9


def full_rock(tank: TankSpec, rock: RockSpec) -> Rock:
    """Rock over the whole floor as high as any may be, and the objects: more than any trial draws."""
    height = (
        rock.height_cm if rock.sketch is None else max(map(int, "".join(rock.sketch))) * rock.sketch_step_cm
    )
    top = np.full((1, 1), height if rock.cover > 0.0 or rock.sketch is not None else 0.0)
    return Rock(tank.length_cm, tank.width_cm, top, np.empty((0, 11)), _boxes(rock.objects), ())


def rock_top_cm(rock: Rock, x_cm: NDArray[np.float64], y_cm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Height of the rock above the base at places in the tank; 0 where there is none."""
    a, b = rock.top_cm.shape
    i = np.clip((np.asarray(x_cm) * (a / rock.length_cm)).astype(np.int64), 0, a - 1)
    j = np.clip((np.asarray(y_cm) * (b / rock.width_cm)).astype(np.int64), 0, b - 1)
    heights: NDArray[np.float64] = rock.top_cm[i, j]
    return heights


def describe_rock(
    tank: TankSpec, rock: Rock, *, mouth_edges_cm: tuple[float, ...] = (0.0, 2.0, 4.0, 6.0, 8.0, np.inf)
) -> RockSummary:
    """Water left after rock, and crevices by size of the mouth.

    Litres are of the bulk of the rock as the fish meet it, without the water between the pieces.
    """
    water = tank.water_cm
    a, b = rock.top_cm.shape
    below = np.minimum(rock.top_cm, water)
    solid = below.copy()
    x = (np.arange(a) + 0.5) * (rock.length_cm / a)
    y = (np.arange(b) + 0.5) * (rock.width_cm / b)
    for box in rock.boxes:
        inside = np.outer((x >= box[0]) & (x < box[3]), (y >= box[1]) & (y < box[4]))
        solid += inside * np.maximum(0.0, min(box[5], water) - np.maximum(box[2], below))
    solid = np.minimum(solid, water)
    area = rock.length_cm * rock.width_cm / (a * b)
    solid_litres = float(solid.sum()) * area / 1000.0
    counts = np.histogram([hole.mouth_cm for hole in rock.crevices], bins=mouth_edges_cm)[0]
    return RockSummary(
        water_litres=rock.length_cm * rock.width_cm * water / 1000.0 - solid_litres,
        solid_litres=solid_litres,
        cover=float((rock.top_cm > 0.0).mean()),
        highest_cm=float(rock.top_cm.max()),
        pieces=len(rock.pieces),
        crevices=len(rock.crevices),
        mouth_edges_cm=tuple(mouth_edges_cm),
        mouth_counts=tuple(int(count) for count in counts),
    )


def _points_wanted(rock: RockSpec, points: tuple[int, int]) -> int:
    if rock.cover > 0.0 and rock.height_cm <= 0.0:
        raise ValueError("rock: a cover needs a height above 0 cm")
    return round(rock.cover * points[0] * points[1])


def _sketch_heights(rock: RockSpec, points: tuple[int, int]) -> NDArray[np.float64]:
    """Heights from rows of digits, the back of the tank first, spread evenly over the floor."""
    rows = rock.sketch or ()
    if not rows or len({len(row) for row in rows}) != 1 or not all(row.isdecimal() for row in rows):
        raise ValueError("rock.sketch: rows of digits 0 to 9, all rows equally long")
    digits = np.array([[int(digit) for digit in row] for row in rows], dtype=np.float64)
    along = (np.arange(points[0]) * digits.shape[1]) // points[0]
    back = digits.shape[0] - 1 - (np.arange(points[1]) * digits.shape[0]) // points[1]
    heights: NDArray[np.float64] = digits[np.ix_(back, along)].T * rock.sketch_step_cm
    return heights


def _pieces_under(
    top: NDArray[np.float64], candidates: NDArray[np.float64], step: tuple[float, float]
) -> NDArray[np.float64]:
    """As many pieces as it takes to cover the floor that a sketch covers, so that rock has as many crevices
    whether it is sketched or drawn."""
    inside = candidates[_middles(candidates, top, step)[:, 2] > 0.0].copy()
    scratch = np.zeros_like(top)
    return inside[: _pile_up(scratch, inside, step[0], step[1], int((top > 0.0).sum()))]


def _boxes(objects: tuple[ObjectSpec, ...]) -> NDArray[np.float64]:
    corners = [
        (it.x_cm, it.y_cm, it.z_cm, it.x_cm + it.length_cm, it.y_cm + it.width_cm, it.z_cm + it.height_cm)
        for it in objects
    ]
    return np.array(corners, dtype=np.float64).reshape(-1, 6)


def _grid(tank: TankSpec, size: float) -> NDArray[np.float64]:
    """Staggered rows of places for one layer of pieces, over the whole floor."""
    spacing = _SPACING * size
    columns = int(np.ceil(tank.length_cm / spacing)) + 1
    rows = int(np.ceil(tank.width_cm / (spacing * 0.87))) + 1
    x, y = np.meshgrid(np.arange(columns) * spacing, np.arange(rows) * spacing * 0.87, indexing="ij")
    x = x + (np.arange(rows) % 2) * spacing / 2.0
    return np.stack([x.ravel(), y.ravel()], axis=1)


def _candidates(tank: TankSpec, rock: RockSpec, size: float, rng: np.random.Generator) -> NDArray[np.float64]:
    """Pieces enough for the whole floor, in the order in which the heaps grow, as rows of Rock.pieces."""
    grid = _grid(tank, size)
    layers = []
    for layer in range(_LAYERS):
        shift = layer * _SPACING * size / _LAYERS
        places = grid + shift + (rng.random(grid.shape) - 0.5) * 0.5 * size
        places = np.mod(places, (tank.length_cm, tank.width_cm))
        layers.append(np.column_stack([places, np.full(len(grid), float(layer))]))
    place = np.concatenate(layers)
    luck = rng.random((len(place), 8))
    distance, in_gap = _heap_distance(tank, rock, size, place, rng)
    order = np.argsort(distance + 0.15 * luck[:, 0] + 10.0 * place[:, 2] + 100.0 * in_gap, kind="stable")
    return _shaped(place[order], distance[order], luck[order], size, rock.height_cm)


def _heap_distance(
    tank: TankSpec, rock: RockSpec, size: float, place: NDArray[np.float64], rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """How far out in its heap each place is (0 the heart, about 1 the rim), and whether it is in a gap."""
    piles = max(1, rock.piles)
    strip = tank.length_cm / piles
    luck = rng.random((piles, 3))
    heap = np.minimum((place[:, 0] // strip).astype(np.int64), piles - 1)
    heart_x = (heap + 0.4 + 0.2 * luck[heap, 0]) * strip
    heart_y = (0.65 + 0.2 * luck[heap, 1]) * tank.width_cm  # mostly towards the back
    reach = (0.85 + 0.3 * luck[heap, 2]) / 2.0  # heaps are not all alike
    along = (place[:, 0] - heart_x) / (strip * reach)
    across = (place[:, 1] - heart_y) / (0.7 * tank.width_cm)
    gap = min(_GAP_MAX_CM, _GAP * strip)
    from_border = np.minimum(place[:, 0] - heap * strip, (heap + 1) * strip - place[:, 0])
    outer = (place[:, 0] < strip / 2.0) | (place[:, 0] > tank.length_cm - strip / 2.0)
    in_gap = (from_border < gap / 2.0 + 0.6 * size) & ~outer
    return np.hypot(along, across), in_gap & (piles > 1)


def _shaped(
    place: NDArray[np.float64],
    distance: NDArray[np.float64],
    luck: NDArray[np.float64],
    size: float,
    height: float,
) -> NDArray[np.float64]:
    """Size, turn, height and broken faces of the pieces, from uniform ``luck`` [p, 8]."""
    pieces = np.empty((len(place), 11))
    pieces[:, X:LONG] = place[:, :2]
    radius = size * (0.375 + 0.25 * luck[:, 1])
    stretch = 1.0 + 0.3 * luck[:, 2]
    pieces[:, LONG] = radius * np.sqrt(stretch)
    pieces[:, SHORT] = radius / np.sqrt(stretch)
    pieces[:, COS] = np.cos(np.pi * luck[:, 3])
    pieces[:, SIN] = np.sin(np.pi * luck[:, 3])
    slope = np.clip(1.0 - 0.75 * distance, 0.25, 1.0) * (0.7 + 0.3 * luck[:, 4])
    lowest = min(0.6 * size, height)
    pieces[:, TOP] = np.maximum(slope * height, lowest) * np.where(place[:, 2] > 0, 0.7, 1.0)
    if len(pieces):
        pieces[0, TOP] = height  # the heart of the first heap has the height asked for
    for column, turn in ((FACET_AX, 5), (FACET_BX, 6)):
        steep = 0.1 + 0.4 * luck[:, 7]
        pieces[:, column] = steep * np.cos(2.0 * np.pi * luck[:, turn])
        pieces[:, column + 1] = steep * np.sin(2.0 * np.pi * luck[:, turn])
    return pieces


@rule
def _piece_top(piece: NDArray[np.float64], x: float, y: float, scale: float) -> float:
    """Height of a piece at a place, 0 outside it: a rounded block with two broken faces.

    It falls along every ray from the middle, so a piece laid smaller lies within the same piece laid full.
    """
    dx = x - piece[X]
    dy = y - piece[Y]
    u = (dx * piece[COS] + dy * piece[SIN]) / (piece[LONG] * scale)
    v = (dy * piece[COS] - dx * piece[SIN]) / (piece[SHORT] * scale)
    out = u * u + v * v
    if out >= 1.0:
        return 0.0
    shape = np.sqrt(1.0 - out * out)
    shape = min(shape, 1.0 - max(0.0, u * piece[FACET_AX] + v * piece[FACET_AY]))
    shape = min(shape, 1.0 - max(0.0, u * piece[FACET_BX] + v * piece[FACET_BY]))
    return piece[TOP] * shape


@rule
def _lay(
    top: NDArray[np.float64],
    piece: NDArray[np.float64],
    step_x: float,
    step_y: float,
    scale: float,
    trial: bool,
) -> int:
    """Points newly covered by a piece; the rock is raised unless it is only a trial."""
    reach = max(piece[LONG], piece[SHORT]) * scale
    low_x = max(0, int((piece[X] - reach) / step_x))
    low_y = max(0, int((piece[Y] - reach) / step_y))
    fresh = 0
    for i in range(low_x, min(top.shape[0], int((piece[X] + reach) / step_x) + 1)):
        for j in range(low_y, min(top.shape[1], int((piece[Y] + reach) / step_y) + 1)):
            height = _piece_top(piece, (i + 0.5) * step_x, (j + 0.5) * step_y, scale)
            if height > 0.0 and top[i, j] == 0.0:
                fresh += 1
            if height > top[i, j] and not trial:
                top[i, j] = height
    return fresh


@rule
def _scale_to_fit(
    top: NDArray[np.float64], piece: NDArray[np.float64], step_x: float, step_y: float, room: int
) -> float:
    """The largest share of its size at which a piece newly covers no more than ``room`` points."""
    low = 0.0
    high = 1.0
    for _ in range(12):
        scale = 0.5 * (low + high)
        if _lay(top, piece, step_x, step_y, scale, True) > room:
            high = scale
        else:
            low = scale
    return low


@rule
def _pile_up(
    top: NDArray[np.float64], pieces: NDArray[np.float64], step_x: float, step_y: float, wanted: int
) -> int:
    """Lay pieces in order until ``wanted`` points are covered; the last is laid as small as needed.

    Returns how many pieces lie. ``top`` is raised and the last piece's size changed in place.
    """
    covered = 0
    for p in range(pieces.shape[0]):
        if covered >= wanted:
            return p
        fresh = _lay(top, pieces[p], step_x, step_y, 1.0, True)
        if covered + fresh > wanted:
            scale = _scale_to_fit(top, pieces[p], step_x, step_y, wanted - covered)
            if scale < _SPECK:
                return p
            pieces[p, LONG] *= scale
            pieces[p, SHORT] *= scale
            _lay(top, pieces[p], step_x, step_y, 1.0, False)
            return p + 1
        covered += _lay(top, pieces[p], step_x, step_y, 1.0, False)
    return pieces.shape[0]


def _middles(
    pieces: NDArray[np.float64], top: NDArray[np.float64], step: tuple[float, float]
) -> NDArray[np.float64]:
    """Middle of each piece and height of the rock there, [p, 3] cm; height 0 where there is no rock."""
    i = np.clip((pieces[:, X] / step[0]).astype(np.int64), 0, top.shape[0] - 1)
    j = np.clip((pieces[:, Y] / step[1]).astype(np.int64), 0, top.shape[1] - 1)
    return np.column_stack([pieces[:, X], pieces[:, Y], top[i, j]])
