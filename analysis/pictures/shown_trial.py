"""One trial run again, for the pictures of it."""

from __future__ import annotations

from ...sim.run.drawing import draw_trial_rock
from ...sim.run.model import TankModel
from ...sim.run.set_ups import draw_of
from ...sim.run.table import AS_STOCKED, LEFT_ALONE
from ...sim.run.trials import model_of_trial
from ...sim.scenario.scenario import Scenario
from ...sim.tank.tank import Tank
from ..film.recording import Halted, free_share
from .parts import TrialParts, parts_of


def trial_parts(scenario: Scenario, *, trial: int, tank: Tank, halted: Halted | None = None) -> TrialParts:
    """What the pictures are made from; with controls, the same trial left alone tells who lost most.

    ``halted`` and HaltedError: see :meth:`rockshy.sim.run.model.TankModel.run`.
    """

    def finished(arm: str) -> TankModel:
        with model_of_trial(scenario, trial, arm=arm, tank=tank) as model:
            model.run(halted=halted)
        return model

    rock = draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial))
    alone = free_share(finished(LEFT_ALONE)) if scenario.run.controls else None
    return parts_of(finished(AS_STOCKED), trial=trial, rock=rock, free_alone=alone)
