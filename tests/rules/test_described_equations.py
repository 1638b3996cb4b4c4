"""The equations of sim/MODEL.md, written out by hand, against the rules: bodies to contests.

Each test quotes the line it evaluates, and the line must stand in the document.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from equations import OTHER, apart, at, chance, claimed, near, sigmoid, staged, states
from rockshy.sim.fish.population import draw_traits
from rockshy.sim.fish.shoal import FOR_STAND, FOR_TARGET
from rockshy.sim.rules.attack import attack_rate, goes_for_it, lets_be, stands_ground
from rockshy.sim.rules.claims import fade_claims, fought_over, stay
from rockshy.sim.rules.contest import contest_ends, contest_odds, judged_odds, remember
from rockshy.sim.rules.fright import lesson
from rockshy.sim.rules.notice import look_round
from rockshy.sim.rules.odds import logistic
from rockshy.sim.rules.support.random_numbers import uniform
from rockshy.sim.rules.territory import nearness, provocation, trespass
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
        "tolerated[i, j] tolerance · m",
        "radius_cm[i, j] max(1, core_cm[i] · (1 - tolerated[i, j]))",
        "odds[i, j] size_odds · ln(L[i] / L[j]) + temper_odds · ln(t[i] / t[j])",
        "t = max(0.02, temper · (temper_female if female)), traits of the species",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    assert fish.burst_cm_s[1] == pytest.approx(4.5 * 0.8 * 9.0)
    assert fish.core_cm[2] == pytest.approx(40.0 * 8.0 / 10)
    assert fish.temper[2] == pytest.approx(0.6 * 0.4)
    assert pair.tolerated[0, :2].tolist() == [0.0, 0.0]
    assert pair.tolerated[0, 2] == pytest.approx(p.tolerance)
    assert pair.radius_cm[0, 1] == pytest.approx(40.0)
    assert pair.radius_cm[0, 2] == pytest.approx(40.0 * (1 - p.tolerance))
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


def test_learning_and_forgetting_a_place(tank):
    states(
        "C += (1 - exp(-notice_s · (1 + cover[cell]) / claim_s)) · (1 - C)",
        "C ·= exp(-t / (3600 · claim_fade_h))",
    )
    fish, claims, p = tank.shoal.fish, tank.shoal.claims, tank.parameters
    before, block = claims.copy(), tank.water.cells.block[fish.cell[0]]
    tank.water.cells.cover[fish.cell[0]] = 0.4
    stay(0, *at(tank))
    before[0, block] += chance((1 + 0.4) / p.claim_s, p.notice_s) * (1 - before[0, block])
    assert claims == pytest.approx(before)
    fade_claims(tank.shoal, p, 7200.0)
    assert claims == pytest.approx(before * math.exp(-2.0 / p.claim_fade_h))


def test_what_defeat_and_victory_do_to_claims(tank):
    """In the block of the loser and all that touch it, and nowhere else."""
    states("C += share · (0 - C)", "C += share · (1 - C)", "`claim_beaten`", "`chase_teaches · claim_beaten`")
    claims, blocks = tank.shoal.claims, blocks_within(tank, 1)
    before = claims.copy()
    for fish, to in ((1, 0.0), (0, 1.0)):
        fought_over(fish, tank.shoal.fish.cell[1], 0.3, to, tank.water, tank.shoal)
    wanted = before.copy()
    wanted[1, blocks] *= 1 - 0.3
    wanted[0, blocks] += 0.3 * (1 - wanted[0, blocks])
    assert claims == pytest.approx(wanted)
    assert 8 <= len(blocks) < claims.shape[1]


def blocks_within(tank, i):
    """Blocks of 10 cm that touch, at most by a corner, the one in which a fish is, or are it."""
    edge = tank.tank.edge_cm
    place = (tank.tank.xyz * edge // 10.0).astype(int)
    near_by = (abs(place - place[tank.shoal.fish.cell[i]]) <= 1).all(axis=1)
    return np.unique(tank.water.cells.block[near_by])


@pytest.mark.parametrize("claim", [0.0, 0.3, 0.9])
@pytest.mark.parametrize("j", [1, 2])
def test_trespass_and_provocation(tank, claim, j):
    """Fish 1 is a rival of fish 0, fish 2 of another kind and diet."""
    states(
        "near(x, r) = r⁴ / (r⁴ + x⁴)",
        "close[i, j] = near(d(i, j), individual_distance · radius_cm[i, j])",
        "trespass[i, j] = max(close[i, j], near(d(i, j), radius_cm[i, j])"
        " · (claim(i, cell[j]) - tolerated[i, j]) / (1 - tolerated[i, j]))",
        "close[i, j] alone where claim(i, cell[j]) <= tolerated[i, j]",
        "w[i, j] = trespass[i, j] · weight[i, j]",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    p.individual_distance = 0.25
    tank.shoal.claims[0, tank.water.cells.block[fish.cell[j]]] = claim
    x, radius, tolerated = apart(tank, 0, j), pair.radius_cm[0, j], pair.tolerated[0, j]
    wanted = near(x, 0.25 * radius)
    if claim > tolerated:
        wanted = max(wanted, near(x, radius) * (claim - tolerated) / (1 - tolerated))
    assert trespass(0, j, *at(tank)) == pytest.approx(wanted)
    pair.weight[0, j] = 0.7
    assert provocation(0, j, *at(tank)) == pytest.approx(0.7 * wanted)
    assert nearness(x * x, radius) == pytest.approx(near(x, radius))
    assert (wanted > near(x, 0.25 * radius)) == (claim > tolerated)


def test_noticing(tank):
    states(
        "dominants[i] = sum of min(1, temper[j]) · trespass[j, i]",
        "over j with weight[j, i] > 0 and J[i, j, cell[i]] < -stand_odds",
        "pull[i] = company_pull · company[i] · unit vector along the sum of the ways to own kind in view",
    )
    fish, pair, p = tank.shoal.fish, tank.shoal.pair, tank.parameters
    pair.odds[0] = 0.0, -9.0, -9.0
    pair.odds[1] = 9.0, 0.0, 9.0
    fish.temper[1] = 1.7
    look_round(*at(tank))
    dominants = sum(min(1, fish.temper[j]) * trespass(j, 0, *at(tank)) for j in (1, 2))
    assert fish.dominants[0] == pytest.approx(dominants)
    assert fish.dominants[1] == 0.0
    to_own = (tank.tank.xyz[fish.cell[1]] - tank.tank.xyz[fish.cell[0]]).astype(float)
    pull = p.company_pull * 0.6 * to_own / np.linalg.norm(to_own)
    assert [fish.pull_x[0], fish.pull_y[0], fish.pull_z[0]] == pytest.approx(pull)


def test_the_sum_of_provocation_in_view(tank):
    states("provoked[i] = sum of w[i, j]")
    look_round(*at(tank))
    wanted = provocation(0, 1, *at(tank)) + provocation(0, 2, *at(tank))
    assert tank.shoal.fish.provoked[0] == pytest.approx(wanted)
    assert wanted > 0.0


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
    doubt = "`logistic(J[j, i, cell[j]] + stand_odds · exp(standing[j, i]))`"
    states("`logistic(J[i, j, cell[j]] + attack_odds)`", doubt)
    shoal, p = tank.shoal, tank.parameters
    shoal.pair.odds[:2, :2] = [[0.0, 0.2], [-2.5, 0.0]]
    shoal.pair.standing[:] = 0.0
    shoal.pair.standing[1, 0] = lost = -0.4
    place = shoal.fish.cell[1]
    edge = p.residence_odds * (claimed(tank, 0, place) - claimed(tank, 1, place))
    towards = shoal.pair.odds[0, 1] + 0.6 - p.known_experience * -0.4 + edge
    back = shoal.pair.odds[1, 0] + lost - 0.4 - p.known_experience * 0.6 - edge
    draws = [uniform(shoal.streams[0, FOR_TARGET], tick, 4000) for tick in range(300)]
    went = [goes_for_it(0, 1, tick, *at(tank)) for tick in range(300)]
    assert went == [u < sigmoid(towards + p.attack_odds) for u in draws]
    draws = [uniform(shoal.streams[1, FOR_STAND], tick, 0) for tick in range(300)]
    stood = [stands_ground(1, 0, tick, *at(tank)) for tick in range(300)]
    assert stood == [u < sigmoid(back + p.stand_odds * math.exp(lost)) for u in draws]
    assert 0 < sum(went) < 300 > sum(stood) > 0


def test_letting_be(tank):
    states(
        "`exp(-max(0, -B) / let_be_odds)`",
        "`B = odds[j, i] + e[j] - known_experience · e[i] + standing[j, i]`",
    )
    shoal, p = tank.shoal, tank.parameters
    shoal.pair.odds[1, 0] = -1.0
    yields = 1.0 + 0.4 + p.known_experience * 0.6 - shoal.pair.standing[1, 0]
    draws = [uniform(shoal.streams[0, FOR_TARGET], tick, 4001) for tick in range(300)]
    let = [lets_be(0, 1, tick, shoal, p) for tick in range(300)]
    assert let == [u >= math.exp(-yields / p.let_be_odds) for u in draws]
    assert 0 < sum(let) < 300
    shoal.pair.odds[1, 0] = 9.0
    assert not any(lets_be(0, 1, tick, shoal, p) for tick in range(300))


# ---- contests and what they teach


def test_odds_of_a_contest_and_as_judged(tank):
    states(
        "edge[i, j, c] = residence_odds · (claim(i, c) - claim(j, c))",
        "L[i, j, c] = odds[i, j] + e[i] - e[j] + edge[i, j, c]",
        "J[i, j, c] = odds[i, j] + e[i] - known_experience · e[j] + standing[i, j] + edge[i, j, c]",
    )
    pair, p = tank.shoal.pair, tank.parameters
    odds = pair.odds[0, 1] + 0.6 + 0.4
    judged = pair.odds[0, 1] + 0.6 + p.known_experience * 0.4 + pair.standing[0, 1]
    for cell in range(0, len(tank.tank.xyz), 97):
        edge = p.residence_odds * (claimed(tank, 0, cell) - claimed(tank, 1, cell))
        assert contest_odds(0, 1, cell, *at(tank)) == pytest.approx(odds + edge)
        assert contest_odds(1, 0, cell, *at(tank)) == pytest.approx(-odds - edge)
        assert judged_odds(0, 1, cell, *at(tank)) == pytest.approx(judged + edge)
    assert tank.shoal.fish.ground[2] == -1
    assert contest_odds(2, 0, cell, *at(tank)) == pytest.approx(
        pair.odds[2, 0] + 0.2 - 0.6 - p.residence_odds * claimed(tank, 0, cell)
    )


@pytest.mark.parametrize("odds", [-45.0, -3.0, 0.0, 0.4, 25.0])
def test_chance_to_win_and_end_of_a_contest(tank, odds):
    states(
        "`logistic(x) = 1 / (1 + exp(-x))`",
        "π / 2 · s / m², m = contest_s · exp(-min(|L|, 20))",
    )
    assert logistic(odds) == pytest.approx(sigmoid(odds), abs=1e-15)
    mean = tank.parameters.contest_s * math.exp(-min(abs(odds), 20))
    assert contest_ends(odds, 7.5, tank.parameters) == pytest.approx(math.pi / 2 * 7.5 / mean**2)


def test_what_winning_and_losing_teach(tank):
    states(
        "e[winner] += share · 2 · winner_effect · (1 - p)",
        "e[loser] -= share · 2 · loser_effect · (1 - p)",
        "standing[loser, winner] -= pair_step · logistic(J[loser, winner, cell[loser]])",
    )
    fish, p = tank.shoal.fish, tank.parameters
    p.winner_effect, p.loser_effect = 0.7, 1.2
    lesson(0, 1, 0.4, 0.8, tank.shoal, p)
    step = 0.4 * 2 * (1 - 0.8)
    assert fish.experience[0] == pytest.approx(0.6 + 0.7 * step)
    assert fish.experience[1] == pytest.approx(-0.4 - 1.2 * step)
    tank.shoal.pair.odds[1, 0] = 0.5
    before = tank.shoal.pair.standing[1, 0]
    judged = judged_odds(1, 0, fish.cell[1], *at(tank))
    remember(1, 0, *at(tank))
    assert tank.shoal.pair.standing[1, 0] == pytest.approx(before - p.pair_step * sigmoid(judged))
