"""Rock as stones: irregular pieces stacked as high as the rock is, with crevices as dark mouths.

The model knows a height over the floor and crevices; the shapes of single stones mean nothing.
A stone is flat and faces the viewer, at one depth; what is nearer covers what lies behind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...sim.scenario.scenario import RockSpec, TankSpec
from ...sim.tank.rockwork import COS, LONG, SHORT, SIN, TOP, Rock, X, Y
from ...sim.tank.tank import Tank, cell_centres_cm
from .colour import mixed

Floats = NDArray[np.float64]

_COLOURS = ("#93836e", "#82786b", "#a08c6f", "#75695d")
HAZE = "#5b8a92"  # what far things fade into
HAZE_MOST = 0.38
_CORNERS = 11
_MOST = 900  # stones of one tank; a tank full of rubble is drawn in coarser ones


@dataclass(frozen=True)
class Stone:
    """One stone or mouth, flat, facing the viewer."""

    depth_cm: float  # behind the front glass
    outline: Floats  # [k, 2] x and z, cm
    colours: tuple[str, str, str]  # rim, body, lit side; a mouth: rim and the dark alone


# of those three: how large, and how far aside and up of half its width
SHADES = ((1.0, (0, 0)), (0.92, (-0.02, 0.03)), (0.52, (-0.14, 0.16)))


def stones_of(rock: Rock, *, spec: RockSpec, tank: TankSpec) -> list[Stone]:
    """The stones of a rock, the farthest first."""
    found: list[Stone] = []
    rng = np.random.default_rng(7)  # what a stone looks like means nothing
    for piece in _thinned(_pieces(rock, spec)):
        found += _stack(piece, rng, tank)
    return sorted(found, key=lambda stone: -stone.depth_cm)


def mouths_of(tank: Tank, rock: Rock | None, *, spec: TankSpec) -> Floats:
    """Places of all refuges, [r, 3] cm.

    A crevice lies where its mouth is; a corner, and all of a rock that is not known, in the middle of a cell.
    """
    places = cell_centres_cm(spec, tank.xyz[tank.refuge_cell])
    if rock is not None:
        places[: len(rock.crevices)] = crevice_places(rock, spec=spec)
    return places


def crevice_places(rock: Rock, *, spec: TankSpec) -> Floats:
    """Where the mouths of the crevices are, inside the water, [c, 3] cm."""
    places = np.array([(hole.x_cm, hole.y_cm, hole.z_cm) for hole in rock.crevices]).reshape(-1, 3)
    return np.clip(places, 0, (spec.length_cm, spec.width_cm, spec.water_cm))


def holes_of(rock: Rock, *, spec: TankSpec) -> list[Stone]:
    """The mouths of the crevices as dark openings, in the order of the crevices."""
    rng = np.random.default_rng(11)
    found = []
    for hole, place in zip(rock.crevices, crevice_places(rock, spec=spec), strict=True):
        facing = max(0.45, abs(hole.outward[1])) if any(hole.outward) else 1.0
        half = np.array([max(1.2, 0.5 * hole.mouth_cm * facing), max(1.1, 0.42 * hole.mouth_cm)])
        inward = np.array([hole.outward[0] * half[0], max(0.0, hole.outward[2]) * half[1]])
        middle = place[[0, 2]] - 0.9 * inward
        middle[1] = max(middle[1], half[1] + 0.2)
        outline = middle + half * _round(rng, 0.1)
        depth = float(place[1]) - 0.5 * min(0.0, hole.outward[1]) - 1.0
        found.append(Stone(max(0.0, depth), outline, ("#a99c88", "#0c0f10", "#0c0f10")))
    return found


def _pieces(rock: Rock, spec: RockSpec) -> Floats:
    """Middle x and y, half width and half depth, height of each column of rock, [p, 5] cm."""
    if len(rock.pieces):
        p = rock.pieces
        across = np.hypot(p[:, LONG] * p[:, COS], p[:, SHORT] * p[:, SIN])
        back = np.hypot(p[:, LONG] * p[:, SIN], p[:, SHORT] * p[:, COS])
        return np.column_stack([p[:, X], p[:, Y], across, back, p[:, TOP]])
    return _from_heights(rock, max(4.0, spec.piece_cm))


def _from_heights(rock: Rock, size: float) -> Floats:
    """Columns that fill a sketch of heights."""
    top, rows = rock.top_cm, []
    step = (rock.length_cm / top.shape[0], rock.width_cm / top.shape[1])
    pitch = 0.7 * size
    for row, y in enumerate(np.arange(pitch / 2, rock.width_cm, pitch)):
        for x in np.arange(pitch / 2 * (1 + row % 2), rock.length_cm, pitch):
            i = slice(int(max(0, x - pitch / 2) / step[0]), int((x + pitch / 2) / step[0]) + 1)
            j = slice(int(max(0, y - pitch / 2) / step[1]), int((y + pitch / 2) / step[1]) + 1)
            near = top[i, j]
            if near.size and (near > 0).mean() > 0.4:
                rows.append((x, y, 0.55 * size, 0.5 * size, float(np.median(near[near > 0]))))
    return np.array(rows, dtype=float).reshape(-1, 5)


def _thinned(pieces: Floats) -> Floats:
    return pieces if len(pieces) <= _MOST // 3 else pieces[:: -(-3 * len(pieces) // _MOST)]


def _stack(piece: Floats, rng: np.random.Generator, tank: TankSpec) -> list[Stone]:
    """The stones of one column, the lowest first; narrower towards the top as the column is."""
    x, y, across, back, top = (float(value) for value in piece)
    layer = max(2.5, 1.15 * float(np.sqrt(across * back)))
    count = max(1, min(6, round(top / layer)))
    edges = np.linspace(0.0, top, count + 1)
    found = []
    for low, high in zip(edges[:-1], edges[1:], strict=True):
        middle = 0.45 * low + 0.55 * high if count > 1 else 0.5 * high
        share = (1.0 - min(0.97, middle / top) ** 2) ** 0.25 if count > 1 else 1.0
        wide, tall = across * share * rng.uniform(0.9, 1.08), 0.5 * (high - low) * rng.uniform(1.08, 1.22)
        half = np.array([wide, tall])
        centre = np.array([x + 0.12 * across * rng.uniform(-1, 1), 0.5 * (low + high)])
        outline = centre + half * _round(rng, 0.07)
        outline[:, 0] = np.clip(outline[:, 0], 0.2, tank.length_cm - 0.2)
        outline[:, 1] = np.maximum(outline[:, 1], 0.0)
        depth = float(np.clip(y + 0.2 * back * rng.uniform(-1, 1), 0.0, tank.width_cm))
        found.append(Stone(depth, outline, _stone_colours(rng, depth / tank.width_cm)))
    return found


def _round(rng: np.random.Generator, rough: float) -> Floats:
    """Corners of an irregular round about the origin, [k, 2], about 1 from it."""
    turn = (np.arange(_CORNERS) + rng.uniform(-0.3, 0.3, _CORNERS)) * (2 * np.pi / _CORNERS)
    far = 1.0 + rng.uniform(-rough, rough, _CORNERS)
    bulge = (np.abs(np.cos(turn)) ** 2.6 + np.abs(np.sin(turn)) ** 2.6) ** (-1 / 2.6)
    return np.column_stack([far * bulge * np.cos(turn), far * bulge * np.sin(turn)])


def _stone_colours(rng: np.random.Generator, depth: float) -> tuple[str, str, str]:
    """Rim, body and lit side, paler the farther back."""
    colour = mixed(str(rng.choice(_COLOURS)), "#3c3834", rng.uniform(0.0, 0.3))
    shades = (mixed(colour, "#241f1c", 0.62), colour, mixed(colour, "#fff6e4", 0.34))
    rim, body, lit = (mixed(shade, HAZE, HAZE_MOST * depth) for shade in shades)
    return rim, body, lit
