"""Rules of thumb: what is seen is what the answers measure, and what is done is done in both set-ups."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from rockshy.analysis.measures.registry import LOST, PINNED_FISH
from rockshy.analysis.measures.row import BOTH, row_of
from rockshy.sim import TankModel
from rockshy.sim.run.day_seen import kept_on, pinned_on
from rockshy.sim.run.done import BOXED, LET_OUT, PUT_BACK, TAKEN_OUT, Done
from rockshy.sim.run.life import done_of, each_day, run_life
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.thumb import Keeper
from rockshy.sim.run.trials import Job, Outcome, model_of_trial, run_trial
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import FishBack, FishDead, FishOut, WhenSeen
from rockshy.sim.scenario.timeline.seen import CHIEF_CHASER, KEEPS_LESS, PINNED, SHOWS_MALE
from staging import kind, row, scene
from timeline_examples import HE, MILD, staged

ALL = tuple(f"Scena communis {one}" for one in ("male 1", "male 2", "female 1"))
NEVER = WhenSeen(day=0.0, fish=ALL, sign=KEEPS_LESS, share=0.0001, in_a_row=2)
SURELY = WhenSeen(day=0.0, fish=(HE,), sign=KEEPS_LESS, share=0.999, in_a_row=3, days=9.0)


def lived(*rules: WhenSeen, days: int = 40) -> tuple[Outcome, ...]:
    return run_life(staged(*rules), 0, days=days)


def days_of(outcome: Outcome) -> list[int]:
    return [one.day for one in each_day(outcome)[0]]


def same(one: Outcome, other: Outcome) -> None:
    for name, column in one.columns.items():
        np.testing.assert_array_equal(column, other.columns[name], err_msg=name)


# ---- what is seen


@pytest.mark.parametrize("seed", range(4))
def test_pinned_and_kept_are_those_of_the_answers(seed: int) -> None:
    rng, scenario = np.random.default_rng(seed), staged()
    stocked, alone = run_trial(scenario, 0, arms=BOTH)
    hours = stocked.columns["hour_share"].shape
    for outcome in (stocked, alone):
        lit = rng.choice([0.0, 900.0, 3600.0], hours)
        made: dict[str, Any] = {
            "hour_share": rng.choice([0.7, 0.8, 0.9], hours, p=[0.2, 0.4, 0.4]),
            "hour_owner_s": lit * rng.choice([0.0, 0.5, 0.9], hours, p=[0.7, 0.1, 0.2]),
            "hour_outside_s": lit * rng.choice([0.0, 0.2, 0.4], hours),
            "hour_lit_s": lit,
            "lit_s": lit.sum(axis=1),
            "free_s": lit.sum(axis=1) * rng.random(hours[0]),
        }
        changed = replace(outcome, columns={**outcome.columns, **made})
        stocked, alone = (changed, alone) if outcome is stocked else (stocked, changed)
    seen = [
        SimpleNamespace(
            lit=one.columns["hour_lit_s"],
            owner=one.columns["hour_owner_s"],
            share=one.columns["hour_share"],
            outside=one.columns["hour_outside_s"],
            free=one.columns["free_s"][:, None],
        )
        for one in (stocked, alone)
    ]
    parts = row_of(scenario, Job(0, 0, BOTH), (stocked, alone)).parts
    np.testing.assert_array_equal(pinned_on(*seen), parts[PINNED_FISH].top > 0)
    lost = parts[LOST]
    judged = lost.bottom > 0
    np.testing.assert_allclose(kept_on(*seen)[judged], lost.top[judged] / lost.bottom[judged], rtol=1e-12)


# ---- what stays as it was


def test_a_rule_that_is_never_met_changes_nothing() -> None:
    for one, other in zip(lived(NEVER), lived(), strict=True):
        same(one, other)
    for one, other in zip(run_trial(staged(NEVER), 1), run_trial(staged(), 1), strict=True):
        same(one, other)


# ---- what is done


def test_a_sign_seen_once_is_looked_for_on_the_next_days_and_then_acted_on_in_both_set_ups() -> None:
    stocked, alone = lived(SURELY)
    assert days_of(stocked)[:4] == [1, 2, 3, 5], "three in a row, then a day to settle"
    assert done_of(stocked)[:2] == (Done(4.0, TAKEN_OUT, HE, 0), Done(13.0, PUT_BACK, HE, 0))
    assert done_of(alone) == ()
    np.testing.assert_array_equal(stocked.columns["lit_s"], alone.columns["lit_s"])
    inside = dict(zip(days_of(stocked), stocked.columns["lit_s"][:, 1] > 0, strict=True))
    assert inside[3] and not inside[5] and inside[14], "a day to settle after it is back"
    assert all(is_in == (day < 4 or day >= 13) for day, is_in in inside.items() if day < 17)


def test_a_rule_can_put_a_fish_into_a_box_where_it_is_not_looked_at_and_let_it_out() -> None:
    rule = replace(SURELY, box=True)
    stocked, alone = lived(rule)
    assert done_of(stocked)[:2] == (Done(4.0, BOXED, HE, 0), Done(13.0, LET_OUT, HE, 0))
    assert done_of(alone) == () and {one.deed for one in done_of(stocked)} == {BOXED, LET_OUT}
    measured, each = each_day(stocked)
    inside = {one.day: day.columns for one, day in zip(measured, each, strict=True)}
    away = [columns for day, columns in inside.items() if 4 <= day < 13]
    assert away and all(columns["chases"][:, 1].sum() == 0 for columns in away), "nobody reaches it"
    keeper = Keeper(TankModel(staged(rule)), TankModel(staged(rule), arm=LEFT_ALONE))
    keeper._take_out(1.0, 0, rule, (HE,))
    for day in (1, 2, 3):
        look(keeper, day, free=0.1)
    assert keeper.stocked.done == [Done(1.0, BOXED, HE, 0)], "it swims little in its box, and that is no sign"


def test_what_a_rule_does_is_the_same_as_its_events_written_out() -> None:
    once = replace(SURELY, until=4.0)
    written = staged(FishOut(day=4.0, fish=(HE,)), FishBack(day=13.0, fish=(HE,)))
    model, other = TankModel(staged()), TankModel(written)
    keeper = Keeper(TankModel(staged(once)), TankModel(staged(once), arm=LEFT_ALONE))
    keeper._take_out(4.0, 0, once, (HE,))
    assert [one.day for _, one in keeper.stocked._ahead] == [13.0] == [one.day for _, one in other._ahead[1:]]
    assert not keeper.stocked.shoal.fish.present[1] and model.shoal.fish.present[1]


def test_days_that_do_not_follow_each_other_are_not_in_a_row() -> None:
    keeper = Keeper(TankModel(staged(SURELY)), TankModel(staged(SURELY), arm=LEFT_ALONE))
    for day in (1, 2, 5, 6):
        look(keeper, day, free=0.1)
    assert keeper.stocked.done == [] and keeper.looks_again
    look(keeper, 7, free=1.0)
    assert not keeper.looks_again
    for day in (8, 9, 10):
        look(keeper, day, free=0.1)
    assert keeper.stocked.done == [Done(11.0, TAKEN_OUT, HE, 0)]


def look(keeper: Keeper, day: int, *, free: float = 1.0, chases: Any = None) -> None:
    """A made-up day on which all swim so much, and nobody owns or leaves its place."""
    n = len(keeper.stocked.people)
    one = np.ones((n, 2))
    hours = SimpleNamespace(lit=one, owner=0 * one, share=one, outside=0 * one, free=free * one)
    alone = SimpleNamespace(lit=one, owner=0 * one, share=0 * one, outside=one, free=one)
    keeper.look_at(day, hours, alone, np.zeros((n, n), int) if chases is None else chases)


def test_the_chief_chaser_of_a_pinned_fish_goes_out_and_comes_back() -> None:
    rule = WhenSeen(day=0.0, fish=(f"{MILD} male 1",), sign=PINNED, in_a_row=2, out=CHIEF_CHASER, days=7.0)
    keeper = Keeper(TankModel(staged(rule)), TankModel(staged(rule), arm=LEFT_ALONE))
    first, second = (np.zeros((5, 5), int) for _ in range(2))
    first[0, 3], second[1, 3], second[0, 3] = 5, 9, 1
    look(keeper, 1, chases=first)
    look(keeper, 2, chases=second)
    assert keeper.stocked.done == [Done(3.0, TAKEN_OUT, HE, 0)], "9 chases are more than 6"
    assert not keeper.stocked.shoal.fish.present[1] and not keeper.alone.shoal.fish.present[1]
    look(keeper, 5)
    look(keeper, 6)
    assert len(keeper.stocked.done) == 1, "nobody chased it"


def test_a_dead_fish_is_not_put_back_by_a_rule() -> None:
    stocked, _ = run_life(staged(SURELY, FishDead(day=8.0, fish=(HE,))), 0, days=30)
    assert [one.deed for one in done_of(stocked)] == [TAKEN_OUT]
    assert stocked.columns["lit_s"][-1, 1] == 0


def juveniles(*rules: WhenSeen) -> Scenario:
    grown = scene(row(unsexed=6, length=7.9), kinds=(kind(maturity_cm=8.0),), lit_hours=1.0)
    return replace(grown, events=rules)


def test_males_beyond_those_that_are_to_stay_go_out_as_they_show() -> None:
    fish = tuple(f"Scena communis unsexed {k}" for k in range(1, 7))
    plain, _ = run_life(juveniles(), 0, days=60)
    males = int((plain.columns["sex"][-1] == 0).sum())
    assert males > 2
    for stay in (1, 2):
        rule = WhenSeen(day=0.0, fish=fish, sign=SHOWS_MALE, stay=stay)
        stocked, alone = run_life(juveniles(rule), 0, days=60)
        assert len(done_of(stocked)) == males - stay
        here = stocked.columns["lit_s"][-1] > 0
        assert (stocked.columns["sex"][-1][here] == 0).sum() == stay
        np.testing.assert_array_equal(stocked.columns["lit_s"] > 0, alone.columns["lit_s"] > 0)


def test_a_rule_holds_from_its_day_to_its_last() -> None:
    late = replace(SURELY, day=20.0, in_a_row=1)
    stocked, _ = lived(late)
    assert min(one.day for one in done_of(stocked)) >= 21.0
    stocked, _ = lived(replace(late, day=0.0, until=0.0))
    assert done_of(stocked) == () and days_of(stocked) == days_of(lived()[0])


def test_a_run_of_days_follows_its_rules_too() -> None:
    rule = replace(SURELY, in_a_row=1, days=1.0)
    stocked, own, alone = run_trial(staged(rule, days=6.0, settle_days=3.0), 0)
    assert stocked.columns["lit_s"][0] == 3 * 3600 and 0 < stocked.columns["lit_s"][1] < 3 * 3600
    np.testing.assert_array_equal(stocked.columns["lit_s"], alone.columns["lit_s"])
    assert own.name not in (AS_STOCKED, LEFT_ALONE)


def test_a_model_that_keeps_every_move_follows_the_rules_too() -> None:
    scenario = staged(replace(SURELY, in_a_row=1, days=1.0), days=6.0, settle_days=3.0)
    (stocked,) = run_trial(scenario, 0, arms=(AS_STOCKED,))
    with model_of_trial(scenario, 0, keep=True) as model:
        np.testing.assert_array_equal(model.run().pair.chases, stocked.columns["chases"])


def test_the_same_comes_of_the_same_rule_twice() -> None:
    for one, other in zip(lived(SURELY, days=20), lived(SURELY, days=20), strict=True):
        same(one, other)
