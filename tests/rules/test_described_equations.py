"""The equations of sim/MODEL.md, written out by hand, against the rules: bodies to contests.

Each test quotes the line it evaluates, and the line must stand in the document.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from equations import OTHER, apart, at, chance, near, sigmoid, staged, states, way
from rockshy.sim.fish.population import draw_traits
from rockshy.sim.fish.shoal import FOR_STAND, FOR_TARGET
from rockshy.sim.rules.attack import attack_rate, goes_for_it, stands_ground
from rockshy.sim.rules.contest import contest_ends, contest_odds, judged_odds, remember
from rockshy.sim.rules.fright import lesson
from rockshy.sim.rules.notice import notice
from rockshy.sim.rules.odds import logistic
from rockshy.sim.rules.support.random_numbers import uniform
from rockshy.sim.rules.territory import nearness, provocation, worth_of_site
from rockshy.sim.species.species import library
from staging import kind, row, stage


@pytest.fixture
def tank():
    return staged()


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
    drawn = [draw_traits(species, seed=1, draw=draw, fixed=False)["radius_cm"] for draw in range(400)]
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
