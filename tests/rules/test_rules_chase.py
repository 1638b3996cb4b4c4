"""Chases between two staged fish: following, giving up, reaching, biting, and who is evicted."""

import itertools

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.rules.chase import break_off, can_follow, gives_up, is_in_reach, press
from staging import at, claim, hole, holes, near, put, put_in, row, stage, steps, still


def chase(apart=3, *, rock=None, length=10.0, other=6.0, **parameters):
    """Fish 0 chases fish 1, which already flees, ``apart`` cells away."""
    model = stage(
        row(males=1, length=length), row(females=1, length=other),
        rock=rock or holes(hole(2.5), hole(52.5)), parameters=parameters,
    )  # fmt: skip
    still(model)
    put(model, 0, 4, 4, 4)
    put(model, 1, 4 + apart, 4, 4)
    fish = model.shoal.fish
    fish.doing[:] = CHASING, FLEEING
    fish.target[0], fish.chaser[1], fish.counted[0], fish.refuge[1] = 1, 0, True, 1
    return model


def test_a_chaser_follows_while_it_sees_the_other():
    model = chase()
    assert can_follow(0, *at(model))
    model.water.sight[:] = 0
    assert not can_follow(0, *at(model))


@pytest.mark.parametrize(("mouth_cm", "follows"), [(2.0, False), (3.5, True)])
def test_a_hole_admits_her_and_not_him(mouth_cm, follows):
    """Body depths are 3.0 and 1.8 cm."""
    model = chase(rock=holes(hole(32.5, mouth_cm=mouth_cm)))
    put_in(model, 1, 0)
    put(model, 0, *(model.tank.xyz[model.tank.refuge_cell[0]] - [0, 3, 0]))
    assert can_follow(0, *at(model)) == follows


def test_a_target_in_a_contest_or_taken_out_is_left():
    model = chase()
    model.shoal.fish.doing[1] = CONTESTING
    assert not can_follow(0, *at(model))
    model = chase()
    model.shoal.fish.present[1] = False
    assert not can_follow(0, *at(model))


@pytest.mark.parametrize("tolerance", [0.5, 0.9])
def test_a_chaser_on_its_own_ground_turns_back_where_that_ends(tolerance):
    """Its ground is where it claims more than it tolerates of the other: here half of that of other kinds."""
    model = chase(tolerance=tolerance)
    border = 0.5 * tolerance
    for here, there in itertools.product((0.0, border - 0.01, border + 0.01, 1.0), repeat=2):
        claim(model, 0, here, model.shoal.fish.cell[0])
        claim(model, 0, there, model.shoal.fish.cell[1])
        assert can_follow(0, *at(model)) == (here <= border or there > border), (here, there)
        assert gives_up(0, 1, *at(model)) or can_follow(0, *at(model))


def test_a_chaser_that_is_off_its_ground_or_has_none_follows_as_long_as_it_likes():
    model = chase()
    claim(model, 0, 1.0, model.tank.index[0, 0, 0])
    assert can_follow(0, *at(model))
    hers = chase()
    hers.shoal.fish.ground[0] = -1
    hers.shoal.claims[:] = 1.0
    assert can_follow(0, *at(hers))


def test_a_border_is_crossed_by_the_fish_that_is_chased_and_not_by_the_owner():
    """Ground to the left of the middle: an owner drives a fish to the border and swims again."""
    model = chase(4, chase_s=1e12)
    left = np.flatnonzero(model.tank.xyz[:, 0] < 8)
    claim(model, 0, 1.0, *left)
    model.shoal.fish.burst_cm_s[:] = 20.0, 25.0
    while model.shoal.fish.doing[0] == CHASING:
        model.step()
        assert model.tick < 20
    x = model.tank.xyz[model.shoal.fish.cell, 0]
    assert model.shoal.fish.doing.tolist() == [SWIMMING, FLEEING]
    assert x[0] < 8 <= x[1]


@pytest.mark.parametrize("chase_s", [3.0, 12.0])
def test_a_chaser_gives_up_after_a_mean_time(chase_s):
    """Chance 1 - exp(-dt / chase_s) a tick, 4 standard errors."""
    model = chase(chase_s=chase_s)
    ends = np.mean([gives_up(0, tick, *at(model)) for tick in range(3000)])
    chance = -np.expm1(-1 / chase_s)
    assert ends == near(chance, 3000)


def test_breaking_off_leaves_nobody_chased():
    model = chase()
    break_off(0, model.shoal)
    assert model.shoal.fish.doing.tolist() == [SWIMMING, FLEEING]
    assert model.shoal.fish.target[0] == model.shoal.fish.chaser[1] == -1


@pytest.mark.parametrize(("apart", "reaches"), [(1, True), (2, True), (3, False)])
def test_reach_is_a_body_length(apart, reaches):
    assert is_in_reach(0, *at(chase(apart, reach_lengths=1.0))) == reaches


def test_bites_fall_at_their_rate_within_reach_and_only_there():
    """0.5 a second in sub-steps of 0.25 s: chance 1 - exp(-0.125), 4 standard errors."""
    for apart, chance in ((2, -np.expm1(-0.125)), (4, 0.0)):
        model = chase(apart, bite_rate_s=0.5)
        for tick in range(2000):
            press(0, tick, 2, 0.25, *at(model), model.ledger)
        bites = model.ledger.pair.bites
        assert bites[0, 1] / 2000 == near(chance, 2000)
        assert bites.sum() == bites[0, 1]


def test_a_bite_is_counted_and_frightens_no_more_than_the_chase_did():
    model = chase(1, bite_rate_s=1e9)
    press(0, 1, 0, 1.0, *at(model), model.ledger)
    assert model.ledger.pair.bites[0, 1] == 1
    assert model.shoal.fish.fright[1] == model.shoal.fish.slow_fright[1] == 0.0


def test_a_fish_in_a_hole_its_chaser_fits_is_flushed_out_to_another():
    """Evicted: the roomy hole is no shelter from one who fits into it."""
    model = chase(rock=holes(hole(22.5, mouth_cm=6.0), hole(52.5, mouth_cm=2.0)))
    put_in(model, 1, 0)
    model.shoal.fish.counted[0] = False
    model.shoal.memory[1, 0] = 1.0
    put(model, 0, *(model.tank.xyz[model.tank.refuge_cell[0]] - [0, 1, 0]))
    press(0, 3, 0, 1.0, *at(model), model.ledger)
    fish = model.shoal.fish
    assert fish.doing[1] == FLEEING
    assert fish.refuge[1] == 1
    assert model.ledger.pair.chases[0, 1] == 1
    assert model.shoal.memory[1, 0] == pytest.approx(0.7), "its trust in the hole is shaken"


def test_however_often_it_is_flushed_out_it_is_one_chase():
    model = chase(rock=holes(hole(22.5, mouth_cm=6.0), hole(32.5, mouth_cm=6.0)))
    model.shoal.fish.counted[0] = False
    for tick in range(6):
        put_in(model, 1, tick % 2)
        put(model, 0, *(model.tank.xyz[model.shoal.fish.cell[1]] - [0, 1, 0]))
        press(0, tick, 0, 1.0, *at(model), model.ledger)
        assert model.shoal.fish.doing[1] == FLEEING
    assert model.ledger.pair.chases.sum() == 1
    assert model.ledger.hours.chased.sum() == 1


def test_safe_in_a_hole_too_small_the_chase_is_over():
    model = chase(rock=holes(hole(22.5, mouth_cm=2.0)))
    put_in(model, 1, 0)
    put(model, 0, *(model.tank.xyz[model.tank.refuge_cell[0]] - [0, 1, 0]))
    steps(model, 2)
    assert model.shoal.fish.doing[1] == SHELTERED
    assert model.shoal.fish.doing[0] == SWIMMING
    assert model.ledger.pair.bites.sum() == 0


def a_third_after_the_chaser():
    """Fish 0 is after fish 1, which chases fish 2."""
    model = stage(row(males=1, length=12.0), row(males=1), row(females=1, length=6.0))
    still(model)
    fish = model.shoal.fish
    for i, x in enumerate((2, 4, 8)):
        put(model, i, x, 4, 4)
    fish.doing[:] = CHASING, CHASING, FLEEING
    fish.target[:] = 1, 2, -1
    fish.chaser[2], fish.counted[1], fish.refuge[2] = 1, True, 1
    return model, fish


def test_a_chaser_that_is_itself_put_to_flight_lets_its_own_quarry_go():
    model, fish = a_third_after_the_chaser()
    press(0, 3, 0, 1.0, *at(model), model.ledger)
    assert fish.doing[1] == FLEEING
    assert fish.chaser.tolist() == [-1, 0, -1]


def test_a_chaser_met_by_another_lets_its_own_quarry_go():
    model, fish = a_third_after_the_chaser()
    fish.resists[0] = True
    press(0, 3, 0, 1.0, *at(model), model.ledger)
    assert fish.doing[:2].tolist() == [CONTESTING, CONTESTING]
    assert fish.chaser[2] == -1
