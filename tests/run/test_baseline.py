"""A committed run: when one of its numbers moves, the change says why.

With ROCKSHY_NEW_BASELINE=1 in the environment the test writes the numbers anew instead of comparing them.
"""

import hashlib
import json
import os
from pathlib import Path

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.scenario.scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from rockshy.sim.species.species import library

WHERE = Path(__file__).parents[1] / "baseline.json"
REWRITE = "ROCKSHY_NEW_BASELINE"

STOCK = (
    StockRow("Tropheus moorii", males=2, females=3, length_cm=(8.0, 11.0)),
    StockRow("Eretmodus cyanostictus", males=1, females=1),
    StockRow("Julidochromis ornatus", males=1, females=1, day=0.5),
)


def baseline_scenario() -> Scenario:
    """Nine fish of three kinds in 150 litres with rock, the pair added half a day later."""
    return Scenario(
        title="baseline",
        question="",
        tank=TankSpec(length_cm=90.0, width_cm=45.0, height_cm=40.0, water_cm=37.0),
        rock=RockSpec(cover=0.35, height_cm=25.0, piles=2, piece_cm=14.0),
        stock=STOCK,
        run=RunSpec(days=1.5, settle_days=0.5, fixed=True, seed=20),
        species={row.species: library()[row.species] for row in STOCK},
    )


def digest(*tables: np.ndarray) -> str:
    """Short hash over whole numbers."""
    numbers = b"".join(np.ascontiguousarray(one, np.int64).tobytes() for one in tables)
    return hashlib.sha256(numbers).hexdigest()[:16]


def make() -> dict[str, object]:
    """Counts, shares and hashes of the baseline run."""
    model = TankModel(baseline_scenario())
    ledger = model.run()
    hours, pair = ledger.hours, ledger.pair
    return {
        "cells": len(model.tank.xyz),
        "crevices": int((~model.tank.refuge_corner).sum()),
        "ticks": int(model.tick),
        "chases": int(pair.chases.sum()),
        "bites": int(pair.bites.sum()),
        "displays": int(pair.displays.sum()),
        "attacks": int(pair.attacks.sum()),
        "contests": int(pair.wins.sum()),
        "hidden_s": int(hours.hidden.sum()),
        "free_s": int(hours.free.sum()),
        "owner_s": int(hours.owner.sum()),
        "meals_missed": int(ledger.fish.missed.sum()),
        "chases_received": [int(one) for one in pair.chases.sum(axis=0)],
        "length_cm": [round(float(one), 6) for one in model.shoal.fish.length_cm],
        "largest_share": round(float(hours.share.max()), 6),
        "slow_fright": [round(float(one), 6) for one in model.shoal.fish.slow_fright],
        "tank_hash": digest(model.tank.index, model.tank.path, model.tank.sight, model.tank.refuge_cell),
        "pair_hash": digest(pair.chases, pair.bites, pair.displays, pair.wins),
        "places_hash": digest(ledger.visits, model.shoal.fish.cell),
    }


def test_the_baseline_run_is_as_committed():
    """Counts and hashes exactly, sizes and shares to six digits.

    A run is chaotic: a C library that rounds exp or pow otherwise in the last bit would move all of them.
    """
    found = make()
    if os.environ.get(REWRITE):
        WHERE.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
        pytest.skip(f"{WHERE.name} was written anew")
    wanted = json.loads(WHERE.read_text(encoding="utf-8"))
    assert found.keys() == wanted.keys()
    moved = {name: (wanted[name], found[name]) for name in wanted if found[name] != wanted[name]}
    assert not moved, f"was, is: {moved}"
