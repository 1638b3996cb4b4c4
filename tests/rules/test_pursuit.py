"""A pursuit at constant speeds, and a flight to cover, against closed forms."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, FLEEING, SHELTERED
from rockshy.sim.rules.chase import is_in_reach
from rockshy.sim.scenario.scenario import TankSpec
from staging import at, put, row, stage, steps, still

LONG = TankSpec(length_cm=400.0, width_cm=20.0, height_cm=20.0, water_cm=20.0)
TICK_S = 0.25


def pursuit(*, apart_cells, chaser_cm_s, prey_cm_s):
    """A chaser ``apart_cells`` behind its prey, which flees along the glass to the corner at the right."""
    parameters = {"chase_s": 1e12, "bite_rate_s": 0.0, "sight_cm": 500.0}
    model = stage(row(males=1), row(females=1), tank=LONG, tick_s=TICK_S, parameters=parameters)
    still(model)
    fish = model.shoal.fish
    put(model, 0, 2, 0, 0)
    put(model, 1, 2 + apart_cells, 0, 0)
    fish.burst_cm_s[:] = chaser_cm_s, prey_cm_s
    fish.doing[:] = CHASING, FLEEING
    fish.target[0], fish.chaser[1], fish.counted[0] = 1, 0, True
    fish.refuge[1] = int(np.argmax((model.tank.xyz[model.tank.refuge_cell] * [1, -1, -1]).sum(axis=1)))
    return model


@pytest.mark.parametrize(
    ("apart_cells", "chaser_cm_s", "prey_cm_s"), [(12, 40.0, 25.0), (12, 40.0, 32.0), (20, 60.0, 30.0)]
)
def test_a_faster_chaser_catches_up_in_distance_over_difference_of_speeds(
    apart_cells, chaser_cm_s, prey_cm_s
):
    """t = (d - reach) / (v1 - v2) (closed form). Tolerance: one cell of the gap, and one tick."""
    model = pursuit(apart_cells=apart_cells, chaser_cm_s=chaser_cm_s, prey_cm_s=prey_cm_s)
    reach_cm = float(model.parameters.reach_lengths) * 10.0
    wanted = (apart_cells * 5.0 - reach_cm) / (chaser_cm_s - prey_cm_s)
    while not is_in_reach(0, *at(model)):
        model.step()
        assert model.shoal.fish.doing[0] == CHASING
        assert model.tick * TICK_S < 3 * wanted
    assert model.tick * TICK_S == pytest.approx(wanted, abs=5.0 / (chaser_cm_s - prey_cm_s) + TICK_S)


def test_a_slower_chaser_falls_behind_at_the_difference_of_speeds():
    model = pursuit(apart_cells=6, chaser_cm_s=20.0, prey_cm_s=30.0)
    steps(model, round(6.0 / TICK_S))
    x = model.tank.xyz[model.shoal.fish.cell, 0]
    assert (x[1] - x[0]) * 5.0 == pytest.approx(6 * 5.0 + 6.0 * (30.0 - 20.0), abs=10.0)


def test_a_flight_to_cover_takes_distance_over_speed():
    """300 cm of glass at 30 cm/s take 10 s, within one cell and tick."""
    model = pursuit(apart_cells=17, chaser_cm_s=10.0, prey_cm_s=30.0)
    while model.shoal.fish.doing[1] == FLEEING:
        model.step()
    assert model.shoal.fish.doing[1] == SHELTERED
    assert model.tick * TICK_S == pytest.approx(60 * 5.0 / 30.0, abs=5.0 / 30.0 + TICK_S)
