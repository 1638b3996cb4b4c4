"""Sixty days in full against blocks: does a life that skips days come to the same as one that skips none?

Run ``python -m tests.life_blocks`` for 20 tanks of three scenarios, ``... 6`` for fewer tanks: it prints the
paired difference of what the fish lose of their free swimming, blocks less full, as it is and with all
memories faded over what is skipped.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rockshy import scenarios
from rockshy.sim import parse
from rockshy.sim.run.life import IN_FULL, Blocks, Measured, Pace, days_of, each_day, run_life
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.slow import Growing
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import model_of_trial
from rockshy.sim.scenario.scenario import Scenario

DAYS, TANKS = 60, 20
JUVENILES = """
[tank]
length = "120 cm"
front_to_back = "50 cm"
height = "50 cm"
[rock]
cover = "40 %"
[[stock]]
species = "Tropheus duboisi"
unsexed = 10
length = "5 to 6.5 cm"
[[stock]]
species = "Tropheus moorii"
males = 1
females = 3
"""
TIME_OUT = """
[tank]
length = "150 cm"
front_to_back = "50 cm"
height = "50 cm"
[rock]
cover = "40 %"
[[stock]]
species = "Simochromis diagramma"
males = 4
females = 8
[[event]]
day = 20
out = "Simochromis diagramma male 1"
[[event]]
day = 34
back = "Simochromis diagramma male 1"
"""


class Forgetful(Growing):
    """Fish that forget over the days that are skipped as if they had lived alone."""

    def pass_time(self, days: float, *, simulated: bool) -> None:
        super().pass_time(days, simulated=simulated)
        if not simulated:
            self.fade(self.model.shoal.fish.present, days)


def lives(scenario: Scenario, trial: int) -> dict[str, float]:
    """Share of free swimming lost over the whole life, mean of all fish, by how it was lived.

    "blocks" is as a life is told, with fish left alone on some of its measured days; the others are held
    against fish left alone on each of them.
    """
    told = [each_day(one) for one in run_life(scenario, trial, days=DAYS)]
    at = told[0][0]
    stocked, sparse = (
        averaged([share(day.columns["free_s"], day.columns["lit_s"]) for day in days], at) for _, days in told
    )
    free = {}
    for name, arm, pace, kind in (
        ("faded", AS_STOCKED, Pace(), Forgetful),
        ("full", AS_STOCKED, IN_FULL, Growing),
        ("alone", LEFT_ALONE, Pace(), Growing),
    ):
        with model_of_trial(scenario, trial, arm=arm) as model:
            growing = kind(model, draw_of(scenario, trial))
            lived = (
                days_of(model, growing, at) if arm == LEFT_ALONE else Blocks(model, growing, DAYS, pace=pace)
            )
            hours = [(one, share(model.ledger.hours.free, model.ledger.hours.lit)) for one in lived]
        free[name] = averaged([swum for _, swum in hours], [one for one, _ in hours])
    lost = {name: 1.0 - value / free["alone"] for name, value in free.items() if name != "alone"}
    return {"blocks": 1.0 - stocked / sparse, **lost}


def share(free: NDArray[Any], lit: NDArray[Any]) -> float:
    """Of the lit time of all fish."""
    return float(free.sum() / lit.sum())


def averaged(shares: Sequence[float], at: Sequence[Measured]) -> float:
    """Over a life, each day for as long as it stands."""
    return float(np.average(shares, weights=np.diff([*(one.since for one in at), DAYS])))


def said(difference: NDArray[np.float64]) -> str:
    """Mean, its 95 % interval and the scatter of single tanks."""
    half = 1.96 * difference.std(ddof=1) / math.sqrt(len(difference))
    return f"{difference.mean():+.4f} (+-{half:.4f}; single tanks +-{difference.std(ddof=1):.3f})"


def main(tanks: int) -> None:
    """Print the paired differences."""
    found = {
        "mild-with-hot, adults": scenarios.load("mild-with-hot"),
        "juveniles beside adults": parse(JUVENILES, name="juveniles.toml"),
        "a male out for two weeks": parse(TIME_OUT, name="time-out.toml"),
    }
    for name, scenario in found.items():
        began = time.process_time()
        with ThreadPoolExecutor(2) as pool:
            lost = list(pool.map(partial(lives, scenario), range(tanks)))
        of = {key: np.array([one[key] for one in lost]) for key in lost[0]}
        print(f"{name}: {tanks} tanks, {DAYS} days, {time.process_time() - began:.0f} s of processor time")
        print(f"  lost in full {of['full'].mean():.3f}, in blocks {of['blocks'].mean():.3f}")
        print(f"  blocks - full: {said(of['blocks'] - of['full'])}")
        print(f"  memories faded - full: {said(of['faded'] - of['full'])}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else TANKS)
