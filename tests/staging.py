"""Fish staged in simple tanks: an exact stimulus, so that a test can say what must follow."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.fish.records import records
from rockshy.sim.fish.shoal import (
    CHASING,
    CONTESTING,
    DOING,
    FLEEING,
    PURPOSES,
    SHELTERED,
    FishRecords,
    PairRecords,
    Shoal,
)
from rockshy.sim.rules.support.compiled import is_compiling
from rockshy.sim.rules.support.random_numbers import stream_key
from rockshy.sim.run.drawing import draw_tank
from rockshy.sim.run.ledger import new_ledger
from rockshy.sim.scenario.scenario import CreviceSpec, RockSpec, RunSpec, Scenario, StockRow, TankSpec
from rockshy.sim.species.species import Species, Trait, Word
from rockshy.sim.tank.paths import DIRECTIONS
from rockshy.sim.tank.tank import Tank
from rockshy.sim.tank.water import CellRecords, RefugeRecords, Water

needs_compiling = pytest.mark.skipif(not is_compiling(), reason="too many steps for uncompiled rules")

ROCK = ("sight_cm", "crevices_a_piece")  # parameters that the tables of a tank depend on

BARE = RockSpec()
ROCKY = RockSpec(cover=0.35, height_cm=25.0, piece_cm=12.0)
SMALL = TankSpec(length_cm=60.0, width_cm=40.0, height_cm=40.0, water_cm=40.0)

np.seterr(over="ignore")  # uncompiled, NumPy warns where 64-bit counters are meant to wrap

_TRAITS = {
    "length_max_male_cm": 12.0, "length_max_female_cm": 10.0, "maturity_cm": 4.0, "depth_ratio": 0.3,
    "temper": 1.0, "temper_female": 0.5, "timidity": 1.0, "radius_cm": 40.0, "cruise_sl_s": 0.8,
    "burst_sl_s": 4.5, "company": 0.0, "sl_per_tl": 0.8, "temp_low_c": 24.0, "temp_high_c": 28.0,
    "ph_low": 8.0, "ph_high": 9.0, "gh_low": 8.0, "gh_high": 12.0, "kh_low": 8.0, "kh_high": 12.0,
}  # fmt: skip
_WORDS = {"guild": "P", "mating": "harem", "defends": "male", "brood": "mouth"}
_WORDS |= {"colour_male": "blue with black bars", "colour_female": "orange"}

OWN = "Scena communis"
"""A made-up species: harem, plankton, males defend."""


def kind(key: str = OWN, **changes: float | str) -> Species:
    """A made-up species with fixed traits; every trait and word can be changed."""
    numbers = {name: changes.get(name, value) for name, value in _TRAITS.items()}
    own = {"pattern_male": f"{key} male", "pattern_female": f"{key} female"}
    words = {name: changes.get(name, value) for name, value in {**_WORDS, **own}.items()}
    assert set(changes) <= {*numbers, *words}, "no such trait"
    return Species(
        key,
        (),
        "Tanganyika",
        {name: Trait(name, float(x), float(x), float(x), "", "assumption") for name, x in numbers.items()},
        {name: Word(name, str(word), "assumption") for name, word in words.items()},
    )


def row(key: str = OWN, *, length: float = 10.0, **how: Any) -> StockRow:
    """A line of the stock list with fish of one exact length."""
    return StockRow(key, length_cm=(length, length), **how)


def scene(
    *rows: StockRow,
    kinds: tuple[Species, ...] = (),
    tank: TankSpec = SMALL,
    rock: RockSpec = BARE,
    parameters: Mapping[str, float] | None = None,
    **run: Any,
) -> Scenario:
    """A scenario of made-up species in which nothing is drawn but rock and luck, measured from the start."""
    settings = {"days": 1.0, "settle_days": 0.0, "fixed": True, "trials": 4, **run}
    known = {one.key: one for one in kinds}
    return Scenario(
        title="staged",
        question="",
        tank=tank,
        rock=rock,
        stock=rows,
        run=RunSpec(**settings),
        species={one.species: known.get(one.species) or kind(one.species) for one in rows} | known,
        parameters=dict(parameters or {}),
    )


def stage(
    *rows: StockRow, keep: bool = False, rules: Any = None, tick_s: float = 1.0, **how: Any
) -> TankModel:
    """A model of a staged scenario; see :func:`scene`. Its tables are its own and may be written to."""
    scenario = scene(*rows, **how)
    what_rock = {name: scenario.parameters[name] for name in ROCK if name in scenario.parameters}
    drawn = _drawn(scenario.tank, scenario.rock, scenario.run.seed, tuple(what_rock.items()))
    tables = (table.copy() if isinstance(table, np.ndarray) else table for table in drawn)
    return TankModel(scenario, keep=keep, rules=rules, tick_s=tick_s, tank=Tank(*tables))


@cache
def _drawn(tank: TankSpec, rock: RockSpec, seed: int, parameters: tuple[tuple[str, float], ...]) -> Tank:
    """The tables of a staged tank, made once: uncompiled they take seconds."""
    return draw_tank(scene(tank=tank, rock=rock, seed=seed, parameters=dict(parameters)))


def put(model: TankModel, i: int, x: int, y: int, z: int) -> None:
    """Put a fish into the cell at (x, y, z)."""
    cell = int(model.tank.index[x, y, z])
    assert cell >= 0, "rock"
    model.shoal.fish.cell[i] = cell


def at(model: TankModel) -> tuple[Water, Shoal, Any]:
    """What most rules take last."""
    return model.water, model.shoal, model.parameters


def share(times: int, happens: Callable[[int], bool]) -> float:
    """Share of the times in which something happens."""
    return float(np.mean([happens(k) for k in range(times)]))


def near(chance: float, n: int) -> Any:
    """A share of n within four standard errors of its chance."""
    return pytest.approx(chance, abs=4 * np.sqrt(chance * (1 - chance) / n))


def uncompiled(script: str, *, beside: str) -> str:
    """What a script prints with compilation off, run beside a test file."""
    env = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(Path(__file__).parent)}
    how: dict[str, Any] = {"env": env, "cwd": Path(beside).parent, "capture_output": True, "text": True}
    return subprocess.run([sys.executable, "-c", script], check=True, **how).stdout.strip()


def steps(model: TankModel, ticks: int) -> TankModel:
    """The model some ticks later."""
    for _ in range(ticks):
        model.step()
    return model


def claim(model: TankModel, i: int, how_much: float, *cells: int) -> None:
    """Let a fish, or its pair or group, claim the blocks of some cells so much; without cells, all water."""
    ground = model.shoal.fish.ground[i]
    assert ground >= 0, "it defends nothing"
    blocks = model.water.cells.block[list(cells)] if cells else slice(None)
    model.shoal.claims[ground, blocks] = how_much


def put_in(model: TankModel, i: int, refuge: int) -> None:
    """Put a fish into a shelter."""
    model.shoal.fish.cell[i] = model.tank.refuge_cell[refuge]
    model.shoal.fish.refuge[i] = refuge
    model.shoal.fish.doing[i] = 1


def still(model: TankModel) -> None:
    """Nobody swims about of its own accord; chases and flights go on as always."""
    model.shoal.fish.cruise_cm_s[:] = 0.0


def holes(*places: CreviceSpec, wall: str = "2") -> RockSpec:
    """A low wall of rock along the back with the crevices listed, and no others."""
    return RockSpec(sketch=(wall * 12, *["0" * 12] * 7), sketch_step_cm=5.0, crevices=places)


def hole(x_cm: float, *, mouth_cm: float = 5.0, depth_cm: float = 15.0, openings: int = 1) -> CreviceSpec:
    """A crevice at the foot of the wall of :func:`holes`."""
    return CreviceSpec(x_cm, 35.0, 2.5, mouth_cm, depth_cm, openings)


def endless_water(*shape: int, edge_cm: float = 5.0) -> Water:
    """Open water without an edge: what leaves on one side comes in on the other. No shelter, no food."""
    xyz = np.argwhere(np.ones(shape, bool))
    n = len(xyz)
    cells = records(CellRecords, (n,))
    cells.x, cells.y, cells.z = xyz.T
    beside = (xyz[:, None, :] + DIRECTIONS[None]) % np.array(shape)
    neighbour = np.ravel_multi_index(tuple(np.moveaxis(beside, 2, 0)), shape).astype(np.int16)
    none = np.zeros((0, n))
    return Water(
        edge_cm=edge_cm,
        cells=cells,
        refuges=records(RefugeRecords, (0,)),
        neighbour=neighbour,
        path=none.astype(np.int16),
        toward=none.astype(np.int8),
        sight=np.zeros((n, 1), np.uint8),
        looks_in=np.zeros((0, 1), np.uint8),
        ball_start=np.zeros(n + 1, np.int64),
        ball=np.zeros(0, np.int32),
        beside=np.zeros((1, 27), np.int32),
        feed_source=np.zeros(0, np.int32),
        feed_part=np.zeros(0, np.int32),
        steepest_cover=0.0,
        steepest_graze=0.0,
        rise=np.zeros((n, 2)),
    )


def blind_shoal(n: int, *, cells: int, speed_cm_s: float, seed: int = 1) -> Shoal:
    """Fish that see, want and fear nothing, anywhere in the water and heading anywhere."""
    fish = records(FishRecords, (n,))
    rng = np.random.default_rng(seed)
    fish.present[:] = True
    fish.cell[:] = rng.integers(cells, size=n)
    fish.heading[:] = rng.integers(26, size=n)
    fish.cruise_cm_s[:] = speed_cm_s
    fish.temper[:] = 0.0
    streams = [[stream_key(seed, i, purpose) for purpose in PURPOSES] for i in range(n)]
    # nobody looks at anybody else, so one pair stands for all
    pair, claims = records(PairRecords, (1, 1)), np.zeros((n, 1))
    return Shoal(fish, pair, np.zeros((n, 0)), claims, np.array(streams, np.uint64))


def no_ledger(n: int, *, cells: int = 1) -> Any:
    """A ledger that keeps nothing."""
    return new_ledger(n, cells=cells, hours=1, measured_from=2**60)


def fingerprint(model: TankModel) -> str:
    """A digest over every number of ledger and shoal."""
    digest = hashlib.sha256()
    for group in (model.ledger, model.shoal):
        for array in group:
            for name in array.dtype.names or [None]:
                values = array if name is None else array[name]
                digest.update(f"{name} {values.shape} {values.dtype}".encode())
                digest.update(np.ascontiguousarray(values).tobytes())
    return digest.hexdigest()


def with_run(scenario: Scenario, **run: Any) -> Scenario:
    """The scenario with other run settings."""
    return replace(scenario, run=replace(scenario.run, **run))


def faults(model: TankModel) -> list[str]:
    """Everything that is wrong with the state of a model, in words."""
    fish, tank, found = model.shoal.fish, model.tank, []
    crowd = np.zeros(len(tank.refuge_cell), int)
    for i in np.flatnonzero(fish.present):
        cell, refuge, doing = fish.cell[i], fish.refuge[i], fish.doing[i]
        if not 0 <= cell < len(tank.xyz) or tank.index[tuple(tank.xyz[cell])] != cell:
            found.append(f"{i} is in no open cell")
        if doing == SHELTERED:
            crowd[refuge] += 1
            if cell != tank.refuge_cell[refuge]:
                found.append(f"{i} is in a shelter and elsewhere")
            if fish.depth_cm[i] > tank.refuge_mouth_cm[refuge]:
                found.append(f"{i} is in a hole too small for it")
        other = fish.target[i]
        if doing == CHASING and not (other >= 0 and other != i and fish.present[other]):
            found.append(f"{i} chases nobody")
        if doing == CONTESTING and not (fish.doing[other] == CONTESTING and fish.target[other] == i):
            found.append(f"{i} contests alone")
        chaser = fish.chaser[i]
        followed = fish.doing[chaser] == CHASING and fish.target[chaser] == i
        if doing == FLEEING and chaser >= 0 and not followed:
            found.append(f"{i} flees from {chaser}, which is not after it")
        if not 0 <= doing < len(DOING):
            found.append(f"{i} does something unheard of")
        rivals = np.flatnonzero(fish.present & (fish.centre == fish.centre[i]) & (np.arange(len(fish)) != i))
        if fish.centre[i] >= 0 and any(fish.bond[k] != fish.bond[i] or fish.bond[i] < 0 for k in rivals):
            found.append(f"{i} shares its centre with a stranger")
    if (crowd > tank.refuge_room).any():
        found.append("a shelter holds more fish than it has room for")
    for name in ("fright", "slow_fright", "hunger"):
        if not ((fish[name] >= 0.0) & (fish[name] <= 1.0)).all():
            found.append(f"{name} is not between 0 and 1: {fish[name]}")
    for name, values in (("memory", model.shoal.memory), ("claims", model.shoal.claims)):
        if not ((values >= 0.0) & (values <= 1.0)).all():
            found.append(f"{name} is not between 0 and 1")
    for name in ("experience", "provoked", "dominants", "credit_cm"):
        if not np.isfinite(fish[name]).all():
            found.append(f"{name} is not finite")
    return found
