"""What a keeper does besides the tank itself: meals, lights, a water change. It acts on a TankModel."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..scenario.clock import lights_on_s

if TYPE_CHECKING:
    from .model import TankModel

_NEVER = 2**62  # tick


def feed(model: TankModel, meals_a_day: int, *, at_s: Sequence[int] = ()) -> None:
    """So many meals a day from now on, spread evenly, or at times of day, s after midnight.

    A meal that lies in the water is gone, where something changes.
    """
    days, p = model.days, model.parameters
    dawn_s = lights_on_s(days.hours_of(days.planned(days.of(model.tick))))
    at = [round((one - dawn_s) / float(p.tick_s)) for one in at_s]
    meal_at = np.array(at if meals_a_day else [_NEVER], np.int64)
    if np.array_equal(meal_at, model.meal_at) and int(p.meals_a_day) == max(1, meals_a_day):
        return
    model.food[:] = 0.0
    model.meal_at = meal_at
    p["meals_a_day"] = max(1, meals_a_day)


def startle(model: TankModel) -> None:
    """Everybody in the tank is frightened by hands and hose, as quickly as by some chases.

    Slow fright does not rise. Source: assumption.
    """
    fish, p = model.shoal.fish, model.parameters
    gain = np.minimum(p.fright_gain * fish.timidity, 1.0)
    share = 1.0 - (1.0 - gain) ** model.slow.water_change_chases
    fish.fright[:] = np.where(fish.present, fish.fright + share * (1.0 - fish.fright), fish.fright)


def dimmed(model: TankModel) -> Any:
    """The parameters of the rules in dim light: fish attack and swim less. Source: assumption."""
    p = model.parameters.copy()
    p["attack_rate_s"] *= model.slow.dusk_activity
    p["activity"] *= model.slow.dusk_activity
    return p
