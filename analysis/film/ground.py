"""The ground that fish hold, block by block: what pictures and films draw of a territory."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ...sim.rules.claims import HELD
from ...sim.scenario.scenario import TankSpec
from ...sim.tank.tank import Tank
from ...sim.tank.water import BLOCK_CM

if TYPE_CHECKING:
    from ...sim.run.model import TankModel

Bools = NDArray[np.bool_]


def blocks_along(tank: Tank) -> tuple[int, int, int]:
    """How many blocks of BLOCK_CM the water has along, front to back and up."""
    x, y, z = (int(side) for side in np.ceil(np.array(tank.shape) * tank.edge_cm / BLOCK_CM - 1e-9))
    return x, y, z


def block_sides_cm(tank: Tank, spec: TankSpec) -> NDArray[np.float64]:
    """Sides of a block along, front to back and up; about BLOCK_CM, as the cells of a tank are."""
    water = np.array([spec.length_cm, spec.width_cm, spec.water_cm])
    return BLOCK_CM / tank.edge_cm * water / np.array(tank.shape)


def held_by(model: TankModel) -> Bools:
    """Which blocks each fish, or its pair or group, holds now, [n, blocks along, front to back, up]."""
    ground, claims = model.shoal.fish.ground, model.shoal.claims
    held = (claims[np.maximum(ground, 0)] >= HELD) & (ground >= 0)[:, None]
    return held.reshape(len(ground), *blocks_along(model.tank))


def outline(held: Bools) -> NDArray[np.float64]:
    """The border of blocks seen from one side, [s, 2 ends, 2], in blocks; ``held``: [across, up]."""
    lines = []
    for axis, across in ((0, held), (1, held.T)):
        rim = np.diff(np.pad(across, ((1, 1), (0, 0))).astype(np.int8), axis=0) != 0
        for at, low in np.argwhere(rim):
            ends = np.array([[at, low], [at, low + 1]])
            lines.append(ends if axis == 0 else ends[:, ::-1])
    return np.array(lines, dtype=float).reshape(-1, 2, 2)
