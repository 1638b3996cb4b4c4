"""Rock taken out and laid anew during a run: what is lost, what stays, what is measured, how it is asked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim.fish.shoal import SHELTERED
from rockshy.sim.run.keeping import kept_run, places_after
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import run_trial
from rockshy.sim.scenario.scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from rockshy.sim.scenario.timeline import RockAnew
from rockshy.sim.species.species import library

DAY = 0.2  # the rock is laid anew: after two of ten lit hours
SPECIES = "Tropheus moorii"


@pytest.fixture
def scenario() -> Scenario:
    return Scenario(
        title="laid anew",
        question="",
        tank=TankSpec(80.0, 40.0, 40.0, 37.0),
        rock=RockSpec(cover=0.4, height_cm=25.0, piles=2, piece_cm=10.0),
        stock=(StockRow(SPECIES, 2, 2, length_cm=(8.0, 9.0)),),
        run=RunSpec(days=0.3, settle_days=0.2, trials=2, guesses=2, seed=3),
        species={SPECIES: library()[SPECIES]},
        events=(RockAnew(day=DAY),),
    )


def just_before(scenario: Scenario) -> TankModel:
    """A model one tick before its rock is laid anew."""
    model = TankModel(scenario)
    model.advance_to(model._tick_of(DAY) - 1)
    return model


def test_fish_lose_what_is_gone_and_keep_what_they_learnt(scenario: Scenario) -> None:
    model = just_before(scenario)
    fish = model.shoal.fish
    fish.centre[0] = fish.refuge[0] = 1
    fish.doing[0] = SHELTERED
    fish.fright[:] = 0.5
    fish.slow_fright[:] = 0.25
    model.shoal.memory[:] = model.shoal.claims[:] = 0.5
    model.shoal.pair.standing[1, 0] = -1.5
    experience, at = fish.experience.copy(), model.tank.xyz[fish.cell].copy()
    former = model.tank
    model.lay_rock_anew()
    fish = model.shoal.fish
    assert model.tank is not former and not np.array_equal(model.tank.index, former.index)
    assert (fish.centre == -1).all() and (fish.refuge == -1).all() and (fish.home == -1).all()
    assert (fish.doing == 0).all() and not model.shoal.memory.any()
    assert model.shoal.memory.shape == (4, len(model.tank.refuge_cell))
    assert not model.shoal.claims.any() and model.shoal.claims.shape == (4, len(model.water.beside))
    assert model.shoal.pair.standing[1, 0] == -1.5
    np.testing.assert_array_equal(fish.experience, experience)
    assert (fish.fright == 0.5).all() and (fish.slow_fright == 0.25).all()
    nearest = np.linalg.norm(model.tank.xyz[None] - at[:, None], axis=2).min(axis=1)
    np.testing.assert_allclose(np.linalg.norm(model.tank.xyz[fish.cell] - at, axis=1), nearest)


def test_it_happens_on_its_day_and_measuring_begins_after_it(scenario: Scenario) -> None:
    model = just_before(scenario)
    former = model.tank
    model.advance_to(model.next_stop())
    assert model.tick == model._tick_of(DAY)
    assert model.tank is not former
    assert model.measured_from == model._tick_of(DAY + scenario.run.settle_days)
    assert model.last_tick == model._tick_of(DAY + scenario.run.days)
    model.run()
    assert model.ledger.hours.lit.sum() == 4 * model.hour_ticks
    assert model.ledger.visits.shape == (4, len(model.tank.xyz))
    assert model.ledger.visits.sum() == 4 * model.hour_ticks


def test_until_that_day_the_run_is_that_of_the_rock_left_as_it_is(scenario: Scenario) -> None:
    """The same fish, rock and luck: two alternatives differ by that alone."""
    changed, left = just_before(scenario), just_before(replace(scenario, events=()))
    np.testing.assert_array_equal(changed.tank.index, left.tank.index)
    for name in ("cell", "fright", "centre", "experience"):
        np.testing.assert_array_equal(changed.shoal.fish[name], left.shoal.fish[name])


def test_a_trial_is_the_same_alone_and_with_shared_tanks(scenario: Scenario) -> None:
    (stocked, alone) = run_trial(scenario, 1, arms=(AS_STOCKED, LEFT_ALONE))
    model = TankModel(scenario, trial=1, draw=1)
    model.run()
    np.testing.assert_array_equal(stocked.columns["chases"], model.ledger.pair.chases)
    assert alone.columns["chases"].sum() == 0


def test_a_kept_run_tells_of_the_measured_tank_alone(scenario: Scenario) -> None:
    model = TankModel(scenario, keep=True)
    kept = kept_run(model)
    first = model._tick_of(DAY)
    assert kept.moves[:, 0].min() == first
    assert (kept.events[:, 0] >= first).all()
    assert (kept.stays == [first, model.last_tick]).all() and kept.stays.shape == (4, 1, 2)
    cells = places_after(
        kept, refuge_cell=model.tank.refuge_cell, ticks=np.array([first, model.last_tick - 1])
    )
    assert (cells >= 0).all() and (cells < len(model.tank.xyz)).all()
    sheltered = model.shoal.fish.doing == SHELTERED
    np.testing.assert_array_equal(cells[1][~sheltered], model.shoal.fish.cell[~sheltered])
