"""One trial run again, for the pictures of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ...sim.run.drawing import draw_trial_rock
from ...sim.run.model import TankModel
from ...sim.run.set_ups import guess_of
from ...sim.run.table import AS_STOCKED, LEFT_ALONE
from ...sim.run.trials import model_of_trial
from ...sim.scenario.scenario import Scenario
from ...sim.tank.tank import Tank

if TYPE_CHECKING:
    from . import TrialParts

Halted = Callable[[], bool]


def trial_parts(scenario: Scenario, *, trial: int, tank: Tank, halted: Halted | None = None) -> TrialParts:
    """What the pictures are made from; with controls, the same trial left alone tells who lost most.

    ``halted`` and HaltedError: see :meth:`rockshy.sim.run.model.TankModel.run`.
    """
    from . import parts_of

    rock = draw_trial_rock(scenario, trial=trial, guess=guess_of(scenario, trial))
    alone = None
    if scenario.run.controls:
        alone = _free_share(_finished(scenario, trial=trial, tank=tank, arm=LEFT_ALONE, halted=halted))
    model = _finished(scenario, trial=trial, tank=tank, arm=AS_STOCKED, halted=halted)
    return parts_of(model, trial=trial, rock=rock, free_alone=alone)


def _finished(scenario: Scenario, *, trial: int, tank: Tank, arm: str, halted: Halted | None) -> TankModel:
    with model_of_trial(scenario, trial, arm=arm, tank=tank) as model:
        model.run(halted=halted)
    return model


def _free_share(model: TankModel) -> NDArray[np.float64]:
    """Share of its lit time that each fish swam free, nan where it was never in."""
    hours = model.ledger.hours
    lit = hours.lit.sum(axis=1).astype(float)
    return np.divide(hours.free.sum(axis=1), lit, out=np.full(len(lit), np.nan), where=lit > 0)
