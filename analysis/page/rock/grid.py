"""Rock as a grid of digits to go on drawing with: a sketch as it stands, or drawn rock laid onto one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from ....sim.scenario.reading.limits import LIMITS
from ....sim.scenario.scenario import RockSpec, TankSpec
from ....sim.tank.rockwork import Rock

SPOT_CM = 5.0  # side of a place of the grid, where nobody chose another
MOST_ACROSS = 60  # places along the tank, and front to back, that one can still point at
TOP_DIGIT = 9
_ROUND_CM = 0.5  # steps are whole halves of a cm

Heights = NDArray[np.float64]


def grid_told(rock: Rock, *, spec: RockSpec, tank: TankSpec) -> dict[str, Any]:
    """The grid of a rock as plain values.

    Returns
    -------
    dict
        ``digits`` [rows] of text, the back of the tank first and the left end first; ``step_cm`` the
        height of a digit, ``highest`` the greatest digit that stays within the tank.
    """
    if spec.sketch:
        digits, step = list(spec.sketch), spec.sketch_step_cm
    else:
        step = _step_for(float(rock.top_cm.max()), spec=spec)
        digits = _laid_out(rock, step=step, highest=_highest(step, tank), tank=tank)
    return {"step_cm": step, "highest": _highest(step, tank), "digits": digits}


def anew_told(rock: Rock, *, spec: RockSpec) -> dict[str, Any]:
    """What to ask for so that rock drawn anew is like this one: cover, height and number of piles."""
    if not spec.sketch:
        return {"cover": spec.cover, "height": spec.height_cm, "piles": spec.piles}
    heaps = ndimage.label(rock.top_cm > 0, structure=np.ones((3, 3)))[1]
    return {
        "cover": max(0.01, round(float((rock.top_cm > 0).mean()), 2)) if heaps else 0.0,
        "height": round(float(rock.top_cm.max()), 1),
        "piles": int(np.clip(heaps, 1, LIMITS["rock.piles"].high)),
    }


def _highest(step: float, tank: TankSpec) -> int:
    return int(min(TOP_DIGIT, math.floor(tank.height_cm / step + 1e-9)))


def _step_for(top_cm: float, *, spec: RockSpec) -> float:
    """The least height of a digit with which the digits reach a height; that of the file for a bare tank."""
    if top_cm <= 0:
        return spec.sketch_step_cm
    low, high, _ = LIMITS["rock.sketch_step"]
    return float(np.clip(math.ceil(top_cm / TOP_DIGIT / _ROUND_CM) * _ROUND_CM, low, high))


def _laid_out(rock: Rock, *, step: float, highest: int, tank: TankSpec) -> list[str]:
    """Mean height of the rock in each place of a grid, in steps, as rows of digits."""
    columns, rows = (_places(side) for side in (tank.length_cm, tank.width_cm))
    strips = _parts(rock.top_cm, columns)
    means = np.array([[part.mean() for part in _parts(strip.T, rows)] for strip in strips])
    digits = np.clip(np.rint(means / step), 0, highest).astype(int)
    return ["".join(str(digit) for digit in row) for row in digits.T[::-1]]


def _parts(values: Heights, count: int) -> list[Heights]:
    """Equal parts along the first axis; a part is never empty, so finer places than points share one."""
    edges = pairwise(np.linspace(0, len(values), count + 1))
    return [values[int(low) : max(int(low) + 1, round(high))] for low, high in edges]


def _places(side_cm: float) -> int:
    return int(np.clip(round(side_cm / SPOT_CM), 3, MOST_ACROSS))
