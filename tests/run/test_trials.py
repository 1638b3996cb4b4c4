"""Many runs: neither engine nor order matters, guesses take turns, a stop keeps what is done."""

import os
import threading
import time
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import fields, replace
from multiprocessing import get_context

import mesa
import numpy as np
import pytest
from rockshy.sim import each_trial, run_trials
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.set_ups import draw_of, set_ups, watched
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm
from rockshy.sim.run.trials import (
    Job,
    each_job,
    model_of_trial,
    models_of_trial,
    outcome_of,
    run_trial,
    table_of,
)
from rockshy.sim.scenario.scenario import RockSpec
from staging import OWN, ROCKY, kind, row, scene, with_run

MILD = "Scena mitis"


def scenario(**run):
    """Four fish of two kinds for one measured hour."""
    settings = {"lit_hours": 1.0, "days": 1.0, "trials": 6, "guesses": 3, "fixed": False, **run}
    kinds = (kind(MILD, temper=0.3, timidity=2.0),)
    rows = (row(males=1, females=1), row(MILD, males=1, females=1, length=7.0))
    return scene(*rows, kinds=kinds, rock=ROCKY, **settings)


class InTurn(Executor):
    """Runs each job at once, the last one handed in of every three first."""

    def __init__(self):
        self._waiting = []

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        self._waiting.append((future, fn, args))
        if len(self._waiting) == 3:
            for waiting, job, given in reversed(self._waiting):
                waiting.set_result(job(*given))
            self._waiting.clear()
        return future


def assert_same(one, other):
    assert one.arms.keys() == other.arms.keys()
    for name, arm in one.arms.items():
        for field in fields(Arm):
            if field.name not in ("name", "fish"):
                ours, theirs = getattr(arm, field.name), getattr(other.arms[name], field.name)
                np.testing.assert_array_equal(ours, theirs, err_msg=f"{name}: {field.name}")
        assert arm.fish.label == other.arms[name].fish.label


def test_threads_processes_and_one_after_the_other_give_the_same_table():
    asked = scenario()
    with ThreadPoolExecutor(1) as one:
        plain = run_trials(asked, executor=one)
    assert plain.done == plain.asked == 6
    assert plain.arms[AS_STOCKED].chases.sum() > 0
    assert_same(plain, run_trials(asked))
    assert_same(plain, run_trials(asked, executor=InTurn()))
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        assert_same(plain, run_trials(asked, executor=pool))


@pytest.fixture(scope="module")
def whole():
    """All six trials as stocked."""
    return run_trials(scenario(controls=False))


def test_a_trial_depends_on_its_number_alone(whole):
    alone, among = run_trial(scenario(controls=False), 4)[0], whole.arms[AS_STOCKED]
    for name in ("chases", "lit_s", "hour_share", "length_cm"):
        np.testing.assert_array_equal(alone.columns[name], getattr(among, name)[4])
    assert among.trial.tolist() == [0, 1, 2, 3, 4, 5]


def test_more_trials_leave_the_first_ones_as_they_were(whole):
    few = run_trials(scenario(controls=False, trials=3)).arms[AS_STOCKED]
    np.testing.assert_array_equal(few.chases, whole.arms[AS_STOCKED].chases[:3])


def test_trials_run_again_fit_in_with_those_kept(whole):
    """A lost worker's trials are simply run again."""
    asked = scenario(controls=False)
    lost = list(each_trial(asked, trials=[5, 1]))
    kept = list(each_trial(asked, trials=[0, 4, 3, 2]))
    assert_same(table_of(asked, lost + kept), whole)


def test_guesses_take_turns_and_repeats_share_what_is_drawn():
    asked = scenario(trials=8, guesses=3)
    assert [draw_of(asked, k) for k in range(8)] == [0, 1, 2, 0, 1, 2, 0, 1]
    assert [draw_of(with_run(asked, trials=2), k) for k in range(4)] == [0, 1, 0, 1]
    assert [draw_of(with_run(asked, fixed=True), k) for k in range(4)] == [0, 0, 0, 0]
    told = []
    table = run_trials(with_run(asked, controls=False), trials=4, progress=lambda *how: told.append(how))
    assert table.arms[AS_STOCKED].draw.tolist() == [0, 1, 2, 0]
    assert (table.asked, table.done) == (4, 4)
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_set_ups_that_would_say_nothing_new_are_left_out():
    assert set_ups(scenario()) == (AS_STOCKED, OWN_KIND, LEFT_ALONE)
    assert set_ups(scenario(controls=False)) == (AS_STOCKED,)
    assert set_ups(scene(row(males=1, females=3))) == (AS_STOCKED, LEFT_ALONE)


def test_the_species_watched_is_the_one_named_or_the_mildest():
    assert watched(scenario())[0] == MILD
    assert watched(scenario(watch=OWN)) == (OWN, "named in the scenario")


@pytest.mark.parametrize("after", [1, 3])
def test_a_stop_keeps_what_is_done(after, whole):
    """Ctrl-C, as it arrives between two trials."""

    def stop(done, asked):
        assert asked == 6
        if done == after:
            raise KeyboardInterrupt

    table = run_trials(scenario(controls=False), progress=stop)
    assert (table.done, table.asked) == (after, 6)
    arm = table.arms[AS_STOCKED]
    np.testing.assert_array_equal(arm.chases, whole.arms[AS_STOCKED].chases[arm.trial])


def test_a_stop_before_anything_is_done_is_passed_on():
    class Stops(Executor):
        def submit(self, fn, /, *args, **kwargs):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_trials(scenario(), executor=Stops())


def test_what_goes_wrong_in_a_trial_is_passed_on():
    asked = scenario(controls=False)
    full = replace(asked, rock=RockSpec(sketch=("9",), sketch_step_cm=9.0))
    with pytest.raises(ValueError, match=r"^rock: no water in the tank"):
        run_trials(full)


def test_the_table_has_the_shapes_and_the_units_it_says():
    table = run_trials(scenario(controls=False, days=2.0), trials=2)
    arm = table.arms[AS_STOCKED]
    trials, fish, hours = 2, 4, 2
    assert arm.lit_s.tolist() == [[7200.0] * 4] * 2
    for name in ("sex", "adult", "length_cm", "lit_s", "hidden_s", "free_s", "meals", "meals_missed", "food"):
        assert getattr(arm, name).shape == (trials, fish), name
    for name in ("chases", "bites", "displays", "wins"):
        assert getattr(arm, name).shape == (trials, fish, fish), name
    for name in ("share", "outside_s", "owner_s", "chased", "hidden_s", "lit_s"):
        assert getattr(arm, f"hour_{name}").shape == (trials, fish, hours), name
    np.testing.assert_array_equal(arm.hour_chased.sum(axis=2), arm.chases.sum(axis=1))
    np.testing.assert_array_equal(arm.hour_hidden_s.sum(axis=2), arm.hidden_s)
    assert (arm.hidden_s + arm.free_s <= arm.lit_s).all()
    assert arm.sex.tolist() == [[0, 1, 0, 1]] * 2


def test_the_recipe_says_all_that_is_needed_to_repeat_a_result():
    table = run_trials(scenario(controls=False, seed=77), trials=1)
    recipe = table.recipe
    assert recipe["seed"] == 77
    assert recipe["guesses"] == 3
    assert recipe["fish"] == 4
    assert set(recipe["traits"]) == {OWN, MILD}
    assert recipe["parameters"]["attack_rate_s"] == 0.03
    assert recipe["version"]


def test_a_run_that_asks_whether_to_go_on_leaves_the_same():
    long = scenario(lit_hours=3.0, days=2.0)
    asked = []

    def is_halted():
        asked.append(True)
        return False

    plain, watched_over = run_trial(long, 1), run_trial(long, 1, halted=is_halted)
    for one, other in zip(plain, watched_over, strict=True):
        for name, values in one.columns.items():
            assert np.array_equal(values, other.columns[name]), name
    assert len(asked) >= 3 * len(set_ups(long))  # in each simulated hour of each set-up


def test_trials_that_are_given_up_end_at_once_and_count_for_nothing():
    long = scenario(lit_hours=3.0)
    with pytest.raises(HaltedError):
        run_trial(long, 0, halted=lambda: True)
    seen, ahead = [], 2 * (os.cpu_count() or 1)
    with pytest.raises(HaltedError):
        for job, _ in each_job([long], [Job(0, k) for k in range(ahead + 3)], halted=lambda: bool(seen)):
            seen.append(job)
    assert 1 <= len(seen) <= ahead, "only what was handed out already"


def test_tanks_in_hand_are_given_up_when_whoever_takes_the_results_leaves():
    begun, told = threading.Event(), []

    def work(scenario, trial, *, arms=None, halted):
        for _ in range(6000) if trial else ():
            begun.set()
            if halted():
                told.append("given up")
                raise HaltedError("as asked")
            time.sleep(0.01)
        return (trial,)

    done = each_job([scene(row(males=1))], (Job(0, trial) for trial in range(2)), work=work)
    assert next(done) == (Job(0, 0), (0,))
    assert begun.wait(60)
    done.close()
    assert told == ["given up"]


@pytest.mark.parametrize("tick_s", [2.0, 0.5])
def test_times_are_seconds_whatever_the_tick(tick_s):
    """A lit hour has 3600 s in the table, and a fish is somewhere in all of them."""
    asked = scene(row(males=1), days=0.2, lit_hours=5.0, trials=1, controls=False)
    model = model_of_trial(asked, 0, tick_s=tick_s)
    model.run()
    found = outcome_of(model, name=AS_STOCKED, trial=0, draw=0).columns
    assert found["lit_s"].tolist() == [3600.0] and found["hour_lit_s"].tolist() == [[3600.0]]
    assert found["hidden_s"] + found["free_s"] <= 3600.0 and found["free_s"] > 1800.0


def test_models_of_a_trial_share_its_tank_and_are_closed_one_after_the_other():
    asked = scenario(trials=2, guesses=2)
    seen = []
    for name, model in models_of_trial(asked, 1):
        assert all(other not in mesa.Agent._ids for _, other in seen), "closed"
        assert model in mesa.Agent._ids
        seen.append((name, model))
    assert [name for name, _ in seen] == list(set_ups(asked))
    assert len({id(model.tank.path) for _, model in seen}) == 1
    alone = model_of_trial(asked, 1)
    first = seen[0][1]
    assert alone.parameters == first.parameters and np.array_equal(alone.tank.path, first.tank.path)
    assert alone.trial_seed == first.trial_seed
