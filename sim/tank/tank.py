"""Tank: open cells, neighbours, path fields, lines of sight, cover, refuges. All tables of one drawn tank."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ..scenario.reading.limits import LEAST_CELLS_A_SIDE
from ..scenario.scenario import TankSpec
from ..scenario.timeline import Divider
from .crevices import Crevice
from .divider import LEFT, RIGHT, hidden_behind, largest_bodies, layer_of, parts_of, walled
from .paths import DIRECTIONS as DIRECTIONS
from .paths import FAR as FAR
from .paths import STEP_CM as STEP_CM
from .paths import STEP_THIRDS as STEP_THIRDS
from .paths import balls, neighbour_table, open_ball_size, path_fields
from .rockwork import Rock, rock_top_cm
from .sight import cover_share, packed_rows, sight_table

CELLS_MIN = 30  # fewer open cells are no tank to swim in
_GLASS = 0.3  # growth on glass relative to rock: assumption
_CORNER_ROOM = 4
_ROOMY_CM = 25.0  # a deeper crevice with two openings holds two fish: assumption
_SECOND_FEEDING_CM = 120.0  # longer tanks are fed at two places: common practice, no source


class WaterError(ValueError):
    """Rock and objects leave too little water to swim in.

    Parameters
    ----------
    cells : of the largest connected body of water.
    trial : the one that it was found in; None where that is not known.
    divided : whether that is on one side of a divider.
    """

    def __init__(
        self, cells: int, *, cell_cm: float, trial: int | None = None, divided: bool = False
    ) -> None:
        self.cells, self.cell_cm, self.divided = cells, cell_cm, divided
        where = "on one side of the divider" if divided else "in the tank"
        where = (
            where if trial is None else f"{where if divided else ''} in simulated tank {trial + 1}".strip()
        )
        self.found = (
            f"{'hardly any' if cells else 'no'} water {where}: {cells} connected cells of {cell_cm:g} cm"
        )
        super().__init__(
            f"rock: {self.found}; use less or lower rock, or smaller cells, so that at least {CELLS_MIN} "
            "such cells are left"
        )


class Tank(NamedTuple):
    """The tables of one tank; n open cells, r refuges, s = r + feeding places path sources.

    Cells are numbered in C order of (x, y, z) over the open (water, not rock) cells.
    x runs along the front from the left, y from the front glass to the back, z up from the floor.
    """

    edge_cm: float
    shape: NDArray[np.int64]  # [3] cells along x, y, z
    index: NDArray[np.int32]  # type: ignore[assignment]  # [nx, ny, nz] number of the open cell, -1: no water
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
    refuge_corner: NDArray[
        np.bool_
    ]  # [r] a corner of the glass or under the surface: a poor refuge, in full view
    feed_source: NDArray[np.int32]  # [f] rows of path for the feeding places
    feed_cell: NDArray[np.int32]  # [f] their cells
    part: NDArray[np.int32]  # [n] 0; with a divider 0 left and 1 right of it, -1 cut off from either


def build_tank(
    spec: TankSpec,
    rock: Rock,
    *,
    divider: Divider | None = None,
    sight_cm: float = 150.0,
    place_cm: float = 15.0,
    look_in_degrees: float = 50.0,
) -> Tank:
    """All tables of a tank with its rock.

    Each side is the nearest whole number of cells, at least three; rock is looked up as if the cells
    filled the tank exactly. Water that the rock cuts off from the rest counts as rock.

    Raises WaterError: see :func:`open_water`.

    Parameters
    ----------
    spec, rock : see :func:`rockshy.sim.tank.rockwork.draw_rock`
    divider : of the water, if there is one
    sight_cm : how far a fish sees
    place_cm : swimming distance that makes up one place
    look_in_degrees : a crevice is looked into from within this angle of its outward direction (assumption)
    """
    shape = cell_counts(spec)
    water = open_water(spec, rock, divider=divider)
    index = _numbered(water)
    xyz = np.ascontiguousarray(np.argwhere(water), dtype=np.int32)
    padded = np.pad(index, 1, constant_values=-1)
    neighbour = neighbour_table(padded, xyz)
    reach = sight_cm / spec.cell_cm
    sight = sight_table(packed_rows(water), index, len(xyz), reach)
    layer = 0 if divider is None else layer_of(divider.x_cm, spec, shape[0])
    part = parts_of(water, layer) if layer else np.zeros(len(xyz), np.int32)
    if divider is not None:
        neighbour = walled(neighbour, xyz[:, 0] >= layer)
        if not divider.clear:
            sight = hidden_behind(sight, xyz[:, 0] >= layer)
    crevice_cells, outward = _snapped(spec, rock.crevices, water, xyz)
    corners = _corner_cells(index, layer)
    feeding = _feeding_cells(spec, shape, xyz, part, layer)
    sources = np.concatenate([crevice_cells, corners, feeding]).astype(np.int32)
    path, toward = path_fields(neighbour, sources)
    limit = int(3.0 * place_cm / spec.cell_cm + 1e-9)
    ball_start, ball = balls(neighbour, limit, open_ball_size(limit))
    two_ways = np.array([hole.openings > 1 for hole in rock.crevices], dtype=np.bool_)
    depth = np.array([hole.depth_cm for hole in rock.crevices], dtype=np.float64)
    mouth = np.array([hole.mouth_cm for hole in rock.crevices], dtype=np.float64)
    none = np.zeros(len(corners))
    return Tank(
        edge_cm=float(spec.cell_cm),
        shape=np.array(shape, dtype=np.int64),
        index=index,
        xyz=xyz,
        neighbour=neighbour,
        path=path,
        toward=toward,
        sight=sight,
        looks_in=np.concatenate(
            [_looking_in(sight, xyz, crevice_cells, outward, two_ways, look_in_degrees), sight[corners]]
        ),
        cover=_cover(sight, water, xyz, reach, 0 if divider is None or divider.clear else layer),
        graze=_graze(water, xyz),
        ball_start=ball_start,
        ball=ball,
        refuge_cell=sources[: len(sources) - len(feeding)],
        refuge_mouth_cm=np.concatenate([mouth, none + np.inf]),
        refuge_depth_cm=np.concatenate([depth, none]),
        refuge_room=np.concatenate(
            [np.where(two_ways & (depth > _ROOMY_CM), 2, 1), np.full(len(corners), _CORNER_ROOM)]
        ).astype(np.int32),
        refuge_corner=np.arange(len(sources) - len(feeding)) >= len(crevice_cells),
        feed_source=np.arange(len(sources) - len(feeding), len(sources), dtype=np.int32),
        feed_cell=feeding.astype(np.int32),
        part=part,
    )


def open_water(spec: TankSpec, rock: Rock, *, divider: Divider | None = None) -> NDArray[np.bool_]:
    """Which cells [nx, ny, nz] are water to swim in: the largest connected body of it.

    Raises WaterError: rock and objects leave fewer than CELLS_MIN cells of connected water, on either side
    of a divider.
    """
    water = _largest_water(~_solid_cells(spec, rock, cell_counts(spec)), spec)
    if divider is not None:
        for side in largest_bodies(water, layer_of(divider.x_cm, spec, len(water))):
            if side.sum() < CELLS_MIN:
                raise WaterError(int(side.sum()), cell_cm=spec.cell_cm, divided=True)
    return water


def cell_counts(spec: TankSpec) -> tuple[int, int, int]:
    """Cells along the length, front to back and up to the water line."""
    x, y, z = (max(LEAST_CELLS_A_SIDE, round(side / spec.cell_cm)) for side in _sides(spec))
    return x, y, z


def cell_centres_cm(spec: TankSpec, xyz: NDArray[np.integer]) -> NDArray[np.float64]:
    """Centres of cells [n, 3] in cm from the left end, the front glass and the base."""
    return (np.asarray(xyz) + 0.5) * (np.array(_sides(spec)) / cell_counts(spec))


def _sides(spec: TankSpec) -> tuple[float, float, float]:
    return spec.length_cm, spec.width_cm, spec.water_cm


def _solid_cells(spec: TankSpec, rock: Rock, shape: tuple[int, int, int]) -> NDArray[np.bool_]:
    """Cells whose centre is inside rock, wood or equipment."""
    x, y, z = (
        (np.arange(count, dtype=np.float64) + 0.5) * (side / count)
        for count, side in zip(shape, _sides(spec), strict=True)
    )
    top = rock_top_cm(rock, *np.meshgrid(x, y, indexing="ij"))
    solid = z[None, None, :] < top[:, :, None]
    for box in rock.boxes:
        spans = [_span(centres, box[axis], box[axis + 3]) for axis, centres in enumerate((x, y, z))]
        solid[tuple(spans)] = True
    return solid


def _span(centres: NDArray[np.float64], low: float, high: float) -> slice:
    """Cells whose centre lies between; the nearest one for a box thinner than a cell, none outside."""
    first, last = (int(at) for at in np.searchsorted(centres, (low, high)))
    half = centres[0]
    if first == last and low < centres[-1] + half and high > 0.0:
        first = int(np.abs(centres - (low + high) / 2.0).argmin())
        last = first + 1
    return slice(first, last)


def _largest_water(water: NDArray[np.bool_], spec: TankSpec) -> NDArray[np.bool_]:
    """The largest connected body of water; diagonal steps cut no corner, so faces alone decide."""
    bodies, _ = ndimage.label(water)
    sizes = np.bincount(bodies.ravel())
    sizes[0] = 0
    if sizes.max() < CELLS_MIN:
        raise WaterError(int(sizes.max()), cell_cm=spec.cell_cm)
    largest: NDArray[np.bool_] = bodies == sizes.argmax()
    return largest


def _numbered(water: NDArray[np.bool_]) -> NDArray[np.int32]:
    index = np.full(water.shape, -1, dtype=np.int32)
    index[water] = np.arange(np.count_nonzero(water), dtype=np.int32)
    return index


def _water_before(water: NDArray[np.bool_]) -> NDArray[np.int64]:
    return np.concatenate([np.zeros((1, *water.shape[1:]), dtype=np.int64), np.cumsum(water, axis=0)])


def _beside(water: NDArray[np.bool_], xyz: NDArray[np.int32]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Number of rock faces and of glass faces among the six faces of each open cell."""
    rock = np.zeros(len(xyz), dtype=np.int64)
    glass = np.zeros(len(xyz), dtype=np.int64)
    for step in DIRECTIONS[:6]:
        place = xyz + step
        outside = ((place < 0) | (place >= water.shape)).any(axis=1)
        inside = np.where(outside[:, None], xyz, place)
        rock += ~water[tuple(inside.T)]
        glass += outside & (step[2] == 0)  # below is the sand, above the air
    return rock, glass


def _graze(water: NDArray[np.bool_], xyz: NDArray[np.int32]) -> NDArray[np.float64]:
    rock, glass = _beside(water, xyz)
    return (rock + _GLASS * glass) / 6.0


def _snapped(
    spec: TankSpec, crevices: tuple[Crevice, ...], water: NDArray[np.bool_], xyz: NDArray[np.int32]
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Cell at the mouth of each crevice and its outward unit vector.

    The cell is the open one beside rock whose centre is nearest to a point half an edge outside the
    mouth, of equally near ones the lowest-numbered; any open cell where the tank has no rock.
    """
    if not crevices:
        return np.empty(0, dtype=np.int64), np.empty((0, 3))
    rock, _ = _beside(water, xyz)
    allowed = np.nonzero(rock > 0)[0] if rock.any() else np.arange(len(xyz))
    centres = cell_centres_cm(spec, xyz[allowed])
    outward = np.array([hole.outward for hole in crevices])
    mouths = np.array([(hole.x_cm, hole.y_cm, hole.z_cm) for hole in crevices]) + 0.5 * spec.cell_cm * outward
    distance = ((mouths[:, None, :] - centres[None, :, :]) ** 2).sum(axis=2)
    cells = allowed[np.round(distance, 9).argmin(axis=1)]
    for row in np.nonzero(~outward.any(axis=1))[0]:
        outward[row] = _away_from_rock(water, xyz[cells[row]])
    return cells, outward


def _away_from_rock(water: NDArray[np.bool_], place: NDArray[np.int32]) -> NDArray[np.float64]:
    """Unit vector away from the rock round a cell; to the front glass where rock is all round or absent."""
    away = np.zeros(3)
    for step in DIRECTIONS:
        beside = place + step
        if (beside >= 0).all() and (beside < water.shape).all() and not water[tuple(beside)]:
            away -= step / np.linalg.norm(step)
    length = float(np.linalg.norm(away))
    return away / length if length > 1e-9 else np.array([0.0, -1.0, 0.0])


def _corner_cells(index: NDArray[np.int32], layer: int = 0) -> NDArray[np.int64]:
    """The corners of the glass at the floor and those under the surface, where they are water.

    There are four of each; where a divider stands to the right of ``layer`` cells, four more at it.
    """
    ends = [(0, -1), (layer - 1, layer)] if layer else [(0, -1)]
    corners = np.concatenate(
        [index[np.ix_(pair, (0, -1), (0, -1))].transpose(2, 0, 1).ravel() for pair in ends]
    )
    return corners[corners >= 0].astype(np.int64)


def _feeding_cells(
    spec: TankSpec, shape: tuple[int, int, int], xyz: NDArray[np.int32], part: NDArray[np.int32], layer: int
) -> NDArray[np.int64]:
    """Open cells nearest to where food is dropped: at the front, evenly spaced along the surface.

    So on either side of a divider, which stands to the right of ``layer`` cells; 0: there is none.
    """
    sides = [(LEFT, 0, layer), (RIGHT, layer, shape[0])] if layer else [(LEFT, 0, shape[0])]
    cells = []
    for side, first, end in sides:
        many = end - first
        places = 2 if spec.length_cm * many / shape[0] > _SECOND_FEEDING_CM else 1
        along = first + (2 * np.arange(places) + 1) * many // (2 * places)
        spots = np.column_stack([along, np.zeros(places, dtype=np.int64), np.full(places, shape[2] - 1)])
        there = np.flatnonzero(part == side)
        distance = ((xyz[None, there, :] - spots[:, None, :]) ** 2).sum(axis=2)
        cells.append(there[distance.argmin(axis=1)])
    return np.concatenate(cells)


def _cover(
    sight: NDArray[np.uint8], water: NDArray[np.bool_], xyz: NDArray[np.int32], reach: float, layer: int
) -> NDArray[np.float64]:
    """:func:`cover_share`; on either side of an opaque divider of the water of that side."""
    if not layer:
        return cover_share(sight, _water_before(water), xyz, reach)
    found = np.empty(len(xyz))
    is_right = np.arange(len(water)) >= layer
    for side in (False, True):
        here = is_right[xyz[:, 0]] == side
        own = water & (is_right == side)[:, None, None]
        found[here] = cover_share(sight[here], _water_before(own), xyz[here], reach)
    return found


def _looking_in(
    sight: NDArray[np.uint8],
    xyz: NDArray[np.int32],
    mouth: NDArray[np.int64],
    outward: NDArray[np.float64],
    two_ways: NDArray[np.bool_],
    degrees: float,
) -> NDArray[np.uint8]:
    """From which cells one sees into each crevice, as bits: in sight of the mouth and well before it.

    With two openings one sees in from either end. A fish at the mouth itself always does.
    """
    if len(mouth) == 0:
        return np.empty((0, sight.shape[1]), dtype=np.uint8)
    along = np.zeros((len(mouth), len(xyz)))
    square = np.zeros((len(mouth), len(xyz)), dtype=np.int32)
    for axis in range(3):  # one axis at a time: the array of all offsets would not fit in the cache
        offset = xyz[:, axis] - xyz[mouth, axis][:, None]
        along += offset * outward[:, axis][:, None]
        square += offset * offset
    along = np.where(two_ways[:, None], np.abs(along), along)
    before = along >= np.cos(np.radians(degrees)) * np.sqrt(square) - 1e-9
    bits: NDArray[np.uint8] = np.packbits(before, axis=1, bitorder="little")
    return bits & sight[mouth]
