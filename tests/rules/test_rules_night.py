"""Night in one step: who sleeps where, and what fades."""

import numpy as np
import pytest
from rockshy.sim.fish.shoal import CHASING, CONTESTING, FLEEING, SHELTERED, SWIMMING
from rockshy.sim.rules.night import night, rest
from staging import at, claim, hole, holes, needs_compiling, put, put_in, row, stage, steps

NIGHT_S = 14 * 3600.0


def asleep(model, seconds=NIGHT_S):
    night(*at(model), seconds)


def test_fish_sleep_at_home_where_it_fits_and_has_room_the_longest_first():
    """Source: common practice, no source."""
    model = stage(row(females=1, length=6.0), row(males=2, length=9.0), rock=holes(hole(12.5), hole(42.5)))
    fish = model.shoal.fish
    model.shoal.memory[:, 0] = 0.9
    asleep(model)
    assert fish.doing.tolist() == [SWIMMING, SHELTERED, SWIMMING], "the hole has room for one"
    assert fish.cell[1] == model.tank.refuge_cell[0]
    fish.doing[:], fish.refuge[:] = SWIMMING, -1
    fish.depth_cm[1:] = 6.0
    asleep(model)
    assert fish.doing.tolist() == [SHELTERED, SWIMMING, SWIMMING], "it admits her and not them"


def test_without_a_home_a_fish_sleeps_where_it_is():
    model = stage(row(males=1), rock=holes(hole(12.5)))
    put(model, 0, 8, 3, 3)
    before = int(model.shoal.fish.cell[0])
    asleep(model)
    assert model.shoal.fish.cell[0] == before
    assert model.shoal.fish.doing[0] == SWIMMING


@pytest.mark.parametrize("doing", [FLEEING, CHASING, CONTESTING])
def test_in_the_morning_nobody_is_after_anybody(doing):
    model = stage(row(males=2))
    fish = model.shoal.fish
    fish.doing[:], fish.target[:], fish.chaser[:], fish.resists[:] = doing, [1, 0], [1, 0], True
    asleep(model)
    assert fish.doing.tolist() == [SWIMMING, SWIMMING]
    assert (fish.target == -1).all()
    assert (fish.chaser == -1).all()
    assert not fish.resists.any()


def test_a_fish_already_in_a_shelter_stays_there():
    model = stage(row(males=1), rock=holes(hole(12.5), hole(42.5)))
    put_in(model, 0, 1)
    model.shoal.memory[0, 0] = 1.0
    rest(0, model.water, model.shoal)
    assert model.shoal.fish.refuge[0] == 1
    assert model.shoal.fish.doing[0] == SHELTERED


def test_a_fish_taken_out_sleeps_nowhere_and_takes_no_room():
    model = stage(row(males=2), rock=holes(hole(12.5)))
    model.shoal.memory[:, 0] = 0.9
    model.take_out(model.agents[0])
    asleep(model)
    assert model.shoal.fish.doing.tolist() == [SWIMMING, SHELTERED]


def test_fright_fades_hunger_grows_opponents_are_half_forgotten_ground_is_not():
    """Closed forms over 14 hours. Source: BarretoVolpato2006 (fright, by analogy); Huang2011 (experience)."""
    model = stage(row(males=2), parameters={"pair_half_life_d": 2.0, "hunger_h": 24.0})
    fish = model.shoal.fish
    fish.fright[:], fish.slow_fright[:], fish.experience[:], fish.hunger[:] = 0.8, 0.4, -1.5, 0.0
    fish.provoked[:] = fish.dominants[:] = 1.0
    model.shoal.pair.standing[0, 1] = -0.9
    claim(model, 0, 0.6)
    asleep(model)
    assert fish.fright[0] == pytest.approx(0.8 * 0.5 ** (14 * 2))
    assert fish.slow_fright[0] == pytest.approx(0.4 * 0.5 ** (14 / 24))
    assert fish.experience[0] == pytest.approx(-1.5 * 0.5 ** (14 / 24))
    assert fish.hunger[0] == pytest.approx(1 - np.exp(-14 / 24))
    assert model.shoal.pair.standing[0, 1] == pytest.approx(-0.9 * np.sqrt(0.5))
    assert (model.shoal.claims[0] == 0.6).all()
    assert fish.provoked[0] == fish.dominants[0] == 0.0


@needs_compiling
def test_a_run_passes_the_night_in_one_step():
    model = stage(row(males=1), lit_hours=1.0, days=2.0)
    model.shoal.fish.slow_fright[0] = 0.5
    steps(model, 3600)
    assert model.shoal.fish.slow_fright[0] == pytest.approx(0.25), "one hour lit, 23 hours dark: a day"
