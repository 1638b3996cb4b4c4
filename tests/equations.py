"""What tests of the equations of sim/MODEL.md share: quoting a line of it, and a staged tank."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from staging import at as at
from staging import hole, holes, kind, put, row, stage, still

TEXT = " ".join(
    (Path(__file__).resolve().parent.parent / "sim" / "MODEL.md").read_text(encoding="utf-8").split()
)
OTHER = "Scena altera"


def states(*lines: str) -> None:
    """The document states these lines, spaces aside."""
    for line in lines:
        assert " ".join(line.split()) in TEXT, line


def near(x: float, r: float) -> float:
    return r**4 / (r**4 + x**4)


def sigmoid(x: float) -> float:
    return 1 / (1 + math.exp(-x))


def chance(rate: float, seconds: float) -> float:
    return 1 - math.exp(-rate * seconds)


def way(model, source, cell):
    return model.tank.path[source, cell] * model.tank.edge_cm / 3


def claimed(model, i, cell):
    """Claim of a fish to the block of a cell; 0 where it defends nothing."""
    ground = model.shoal.fish.ground[i]
    return 0.0 if ground < 0 else float(model.shoal.claims[ground, model.water.cells.block[cell]])


def apart(model, i, j):
    cells = model.tank.xyz[model.shoal.fish.cell[[i, j]]]
    return float(np.linalg.norm(cells[0] - cells[1])) * model.tank.edge_cm


def staged() -> Any:
    """Three fish in open water before a wall with two holes; every state different from every other."""
    model = stage(
        row(males=1, length=10.0), row(males=1, length=9.0), row(OTHER, females=1, length=8.0),
        kinds=(
            kind(temper=0.8, company=0.6, timidity=1.4),
            kind(OTHER, guild="A", temper=0.6, temper_female=0.4),
        ),
        rock=holes(hole(12.5, depth_cm=12.0), hole(47.5, depth_cm=18.0)),
    )  # fmt: skip
    still(model)
    fish, pair = model.shoal.fish, model.shoal.pair
    for i, place in enumerate(((3, 3, 3), (6, 4, 2), (8, 2, 4))):
        put(model, i, *place)
    fish.fright[:] = 0.3, 0.1, 0.5
    fish.slow_fright[:] = 0.2, 0.05, 0.1
    fish.hunger[:] = 0.7, 0.4, 0.9
    fish.experience[:] = 0.6, -0.4, 0.2
    fish.provoked[:] = 0.25, 0.02, 0.0
    fish.dominants[:] = 0.4, 1.2, 0.7
    pair.standing[:] = -np.linspace(0.2, 1.4, 9).reshape(3, 3)
    claims = model.shoal.claims
    claims[:] = 0.1 + 0.8 * np.random.default_rng(1).random(claims.shape)
    model.shoal.memory[:] = np.linspace(0.05, 0.9, model.shoal.memory.size).reshape(model.shoal.memory.shape)
    return model
