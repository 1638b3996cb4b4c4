"""The equations of sim/MODEL.md, written out by hand, against the rules: chase to night.

Each test quotes the line it evaluates, and the line must stand in the document.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from equations import apart, at, chance, claimed, staged, states, way
from rockshy.sim.fish.shoal import CHASING, FLEEING, FOR_CHASE, FOR_HIDE, RETREATING, SWIMMING
from rockshy.sim.rules.chase import gives_up
from rockshy.sim.rules.feed import get_hungry, graze, hunger_share
from rockshy.sim.rules.flight import calms_down, come_out_rate, flight_cost_cm, hide, leaves_now
from rockshy.sim.rules.fright import fade, frighten, trust_left, trust_shaken
from rockshy.sim.rules.night import night
from rockshy.sim.rules.support.random_numbers import uniform
from rockshy.sim.rules.swim import home_pull, step_preference, turning_table
from rockshy.sim.tank.paths import DIRECTIONS, STEP_CM
from scipy.optimize import brentq
from staging import claim, put, put_in


@pytest.fixture
def tank():
    return staged()


# ---- chase and flight


def test_giving_up(tank):
    states("at the rate `1 / chase_s`")
    fish, p = tank.shoal.fish, tank.parameters
    fish.doing[0], fish.target[0] = CHASING, 1
    draws = [uniform(tank.shoal.streams[0, FOR_CHASE], tick, 0) for tick in range(200)]
    gave = [gives_up(0, tick, *at(tank)) for tick in range(200)]
    assert gave == [u < chance(1 / p.chase_s, p.tick_s) for u in draws]
    assert claimed(tank, 0, fish.cell[0]) > 0.0
    claim(tank, 0, 0.0, fish.cell[1])
    assert all(gives_up(0, tick, *at(tank)) for tick in range(20)), "driven off its ground"


def test_when_a_chased_fish_leaves(tank):
    states("leaves when d(i, chaser) / burst_cm_s[chaser] <= way(refuge, cell[i]) / burst_cm_s[i] + margin_s")
    fish, p = tank.shoal.fish, tank.parameters
    left = []
    for margin in np.linspace(-2.0, 2.0, 9):
        p.margin_s = margin
        for chaser, refuge in ((1, 0), (1, 1), (2, 0), (2, 1)):
            threat = apart(tank, 0, chaser) / fish.burst_cm_s[chaser]
            wanted = threat <= way(tank, refuge, fish.cell[0]) / fish.burst_cm_s[0] + margin
            left.append(leaves_now(0, chaser, refuge, *at(tank)))
            assert left[-1] == wanted
    assert 0 < sum(left) < len(left)
    assert leaves_now(0, 1, -1, *at(tank))


def test_cost_of_a_flight(tank):
    states(
        "cost = way(refuge, cell[i]) - memory_cm · M[i, refuge]",
        "+ corner_cm a mere corner",
        "+ exposed_cm the chaser sees the cell at its mouth",
        "+ exposed_cm the chaser has the shorter way to it",
    )
    fish, p, tables = tank.shoal.fish, tank.parameters, tank.tank
    put(tank, 2, 2, 4, 0)
    tables.sight[fish.cell[2]] = 0
    cases = set()
    for refuge in range(len(tables.refuge_cell)):
        cost = way(tank, refuge, fish.cell[0]) - p.memory_cm * tank.shoal.memory[0, refuge]
        cost += p.corner_cm * tables.refuge_corner[refuge]
        assert flight_cost_cm(0, refuge, -1, *at(tank)) == pytest.approx(cost)
        for chaser in (1, 2):
            cell = fish.cell[chaser]
            mouth = tables.refuge_cell[refuge]
            seen = bool(tables.sight[cell, mouth >> 3] >> (mouth & 7) & 1)
            nearer = way(tank, refuge, cell) < way(tank, refuge, fish.cell[0])
            cases.add((seen, nearer))
            wanted = cost + p.exposed_cm * (int(seen) + int(nearer))
            assert flight_cost_cm(0, refuge, chaser, *at(tank)) == pytest.approx(wanted)
    assert len(cases) > 2, "cases that differ"


def test_calming_down(tank):
    states("exp(-out_fright · (F + G)) / chase_s")
    p = tank.parameters
    tank.shoal.fish.doing[0] = FLEEING
    draws = [uniform(tank.shoal.streams[0, FOR_HIDE], tick, 1) for tick in range(300)]
    calm = [calms_down(0, tick, tank.shoal, p) for tick in range(300)]
    rate = math.exp(-p.out_fright * (0.3 + 0.2)) / p.chase_s
    assert calm == [u < chance(rate, p.tick_s) for u in draws]
    assert 0 < sum(calm) < 300


# ---- fright, trust, hiding


def test_fright_rises_and_fades(tank):
    states(
        "F += min(1, fright_gain · timidity) · (1 - F)",
        "G += min(1, slow_gain · timidity) · (1 - G)",
        "F ·= 0.5 ^ (t / fright_half_life_s) G ·= 0.5 ^ (t / (86400 · slow_half_life_d))",
        "e ·= 0.5 ^ (t / (86400 · experience_half_life_d))",
    )
    fish, p = tank.shoal.fish, tank.parameters
    frighten(0, tank.shoal, p)
    quick = 0.3 + p.fright_gain * 1.4 * (1 - 0.3)
    slow = 0.2 + p.slow_gain * 1.4 * (1 - 0.2)
    assert (fish.fright[0], fish.slow_fright[0]) == pytest.approx((quick, slow))
    fade(tank.shoal, p, 5000.0)
    assert fish.fright[0] == pytest.approx(quick * 0.5 ** (5000 / p.fright_half_life_s))
    assert fish.slow_fright[0] == pytest.approx(slow * 0.5 ** (5000 / (86400 * p.slow_half_life_d)))
    assert fish.experience[0] == pytest.approx(0.6 * 0.5 ** (5000 / (86400 * p.experience_half_life_d)))


def test_trust(tank):
    states(
        "M += memory_step · (1 - M)",
        "M ·= 1 - memory_step every shelter within 15 cm of swimming of a place where it is chased",
    )
    memory, p = tank.shoal.memory, tank.parameters
    before = memory.copy()
    trust_left(0, 1, tank.shoal, p)
    assert memory[0, 1] == pytest.approx(before[0, 1] + p.memory_step * (1 - before[0, 1]))
    before = memory.copy()
    put_in(tank, 0, 0)
    trust_shaken(0, tank.water, tank.shoal, p)
    beside = [way(tank, r, tank.shoal.fish.cell[0]) <= 15.0 for r in range(memory.shape[1])]
    assert memory[0] == pytest.approx(np.where(beside, before[0] * (1 - p.memory_step), before[0]))
    assert 0 < sum(beside) < len(beside)


@pytest.mark.parametrize("is_meal", [False, True])
def test_rate_of_coming_out(tank, is_meal):
    states(
        "coming out out_rate_s · exp(out_hunger · (H - 0.5) - out_fright · (F + G) - out_dominants · D"
        " + [during a meal] out_hunger · H)"
    )
    p = tank.parameters
    drive = p.out_hunger * (0.7 - 0.5) - p.out_fright * 0.5 - p.out_dominants * 0.4
    drive += p.out_hunger * 0.7 * is_meal
    assert come_out_rate(0, is_meal, tank.shoal, p) == pytest.approx(p.out_rate_s * math.exp(drive))


def test_rate_of_hiding(tank):
    states("hiding hide_rate_s · min(1, F + G) · D / (1 + D)")
    fish, p = tank.shoal.fish, tank.parameters
    p.hide_rate_s = 0.5
    hid, draws = [], []
    for tick in range(300):
        fish.doing[1] = SWIMMING
        hid.append(hide(1, tick, *at(tank)))
        assert (fish.doing[1] == RETREATING) == hid[-1]
        draws.append(uniform(tank.shoal.streams[1, FOR_HIDE], tick, 0))
    rate = 0.5 * min(1, 0.1 + 0.05) * 1.2 / (1 + 1.2)
    assert hid == [u < chance(rate, p.notice_s) for u in draws]
    assert 0 < sum(hid) < 300


# ---- swimming


def test_turning(tank):
    states(
        "P(b) in proportion to exp(κ · (cos(a, b) - 1)) · exp(preference(b))",
        "coth κ - 1/κ = exp(-edge_cm · mean step / persistence_cm)",
    )
    kept = math.exp(-5.0 * STEP_CM.mean() / 20.0)
    kappa = brentq(lambda k: 1 / math.tanh(k) - 1 / k - kept, 1e-3, 100.0)
    unit = DIRECTIONS / STEP_CM[:, None]
    weights = np.exp(kappa * (unit @ unit.T - 1))
    wanted = weights / weights.sum(axis=1, keepdims=True)
    assert turning_table(5.0, 20.0)[0] == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("to_food", [False, True])
def test_preference_for_a_step(tank, to_food):
    states(
        "preference = cover_pull · min(1, F + G) · (cover there - cover here)",
        "+ graze_pull · grazer · (graze there - graze here)",
        "+ pull_home · (way(home, here) - way(home, there))",
        "+ claim_pull · (claim(i, there) - claim(i, here))",
        "pull_home = fear_leash_cm · min(1, F + G)",
        "= food_pull_cm · H · max(0, 1 - (F + G))",
    )
    fish, p, tables = tank.shoal.fish, tank.parameters, tank.tank
    fish.grazer[0] = 0.5
    fish.pull_x[0], fish.pull_y[0], fish.pull_z[0] = 0.1, -0.2, 0.15
    home = int(tables.feed_source[0]) if to_food else 1
    fish.home[0] = home
    pull = p.food_pull_cm * 0.7 * (1 - 0.5) if to_food else p.fear_leash_cm * 0.5
    assert home_pull(0, *at(tank)) == pytest.approx(pull)
    put(tank, 0, 0, 0, 0)
    here = fish.cell[0]
    for k in range(26):
        there = tables.neighbour[here, k]
        wanted = 0.0
        if there >= 0:
            wanted = p.cover_pull * 0.5 * (tables.cover[there] - tables.cover[here])
            wanted += p.graze_pull * 0.5 * (tables.graze[there] - tables.graze[here])
            wanted += pull * (way(tank, home, here) - way(tank, home, there))
            wanted += p.claim_pull * (claimed(tank, 0, there) - claimed(tank, 0, here))
            wanted += DIRECTIONS[k] @ [0.1, -0.2, 0.15] / STEP_CM[k]
        assert step_preference(0, k, pull, p.cover_pull * 0.5, *at(tank)) == pytest.approx(wanted)
    assert (tables.neighbour[here] >= 0).sum() == 7, "a corner: blocked steps are among them"


# ---- hunger and night


def test_hunger(tank):
    states(
        "H += (1 - H) · (1 - exp(-t / (3600 · hunger_h)))",
        "H ·= exp(-grazer · graze[cell] · t / (3600 · graze_h))",
    )
    fish, p = tank.shoal.fish, tank.parameters
    get_hungry(0, hunger_share(5000.0, p), tank.shoal)
    hungry = 0.7 + 0.3 * chance(1 / (3600 * p.hunger_h), 5000)
    assert fish.hunger[0] == pytest.approx(hungry)
    fish.grazer[0] = 0.5
    put(tank, 0, 0, 0, 0)
    graze(0, *at(tank), 5000.0)
    rate = 0.5 * tank.tank.graze[fish.cell[0]] / (3600 * p.graze_h)
    assert rate > 0
    assert fish.hunger[0] == pytest.approx(hungry * math.exp(-rate * 5000))


def test_what_a_night_takes(tank):
    states("`standing ·= 0.5 ^ (1 / pair_half_life_d)`")
    pair, p = tank.shoal.pair, tank.parameters
    standing, claims = pair.standing.copy(), tank.shoal.claims.copy()
    night(*at(tank), 14 * 3600.0)
    assert pair.standing == pytest.approx(standing * 0.5 ** (1 / p.pair_half_life_d))
    assert (tank.shoal.claims == claims).all(), "claims fade in lit time alone"
    assert tank.shoal.fish.slow_fright[0] == pytest.approx(0.2 * 0.5 ** (14 / 24 / p.slow_half_life_d))
