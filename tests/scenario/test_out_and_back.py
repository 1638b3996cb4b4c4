"""What events do to a run: fish that go out and come back, rock laid anew, and the laws they keep."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from rockshy.analysis.film.recording import record
from rockshy.analysis.questions.rock.grid import grid_of
from rockshy.analysis.questions.why.off import clear_view
from rockshy.sim import TankModel
from rockshy.sim.fish.population import derive
from rockshy.sim.run.drawing import draw_tank, draw_trial_rock
from rockshy.sim.run.keeping import kept_run, places_after
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.tank_changes import LEFT_BEHIND
from rockshy.sim.run.trials import run_trial, table_of
from rockshy.sim.scenario.scenario import RockSpec
from rockshy.sim.scenario.timeline import Event, FishBack, FishOut, RockAnew, register
from staging import fingerprint, row, scene, with_run
from timeline_examples import AWAY, HE, staged


def until(model: TankModel, tick: int) -> None:
    while model.tick < tick:
        model.advance_to(min(tick, model.next_stop()))


# ---- out and back


def test_a_fish_goes_out_and_comes_back_as_often_as_the_timeline_says() -> None:
    model = TankModel(staged(*AWAY))
    here, body = [], model.shoal.fish.length_cm[1]
    while model.running:
        here.append(bool(model.shoal.fish.present[1]))
        model.step()
    changes = np.flatnonzero(np.diff(here)) + 1
    assert changes.tolist() == [1800, 4500, 9000]
    assert model.ledger.hours.lit[1].tolist() == [1800, 2700, 1800]
    assert (model.ledger.hours.lit[[0, 2, 3, 4]] == 3600).all()
    assert model.shoal.fish.length_cm[1] == body
    assert model.ledger.visits[1].sum() == 6300


def test_what_a_fish_knows_fades_while_it_is_out_as_if_it_were_in() -> None:
    model = TankModel(staged(*AWAY), arm=LEFT_ALONE)
    fish, pair = model.shoal.fish, model.shoal.pair
    until(model, 1800)
    for name in ("fright", "slow_fright", "experience"):
        fish[name][:2] = 0.8
    pair.standing[:2, 4] = -1.0
    model.shoal.claims[1] = 0.6
    trust = model.shoal.memory[1].copy()
    until(model, 4500)
    dark = 23 * 3600.0
    p = model.parameters
    for name in ("fright", "slow_fright", "experience"):
        assert fish[name][1] == fish[name][0] < 0.8, "the fish that stayed"
    known = 0.8 * 0.5 ** ((2700 + dark) / (86400 * p.experience_half_life_d))
    assert fish.experience[1] == pytest.approx(known, rel=1e-4)
    assert pair.standing[1, 4] == pair.standing[0, 4] == -(0.5 ** (1 / p.pair_half_life_d))
    assert model.shoal.claims[1] == pytest.approx(0.6 * np.exp(-2700 / (3600 * p.claim_fade_h)))
    np.testing.assert_array_equal(model.shoal.memory[1], trust)
    assert fish.present[1] and fish.centre[1] == fish.refuge[1] == -1


def test_out_and_back_at_once_changes_its_place_and_what_it_was_about_and_nothing_else() -> None:
    """Nor anything of the others, but that whoever was after it turns to something else."""
    there = FishOut(day=0.5, fish=(HE,)), FishBack(day=0.5, fish=(HE,), settle=False)
    left, moved = TankModel(staged()), TankModel(staged(*there))
    for model in (left, moved):
        until(model, 1800)
    ours, theirs = left.shoal.fish, moved.shoal.fish
    own = {*LEFT_BEHIND, "cell", "heading"}
    after_it = (ours.target == 1) | (ours.chaser == 1)
    for name in ours.dtype.names:
        same = ours[name] == theirs[name]
        assert same[1] or name in own, name
        assert same[[0, 2, 3, 4]].all() or (name in LEFT_BEHIND and after_it.any()), name
    assert ours.cell[1] != theirs.cell[1]
    np.testing.assert_array_equal(left.shoal.pair, moved.shoal.pair)
    np.testing.assert_array_equal(left.shoal.memory, moved.shoal.memory)
    np.testing.assert_array_equal(left.shoal.claims, moved.shoal.claims)
    np.testing.assert_array_equal(left.shoal.streams, moved.shoal.streams)


def test_each_return_is_to_a_place_of_its_own_whoever_else_is_there() -> None:
    returns = [
        one
        for k in range(3)
        for one in (FishOut(day=0.1 + k / 10, fish=(HE,)), FishBack(day=0.1 + k / 10, fish=(HE,)))
    ]
    alone = replace(staged(*returns), stock=(row(males=2, females=1),))
    places = []
    for scenario in (staged(*returns), alone):
        model, found = TankModel(scenario), []
        for k in range(3):
            until(model, 360 * (k + 1))
            found.append((int(model.shoal.fish.cell[1]), int(model.shoal.fish.heading[1])))
        places.append(found)
    assert places[0] == places[1]
    assert len(set(places[0])) == 3


def test_a_table_of_trials_has_the_first_day_in_and_the_last_day_out() -> None:
    scenario = with_run(staged(*AWAY), trials=1)
    table = table_of(scenario, [run_trial(scenario, 0)])
    fish = table.arms[AS_STOCKED].fish
    assert (fish.day_in[1], fish.day_out[1]) == (0.0, 2.5)
    assert np.isinf(fish.day_out[[0, 2, 3, 4]]).all()
    assert table.arms[AS_STOCKED].lit_s[0, 1] == 6300


def test_a_kept_run_tells_every_stay() -> None:
    model = TankModel(staged(*AWAY), keep=True)
    run = kept_run(model)
    end = model.last_tick
    assert run.stays[1].tolist() == [[0, 1800], [4500, 9000]]
    assert run.stays[0].tolist() == [[0, end], [-1, -1]]
    mine = run.moves[run.moves[:, 2] == 1, 0]
    assert not ((mine >= 1800) & (mine < 4500)).any() and 4500 in mine
    ticks = np.array([1799, 1800, 4499, 4500, 8999, 9000])
    places = places_after(run, refuge_cell=model.tank.refuge_cell, ticks=ticks)
    assert (places[:, 1] >= 0).tolist() == [True, False, False, True, True, False]
    assert (places[:, 0] >= 0).all()


def test_a_film_shows_a_fish_leave_and_come_back() -> None:
    gone = FishOut(day=0.1, fish=(HE,)), FishBack(day=0.105, fish=(HE,), settle=False)
    film = record(staged(*gone), trial=0, start=350, ticks=60)
    there = film.present[:, 1]
    assert np.flatnonzero(~there).tolist() == list(range(10, 28))
    assert film.present[:, [0, 2, 3, 4]].all()
    mine = film.moves[film.moves[:, 3] == 1]
    assert mine[mine[:, 0] >= 10][0, :3].tolist() == [28, 0, 1], "where it is as it comes back"


# ---- rock


def test_rock_is_laid_anew_as_often_as_asked_and_the_last_is_measured() -> None:
    rows = (row(males=1, females=1),)
    rock = RockSpec(cover=0.4, height_cm=20.0, piles=1, piece_cm=10.0)
    twice = (RockAnew(day=0.25), RockAnew(day=0.5))
    scenario = replace(scene(*rows, rock=rock, lit_hours=1.0, days=1.0), events=twice)
    tops = [draw_trial_rock(scenario, laying=k).top_cm for k in range(3)]
    assert len({top.tobytes() for top in tops}) == 3
    np.testing.assert_array_equal(tops[2], draw_trial_rock(scenario).top_cm)
    np.testing.assert_array_equal(tops[1], draw_trial_rock(replace(scenario, events=twice[:1])).top_cm)
    model, seen = TankModel(scenario), []
    while model.tick < model.last_tick:
        seen.append((model.laying, len(model.tank.xyz)))
        model.advance_to(model.next_stop())
    cells = [len(draw_tank(scenario, laying=k).xyz) for k in range(3)]
    assert seen == list(enumerate(cells)) + [(2, cells[2])] * (len(seen) - 3)
    assert model.measured_from == 1800 and model.ledger.visits.shape[1] == cells[2]


def test_a_sweep_lays_even_no_rock_anew_and_so_does_a_tank_with_the_rock_switched_off() -> None:
    """What no file may say, but what an amount of rock among others comes to: it is measured as they are."""
    scenario = with_run(staged(RockAnew(day=0.5)), days=1.0)
    scenario = replace(scenario, rock=RockSpec(cover=0.3, height_cm=20.0))
    bare = next(
        one.scenario for one in grid_of(scenario, names=["cover"]).points if not one.scenario.rock.cover
    )
    for tried in (bare, clear_view(scenario, mouths_cm=[5.0, 6.0])):
        model = TankModel(tried)
        model.run()
        assert (model.laying, model.measured_from) == (1, 1800)


# ---- laws


@dataclass(frozen=True, kw_only=True)
class Nothing(Event):
    """A day on which nothing happens."""

    @property
    def about(self) -> str:
        return "nobody"

    def apply(self, model: Any) -> None: ...


def test_events_that_do_nothing_change_no_draw() -> None:
    plain = TankModel(staged())
    plain.run()
    for events in ((Nothing(day=0.37), Nothing(day=2.2)), (FishOut(day=0.4, fish=()),)):
        model = TankModel(staged(*events))
        model.run()
        assert fingerprint(model) == fingerprint(plain)
    assert plain.ledger.pair.chases.sum() > 20


def test_traits_worked_out_again_from_the_same_state_are_the_same_bit_for_bit() -> None:
    model = TankModel(staged())
    model.run()
    before = fingerprint(model)
    model.shoal.fish.depth_cm[:] = model.shoal.fish.temper[:] = 0.0
    assert fingerprint(model) != before
    derive(model.shoal, range(5), model.traits, model.scenario, model.parameters)
    assert fingerprint(model) == before


def test_what_was_set_by_hand_stays_until_the_state_changes() -> None:
    model = TankModel(staged(Nothing(day=0.25), Nothing(day=0.5)))
    model.shoal.fish.temper[0] = 7.0
    until(model, 900)
    assert model.shoal.fish.temper[0] == 7.0
    model.shoal.fish.length_cm[0] = 5.0
    until(model, 1800)
    young = TankModel(replace(staged(), stock=(row(males=1, length=5.0), *staged().stock))).shoal.fish
    for name in ("adult", "depth_cm", "temper", "core_cm", "cruise_cm_s", "capable", "provokes"):
        assert model.shoal.fish[name][0] == young[name][0], name


def test_a_key_is_registered_once() -> None:
    with pytest.raises(ValueError, match="'out'"):
        register(type("Other", (Nothing,), {"key": "out"}))
    with pytest.raises(ValueError, match="''"):
        register(Nothing)
