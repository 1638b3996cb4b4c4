"""The rock of a few simulated tanks, drawn to say back to the keeper what a scenario leads to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ....sim.run.drawing import draw_trial_rock
from ....sim.run.set_ups import draw_of
from ....sim.scenario.scenario import Scenario
from ....sim.tank.rockwork import RockSummary, describe_rock

TANKS = 8


@dataclass(frozen=True)
class DrawnTanks:
    """Rock and crevices of the first few trials, exactly as a run draws them."""

    rock: tuple[RockSummary, ...]
    mouths_cm: tuple[tuple[float, ...], ...]  # of each tank, the mouth of each crevice

    @property
    def fewest(self) -> int:
        return min(map(len, self.mouths_cm))

    @property
    def most(self) -> int:
        return max(map(len, self.mouths_cm))

    def admitting(self, depth_cm: float) -> tuple[int, int]:
        """Fewest and most crevices that a body ``depth_cm`` deep fits through."""
        fitting = [int((np.array(mouths) >= depth_cm).sum()) for mouths in self.mouths_cm]
        return min(fitting), max(fitting)


def draw_few(scenario: Scenario, *, tanks: int = TANKS) -> DrawnTanks:
    """Draw the rock of the first ``tanks`` trials."""
    rocks = [
        draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial))
        for trial in range(min(tanks, scenario.run.trials))
    ]
    return DrawnTanks(
        tuple(describe_rock(scenario.tank, rock) for rock in rocks),
        tuple(tuple(hole.mouth_cm for hole in rock.crevices) for rock in rocks),
    )
