"""Sixty days in full against blocks: does a life that skips days come to the same as one that skips none?

Run ``python -m tests.life_blocks`` for 20 tanks of three scenarios, ``... 6`` for fewer tanks: it prints the
paired difference of what the fish lose of their free swimming, blocks less full, as it is and with all
memories faded over what is skipped.
"""

from __future__ import annotations

import math
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rockshy import scenarios
from rockshy.sim import parse
from rockshy.sim.run.life import IN_FULL, Blocks, Pace, days_of
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
    """Share of free swimming lost over the whole life, mean of all fish, by how it was lived."""
    free: dict[str, float] = {}
    at: list[Any] = []
    for name, arm, pace, kind in (
        ("blocks", AS_STOCKED, Pace(), Growing),
        ("faded", AS_STOCKED, Pace(), Forgetful),
        ("full", AS_STOCKED, IN_FULL, Growing),
        ("alone", LEFT_ALONE, Pace(), Growing),
    ):
        with model_of_trial(scenario, trial, arm=arm) as model:
            growing = kind(model, draw_of(scenario, trial))
            lived = (
                days_of(model, growing, at) if arm == LEFT_ALONE else Blocks(model, growing, DAYS, pace=pace)
            )
            shares, since = [], []
            for one in lived:
                shares.append(float(model.ledger.hours.free.sum() / model.ledger.hours.lit.sum()))
                since.append(one.since)
                at += [one] if name == "blocks" else []
        free[name] = float(np.average(shares, weights=np.diff([*since, DAYS])))
    return {name: 1.0 - share / free["alone"] for name, share in free.items()}


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
