"""What is in view from a place in the tank, by the very lines of sight that the fish have in the model."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ....sim.scenario.scenario import TankSpec
from ....sim.scenario.units import say_length_cm
from ....sim.tank.tank import Tank, cell_centres_cm
from ...document.plain import many, percent

ALL_SEEN = 9
NO_WATER = "-"

Place = tuple[float, float, float]


def sight_told(tank: Tank, *, spec: TankSpec, place: Place, sight_cm: float) -> dict[str, Any]:
    """Lines of sight from the water nearest to a place.

    Parameters
    ----------
    place : cm from the left, from the front and above the base.
    sight_cm : how far a fish sees.

    Returns
    -------
    dict
        ``place`` the middle of the cell taken, cm; ``share`` of the water in view; ``above`` [ny] rows of nx
        signs, the back first: how much of the column of water over the floor is in view, 0 nothing to 9 all
        of it, ``-`` where no water is; ``front`` [nz] rows of nx signs, the surface first: how much of the
        water from the front glass to the back; ``cells`` [3] nx, ny, nz; ``said`` sentences.
    """
    centres = cell_centres_cm(spec, tank.xyz)
    cell = int(((centres - np.array(place)) ** 2).sum(axis=1).argmin())
    seen = np.unpackbits(tank.sight[cell], count=len(centres), bitorder="little").astype(bool)
    looks_in = (tank.looks_in[:, cell >> 3] >> (cell & 7)) & 1
    share, looked_into = float(seen.mean()), int(looks_in[~tank.refuge_corner].sum())
    return {
        "place": [round(float(x), 1) for x in centres[cell]],
        "share": share,
        "cells": tank.shape.tolist(),
        "above": _rows(_shares(seen, tank, axis=2).T[::-1]),
        "front": _rows(_shares(seen, tank, axis=1).T[::-1]),
        "said": _said(tank, spec, place, cell, share, looked_into, sight_cm),
    }


def _shares(seen: NDArray[np.bool_], tank: Tank, *, axis: int) -> NDArray[np.float64]:
    """Share of the open cells along an axis that are in view; nan where there is none."""
    water = tank.index >= 0
    in_view = np.zeros(water.shape, dtype=bool)
    in_view[water] = seen
    with np.errstate(invalid="ignore"):
        shares: NDArray[np.float64] = in_view.sum(axis=axis) / water.sum(axis=axis)
    return shares


def _rows(shares: NDArray[np.float64]) -> list[str]:
    """A sign for each share; 0 means that nothing at all is in view, 9 that nearly all is."""
    return ["".join(_sign(share) for share in row) for row in shares]


def _sign(share: float) -> str:
    return NO_WATER if np.isnan(share) else str(int(np.ceil(ALL_SEEN * share - 1e-9)))


def _said(
    tank: Tank, spec: TankSpec, place: Place, cell: int, share: float, looked_into: int, sight_cm: float
) -> list[str]:
    middle = cell_centres_cm(spec, tank.xyz[[cell]])[0]
    at = [say_length_cm(float(x)) for x in middle]
    said = [
        f"A fish {at[0]} from the left, {at[1]} from the front glass and {at[2]} above the base sees "
        f"{percent(share)} of the water and is seen from there; what is left lies behind rock or is farther "
        f"off than a fish sees, {say_length_cm(sight_cm)}."
    ]
    if _is_solid(tank, spec, place):
        said.insert(0, "That place is inside rock, wood or equipment, so the nearest water is used.")
    crevices = int((~tank.refuge_corner).sum())
    if crevices:
        said.append(f"It looks into {looked_into} of {many(crevices, 'crevice')}.")
    return said


def _is_solid(tank: Tank, spec: TankSpec, place: Place) -> bool:
    sides = np.array([spec.length_cm, spec.width_cm, spec.water_cm])
    at = np.clip((np.array(place) / sides * tank.shape).astype(int), 0, tank.shape - 1)
    return bool(tank.index[tuple(at)] < 0)
