"""The equations of sim/MODEL.md, written out by hand, against the compiled rules in staged situations.

Each test quotes the line it evaluates, and the line must stand in the document.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from rockshy.sim.paths import DIRECTIONS, STEP_CM
from rockshy.sim.population import draw_traits
from rockshy.sim.random_numbers import uniform
from rockshy.sim.rules.attack import attack_rate, goes_for_it, stands_ground
from rockshy.sim.rules.chase import gives_up
from rockshy.sim.rules.contest import contest_ends, contest_odds, judged_odds, logistic, remember
from rockshy.sim.rules.feed import get_hungry, graze, hunger_share
from rockshy.sim.rules.flight import calms_down, come_out_rate, flight_cost_cm, hide, leaves_now
from rockshy.sim.rules.fright import fade, frighten, lesson, trust_left, trust_shaken
from rockshy.sim.rules.night import night
from rockshy.sim.rules.notice import notice
from rockshy.sim.rules.swim import home_pull, step_preference, turning_table
from rockshy.sim.rules.territory import nearness, provocation, worth_of_site
from rockshy.sim.shoal import (
    CHASING,
    FLEEING,
    FOR_CHASE,
    FOR_HIDE,
    FOR_STAND,
    FOR_TARGET,
    RETREATING,
    SWIMMING,
)
from rockshy.sim.species import library
from scipy.optimize import brentq
from staging import hole, holes, kind, put, put_in, row, stage, still

TEXT = " ".join(
    (Path(__file__).resolve().parent.parent / "sim" / "MODEL.md").read_text(encoding="utf-8").split()
)
OTHER = "Scena altera"


def states(*lines: str) -> None:
    """The document states these lines, spaces aside."""
    for line in lines:
        assert " ".join(line.split()) in TEXT, line


def near(x: float, r: float) -> float:
    return r**4 / (r**4 + x**4)


def sigmoid(x: float) -> float:
    return 1 / (1 + math.exp(-x))


def chance(rate: float, seconds: float) -> float:
    return 1 - math.exp(-rate * seconds)


@pytest.fixture
def tank():
    """Three fish in open water before a wall with two holes; every state different from every other."""
    model = stage(
        row(males=1, length=10.0), row(males=1, length=9.0), row(OTHER, females=1, length=8.0),
        kinds=(
            kind(temper=0.8, company=0.6, timidity=1.4),
            kind(OTHER, guild="A", temper=0.6, temper_female=0.4),
        ),
        rock=holes(hole(12.5, depth_cm=12.0), hole(47.5, depth_cm=18.0)),
    )  # fmt: skip
    still(model)
    fish, pair = model.shoal.fish, model.shoal.pair
    for i, place in enumerate(((3, 3, 3), (6, 4, 2), (8, 2, 4))):
        put(model, i, *place)
    fish.fright[:] = 0.3, 0.1, 0.5
    fish.slow_fright[:] = 0.2, 0.05, 0.1
    fish.hunger[:] = 0.7, 0.4, 0.9
    fish.experience[:] = 0.6, -0.4, 0.2
    fish.provoked[:] = 0.25, 0.02, 0.0
    fish.dominants[:] = 0.4, 1.2, 0.7
    pair.familiar[:] = np.linspace(0.1, 0.8, 9).reshape(3, 3)
    pair.standing[:] = -np.linspace(0.2, 1.4, 9).reshape(3, 3)
    model.shoal.memory[:] = np.linspace(0.05, 0.9, model.shoal.memory.size).reshape(model.shoal.memory.shape)
    return model


def at(model):
    return model.water, model.shoal, model.parameters


def way(model, source, cell):
    return model.tank.path[source, cell] * model.tank.edge_cm / 3


def apart(model, i, j):
    cells = model.tank.xyz[model.shoal.fish.cell[[i, j]]]
    return float(np.linalg.norm(cells[0] - cells[1])) * model.tank.edge_cm


# ---- bodies and relations


def test_bodies_and_relations(tank):
    states(
        "cruise_cm_s cruise_sl_s · sl_per_tl · L · warmth burst_cm_s burst_sl_s · sl_per_tl · L",
        "core_cm radius_cm · L / 10",
        "radius_cm[i, j] max(1, core_cm[i] · m)",
        "odds[i, j] size_odds · ln(L[i] / L[j]) + temper_odds · ln(t[i] / t[j])",
        "t = max(0.02, temper · (temper_female if female)), traits of the species",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    assert fish.burst_cm_s[1] == pytest.approx(4.5 * 0.8 * 9.0)
    assert fish.core_cm[2] == pytest.approx(40.0 * 8.0 / 10)
    assert fish.temper[2] == pytest.approx(0.6 * 0.4)
    assert pair.radius_cm[0, 1] == pytest.approx(40.0 * p.radius_own_rival)
    assert pair.radius_cm[0, 2] == pytest.approx(40.0 * p.radius_other)
    wanted = p.size_odds * math.log(10 / 8) + p.temper_odds * math.log(0.8 / (0.6 * 0.4))
    assert pair.odds[0, 2] == pytest.approx(wanted)
    assert pair.odds[2, 0] == pytest.approx(-wanted)


def test_the_meekest_count_as_having_a_temper_of_two_hundredths():
    model = stage(row(males=1), row(OTHER, males=1), kinds=(kind(OTHER, temper=0.001),))
    assert model.shoal.pair.odds[0, 1] == pytest.approx(model.parameters.temper_odds * math.log(1 / 0.02))


def test_traits_are_drawn_by_ratio():
    states("by ratio (log-uniform) where the table of traits says so, else evenly")
    species = library()["Tropheus moorii"]
    radius = species.traits["radius_cm"]
    drawn = [draw_traits(species, seed=1, guess=guess, fixed=False)["radius_cm"] for guess in range(400)]
    assert np.median(drawn) == pytest.approx(math.sqrt(radius.low * radius.high), rel=0.1)
    middle = (radius.low + radius.high) / 2
    assert abs(np.median(drawn) / middle - 1) > 0.15, "an even draw would look otherwise"


# ---- noticing, provocation, territories


@pytest.mark.parametrize("owner", [False, True])
def test_provocation(tank, owner):
    states(
        "near(x, r) = r⁴ / (r⁴ + x⁴)",
        "x[i, j] = d(i, j) / individual_distance; for an owner the smaller of this"
        " and way(centre[i], cell[j])",
        "w[i, j] = near(x[i, j], radius_cm[i, j]) · weight[i, j] · (1 - (1 - familiar_weight) · f[i, j])",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    fish.centre[0] = 0 if owner else -1
    x = apart(tank, 0, 1) / p.individual_distance
    if owner:
        x = min(x, way(tank, 0, fish.cell[1]))
        assert x == way(tank, 0, fish.cell[1])
    radius = pair.radius_cm[0, 1]
    w = near(x, radius) * pair.weight[0, 1] * (1 - (1 - p.familiar_weight) * pair.familiar[0, 1])
    assert provocation(0, 1, *at(tank)) == pytest.approx(w)
    assert nearness(x * x, radius) == pytest.approx(near(x, radius))


def test_noticing(tank):
    states(
        "f[i, j] += (1 - exp(-notice_s / familiar_s)) · (1 - f[i, j])",
        "dominants[i] = sum of min(1, temper[j]) · near(d(i, j), radius_cm[j, i])",
        "over j with weight[j, i] > 0 and J[i, j] < -stand_odds",
        "pull[i] = company_pull · company[i] · unit vector along the sum of the ways to own kind in view",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    pair.odds[0] = 0.0, -9.0, -9.0
    pair.odds[1] = 9.0, 0.0, 9.0
    for i in (0, 1):
        familiar = pair.familiar[i].copy()
        notice(i, *at(tank))
        for j in {0, 1, 2} - {i}:
            wanted = familiar[j] + chance(1 / p.familiar_s, p.notice_s) * (1 - familiar[j])
            assert pair.familiar[i, j] == pytest.approx(wanted)
    dominants = sum(min(1, fish.temper[j]) * near(apart(tank, 0, j), pair.radius_cm[j, 0]) for j in (1, 2))
    assert fish.dominants[0] == pytest.approx(dominants)
    assert fish.dominants[1] == 0.0
    to_own = (tank.tank.xyz[fish.cell[1]] - tank.tank.xyz[fish.cell[0]]).astype(float)
    pull = p.company_pull * 0.6 * to_own / np.linalg.norm(to_own)
    assert [fish.pull_x[0], fish.pull_y[0], fish.pull_z[0]] == pytest.approx(pull)


def test_the_sum_of_provocation_in_view(tank):
    states("provoked[i] = sum of w[i, j]")
    tank.shoal.pair.familiar[:] = 1.0  # so that noticing does not change it
    notice(0, *at(tank))
    wanted = provocation(0, 1, *at(tank)) + provocation(0, 2, *at(tank))
    assert tank.shoal.fish.provoked[0] == pytest.approx(wanted)
    assert wanted > 0.0


def test_worth_of_a_site(tank):
    states(
        "worth = cover[cell] + depth_cm / 30 - claim_rivals · sum of"
        " near(way(centre[k], cell), radius_cm[k, i])",
        "over owners k that are no mates, with odds[i, k] + e[i] - known_experience · e[k] < 0",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    fish.centre[:] = -1, 0, 0
    pair.odds[0] = 0.0, -5.0, 5.0
    cell = tank.tank.refuge_cell[1]
    worth = tank.tank.cover[cell] + 18.0 / 30
    assert worth_of_site(0, 1, *at(tank)) == pytest.approx(
        worth - p.claim_rivals * near(way(tank, 0, cell), pair.radius_cm[1, 0])
    )
    pair.odds[0, 1] = 5.0
    assert worth_of_site(0, 1, *at(tank)) == pytest.approx(worth)


# ---- attack


def test_rate_of_attack(tank):
    states(
        "rate[i] = attack_rate_s · temper[i] · max(0, 1 - F[i]) · S / (S + provocation_half), S = provoked[i]"
    )
    p = tank.parameters
    wanted = p.attack_rate_s * 0.8 * (1 - 0.3) * 0.25 / (0.25 + p.provocation_half)
    assert attack_rate(0, tank.shoal, p) == pytest.approx(wanted)
    tank.shoal.fish.fright[0] = 1.0
    assert attack_rate(0, tank.shoal, p) == 0.0
    assert attack_rate(2, tank.shoal, p) == 0.0


def test_approach_and_standing_ones_ground(tank):
    """The same draws as the rules make: every one of them must fall as the equation says."""
    states("`logistic(J[i, j] + attack_odds)`", "`logistic(J[j, i] + stand_odds)`")
    shoal, p = tank.shoal, tank.parameters
    shoal.pair.odds[:2, :2] = [[0.0, 0.2], [-2.5, 0.0]]
    shoal.pair.standing[:] = 0.0
    towards = shoal.pair.odds[0, 1] + 0.6 - p.known_experience * -0.4
    back = shoal.pair.odds[1, 0] - 0.4 - p.known_experience * 0.6
    draws = [uniform(shoal.streams[0, FOR_TARGET], tick, 4000) for tick in range(300)]
    went = [goes_for_it(0, 1, tick, shoal, p) for tick in range(300)]
    assert went == [u < sigmoid(towards + p.attack_odds) for u in draws]
    draws = [uniform(shoal.streams[1, FOR_STAND], tick, 0) for tick in range(300)]
    stood = [stands_ground(1, 0, tick, *at(tank)) for tick in range(300)]
    assert stood == [u < sigmoid(back + p.stand_odds) for u in draws]
    assert 0 < sum(went) < 300 > sum(stood) > 0


# ---- contests and what they teach


def test_odds_of_a_contest_and_as_judged(tank):
    states(
        "L[i, j] = odds[i, j] + e[i] - e[j]",
        "J[i, j] = odds[i, j] + e[i] - known_experience · e[j] + standing[i, j]",
        "+ residence_odds where i is at home, - residence_odds where j is",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    odds = pair.odds[0, 1] + 0.6 + 0.4
    judged = pair.odds[0, 1] + 0.6 + p.known_experience * 0.4 + pair.standing[0, 1]
    assert contest_odds(0, 1, *at(tank)) == pytest.approx(odds)
    assert judged_odds(0, 1, tank.shoal, p) == pytest.approx(judged)
    fish.centre[1], fish.core_cm[1], fish.at_home[1] = 0, 500.0, True
    assert contest_odds(0, 1, *at(tank)) == pytest.approx(odds - p.residence_odds)
    assert contest_odds(1, 0, *at(tank)) == pytest.approx(-odds + p.residence_odds)
    assert judged_odds(0, 1, tank.shoal, p) == pytest.approx(judged - p.residence_odds)


@pytest.mark.parametrize("odds", [-45.0, -3.0, 0.0, 0.4, 25.0])
def test_chance_to_win_and_end_of_a_contest(tank, odds):
    states("`logistic(x) = 1 / (1 + exp(-x))`", "exp(min(|L|, 20)) / contest_s")
    assert logistic(odds) == pytest.approx(sigmoid(odds), abs=1e-15)
    wanted = math.exp(min(abs(odds), 20)) / tank.parameters.contest_s
    assert contest_ends(odds, tank.parameters) == pytest.approx(wanted)


def test_what_winning_and_losing_teach(tank):
    states(
        "e[winner] += share · 2 · experience_step · (1 - p) · winner_effect",
        "e[loser] -= share · 2 · experience_step · (1 - p) · loser_effect",
        "standing[loser, winner] -= pair_step · logistic(J[loser, winner])",
    )
    fish, p = tank.shoal.fish, tank.parameters
    p.winner_effect, p.loser_effect = 0.7, 1.2
    lesson(0, 1, 0.4, 0.8, tank.shoal, p)
    step = 0.4 * 2 * p.experience_step * (1 - 0.8)
    assert fish.experience[0] == pytest.approx(0.6 + 0.7 * step)
    assert fish.experience[1] == pytest.approx(-0.4 - 1.2 * step)
    tank.shoal.pair.odds[1, 0] = 0.5
    before, judged = tank.shoal.pair.standing[1, 0], judged_odds(1, 0, tank.shoal, p)
    remember(1, 0, tank.shoal, p)
    assert tank.shoal.pair.standing[1, 0] == pytest.approx(before - p.pair_step * sigmoid(judged))


# ---- chase and flight


def test_giving_up(tank):
    states("at the rate `1 / chase_s`")
    fish, p = tank.shoal.fish, tank.parameters
    fish.doing[0], fish.target[0] = CHASING, 1
    draws = [uniform(tank.shoal.streams[0, FOR_CHASE], tick, 0) for tick in range(200)]
    gave = [gives_up(0, tick, *at(tank)) for tick in range(200)]
    assert gave == [u < chance(1 / p.chase_s, p.tick_s) for u in draws]
    fish.centre[0] = 0
    tank.shoal.pair.radius_cm[0, 1] = 1.0
    assert all(gives_up(0, tick, *at(tank)) for tick in range(20)), "beyond its leash"


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
        "+ seen_into_cm a crevice into which the chaser sees",
        "+ chaser_nearer_cm the chaser has the shorter way to it",
    )
    fish, p, tables = tank.shoal.fish, tank.parameters, tank.tank
    put(tank, 2, 2, 4, 0)
    cases = set()
    for refuge in range(len(tables.refuge_cell)):
        cost = way(tank, refuge, fish.cell[0]) - p.memory_cm * tank.shoal.memory[0, refuge]
        cost += p.corner_cm * tables.refuge_corner[refuge]
        assert flight_cost_cm(0, refuge, -1, *at(tank)) == pytest.approx(cost)
        for chaser in (1, 2):
            cell = fish.cell[chaser]
            looks = bool(tables.looks_in[refuge, cell >> 3] >> (cell & 7) & 1)
            seen = looks and not tables.refuge_corner[refuge]
            nearer = way(tank, refuge, cell) < way(tank, refuge, fish.cell[0])
            cases.add((seen, nearer))
            wanted = cost + p.seen_into_cm * seen + p.chaser_nearer_cm * nearer
            assert flight_cost_cm(0, refuge, chaser, *at(tank)) == pytest.approx(wanted)
    assert len(cases) > 2, "cases that differ"


def test_calming_down(tank):
    states("calm_rate_s · exp(-out_fright · (F + G))")
    p = tank.parameters
    tank.shoal.fish.doing[0] = FLEEING
    draws = [uniform(tank.shoal.streams[0, FOR_HIDE], tick, 1) for tick in range(300)]
    calm = [calms_down(0, tick, tank.shoal, p) for tick in range(300)]
    rate = p.calm_rate_s * math.exp(-p.out_fright * (0.3 + 0.2))
    assert calm == [u < chance(rate, p.tick_s) for u in draws]
    assert 0 < sum(calm) < 300


# ---- fright, trust, hiding


def test_fright_rises_and_fades(tank):
    states(
        "F += min(1, fright_gain · timidity · share) · (1 - F)",
        "G += min(1, slow_gain · timidity) · (1 - G)",
        "F ·= 0.5 ^ (t / fright_half_life_s) G ·= 0.5 ^ (t / (86400 · slow_half_life_d))",
        "e ·= 0.5 ^ (t / (86400 · experience_half_life_d))",
    )
    fish, p = tank.shoal.fish, tank.parameters
    frighten(0, 1.0, 1.0, tank.shoal, p)
    quick = 0.3 + p.fright_gain * 1.4 * (1 - 0.3)
    slow = 0.2 + p.slow_gain * 1.4 * (1 - 0.2)
    assert (fish.fright[0], fish.slow_fright[0]) == pytest.approx((quick, slow))
    frighten(0, p.bite_fright, 0.0, tank.shoal, p)
    quick += p.fright_gain * 1.4 * p.bite_fright * (1 - quick)
    assert (fish.fright[0], fish.slow_fright[0]) == pytest.approx((quick, slow))
    fade(tank.shoal, p, 5000.0)
    assert fish.fright[0] == pytest.approx(quick * 0.5 ** (5000 / p.fright_half_life_s))
    assert fish.slow_fright[0] == pytest.approx(slow * 0.5 ** (5000 / (86400 * p.slow_half_life_d)))
    assert fish.experience[0] == pytest.approx(0.6 * 0.5 ** (5000 / (86400 * p.experience_half_life_d)))


def test_trust(tank):
    states(
        "M += memory_gain · (1 - M)",
        "M ·= memory_loss every shelter within 15 cm of swimming of a place where it is chased",
    )
    memory, p = tank.shoal.memory, tank.parameters
    before = memory.copy()
    trust_left(0, 1, tank.shoal, p)
    assert memory[0, 1] == pytest.approx(before[0, 1] + p.memory_gain * (1 - before[0, 1]))
    before = memory.copy()
    put_in(tank, 0, 0)
    trust_shaken(0, tank.water, tank.shoal, p)
    beside = [way(tank, r, tank.shoal.fish.cell[0]) <= 15.0 for r in range(memory.shape[1])]
    assert memory[0] == pytest.approx(np.where(beside, before[0] * p.memory_loss, before[0]))
    assert 0 < sum(beside) < len(beside)


@pytest.mark.parametrize("is_meal", [False, True])
def test_rate_of_coming_out(tank, is_meal):
    states(
        "coming out out_rate_s · exp(out_hunger · (H - 0.5) - out_fright · (F + G) - out_dominants · D"
        " + [during a meal] out_meal · H)"
    )
    p = tank.parameters
    drive = p.out_hunger * (0.7 - 0.5) - p.out_fright * 0.5 - p.out_dominants * 0.4
    drive += p.out_meal * 0.7 * is_meal
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
        "pull_home = home_pull_cm + fear_leash_cm · min(1, F + G)",
        "= food_pull_cm · H · max(0, 1 - (F + G))",
    )
    fish, p, tables = tank.shoal.fish, tank.parameters, tank.tank
    fish.grazer[0] = 0.5
    fish.pull_x[0], fish.pull_y[0], fish.pull_z[0] = 0.1, -0.2, 0.15
    home = int(tables.feed_source[0]) if to_food else 1
    fish.home[0] = home
    pull = p.food_pull_cm * 0.7 * (1 - 0.5) if to_food else p.home_pull_cm + p.fear_leash_cm * 0.5
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
    states("`f ·= 0.5 ^ (1 / familiar_half_life_d)`", "`standing ·= 0.5 ^ (1 / pair_half_life_d)`")
    pair, p = tank.shoal.pair, tank.parameters
    familiar, standing = pair.familiar.copy(), pair.standing.copy()
    night(*at(tank), 14 * 3600.0)
    assert pair.familiar == pytest.approx(familiar * 0.5 ** (1 / p.familiar_half_life_d))
    assert pair.standing == pytest.approx(standing * 0.5 ** (1 / p.pair_half_life_d))
    assert tank.shoal.fish.slow_fright[0] == pytest.approx(0.2 * 0.5 ** (14 / 24 / p.slow_half_life_d))
