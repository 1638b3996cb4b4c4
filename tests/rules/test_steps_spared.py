"""A step of a free-swimming fish is the same whatever is spared while it is chosen."""

import math

import numpy as np
import pytest
from rockshy.sim.fish.shoal import FOR_SWIM
from rockshy.sim.rules.support.random_numbers import uniform
from rockshy.sim.rules.swim import (
    TRIES,
    above_exp,
    choose_step,
    decay,
    home_pull,
    step_preference,
    turning_table,
)
from staging import at, hole, holes, row, stage


def chosen_plainly(i, tick, turning, model):
    """A step as it is told: TRIES proposals taken at exp(preference - highest), else the sum over all 26."""
    fish, tank, p, stream = model.shoal.fish, model.water, model.parameters, model.shoal.streams[i, FOR_SWIM]
    pull, timid = home_pull(i, *at(model)), p.cover_pull * min(1.0, fish.fright[i] + fish.slow_fright[i])
    weigh = [step_preference(i, k, pull, timid, tank, model.shoal, p) for k in range(26)]
    highest = timid * tank.steepest_cover + p.graze_pull * fish.grazer[i] * tank.steepest_graze
    highest += pull * tank.edge_cm * (5 / 3) + p.company_pull * fish.company[i]
    highest += p.claim_pull * (1 - model.shoal.claims[i, tank.cells.block[fish.cell[i]]])
    last = fish.heading[i]
    for n in range(TRIES):
        u = uniform(stream, tick, 2 * n)
        slot = int(u * 26)
        k = slot if u * 26 - slot < turning[1, last, slot] else int(turning[2, last, slot])
        if uniform(stream, tick, 2 * n + 1) < math.exp(weigh[k] - highest):
            return k
    weights = turning[0, last] * np.exp(weigh)
    sums = weights.cumsum()
    return max(k for k in range(26) if uniform(stream, tick, 2 * TRIES + k) * sums[k] < weights[k])


@pytest.mark.parametrize("fright", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("company", [0.0, 0.5])
def test_a_step_is_the_same_whatever_is_spared_on_the_way(fright, company):
    """Bounds in the place of exponentials, and refusals before a look, change no choice."""
    model = stage(row(males=1), rock=holes(hole(30.0)), parameters={"cover_pull": 4.0, "fear_leash_cm": 0.1})
    fish = model.shoal.fish
    fish.centre[0] = fish.home[0] = 0
    fish.fright[0], fish.grazer[0], fish.company[0] = fright, 1.0, company
    fish.pull_x[0], fish.pull_z[0] = 0.6 * model.parameters.company_pull * company * np.array([1.0, -4 / 3])
    rng = np.random.default_rng(2)
    model.shoal.claims[0] = rng.random(model.shoal.claims.shape[1])
    turning = turning_table(model.tank.edge_cm, float(model.parameters.persistence_cm))
    for tick in range(300):
        fish.cell[0], fish.heading[0] = rng.integers(len(model.tank.xyz)), rng.integers(26)
        assert choose_step(0, tick, 0, turning, *at(model)) == chosen_plainly(0, tick, turning, model)


def test_what_stands_for_an_exponential_is_near_it_and_on_its_side():
    x = np.linspace(-60.0, 0.0, 6001)
    np.testing.assert_allclose([decay(v) for v in x], np.exp(x), rtol=1e-12)
    bound = np.array([above_exp(v) for v in np.append(x, -700.0)])
    assert (bound > np.exp(np.append(x, -700.0))).all()
    assert bound[:-1][x > -4] == pytest.approx(np.exp(x[x > -4]), rel=0.05)
