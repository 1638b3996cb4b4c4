"""Females that hold since an event or by themselves: when, how long, how their temper turns, how many fry."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy.sim import TankModel
from rockshy.sim.run.done import FRY_LEFT, FRY_TAKEN, HOLDS, Done
from rockshy.sim.run.life import IN_FULL, done_of, each_day, run_life
from rockshy.sim.run.slow import slow_parameters
from rockshy.sim.run.trials import run_trial, table_of
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import Event, FishOut, Holding, Spawning, WhenSeen
from rockshy.sim.scenario.timeline.seen import HOLDS as HOLDING
from staging import row, scene
from timeline_examples import staged

SHE = "Scena communis female 1"
BROOD_D = slow_parameters()["brood_d"].value


def harem(*events: Event) -> Scenario:
    """A grown male with five grown females, an hour of light a day."""
    rows = row(males=1, length=11.0), row(females=5, length=9.0)
    return replace(scene(*rows, lit_hours=1.0), events=events)


def test_she_holds_from_the_day_that_is_told_for_a_brood_or_as_long_as_is_said() -> None:
    for days, lasts in ((None, BROOD_D), (21.0, 21.0)):
        stocked, _ = run_life(staged(Holding(day=5.0, fish=(SHE,), days=days)), 0, days=60)
        held, released = done_of(stocked)
        assert held == Done(5.0, HOLDS, SHE) and (released.day, released.deed) == (5.0 + lasts, FRY_LEFT)
        assert released.number == slow_parameters()["fry"].value
        each = {one.day: bool(own.columns["holding"][2]) for one, own in zip(*each_day(stocked), strict=True)}
        # a day is hers where she holds when it begins or when the next one does
        assert {day: day + 1 >= 5 and day < 5.0 + lasts for day in each} == each


def test_she_does_not_feed_and_claims_nothing_and_her_temper_rises_to_the_fry() -> None:
    model = TankModel(harem(Holding(day=0.5, fish=(SHE,))))
    model.advance_to(model.next_stop())
    fish, i = model.shoal.fish, model.place_of(SHE)
    assert fish.holding[i] and not fish.capable[i]
    p, own = model.parameters, model.traits["Scena communis"]
    eggs = own["temper"] * own["temper_female"] * p.holding_weight
    assert fish.temper[i] == pytest.approx(eggs)
    model.slow = replace(model.slow, fry_temper=3.0)
    model.broods.pass_days(BROOD_D / 2, until=0.5 + BROOD_D / 2)
    model._derive()
    assert fish.temper[i] == pytest.approx(eggs * 3.0**0.5)
    assert fish.provokes[i] == p.holding_weight, "others mind her as before"
    model.broods.pass_days(BROOD_D, until=0.5 + BROOD_D)
    model._derive()
    assert not fish.holding[i] and fish.temper[i] == pytest.approx(own["temper"] * own["temper_female"])


def test_fry_of_a_female_that_is_apart_are_counted_apart() -> None:
    events = Holding(day=5.0, fish=(SHE,)), *FishOut(day=8.0, fish=(SHE,)).lasting(28.0)
    stocked, alone = run_life(staged(*events), 0, days=60)
    assert [one.deed for one in done_of(stocked)] == [HOLDS, FRY_TAKEN]
    np.testing.assert_array_equal(stocked.columns["holding"], alone.columns["holding"])


def test_females_that_hold_by_themselves_do_so_at_the_stated_rate_however_days_are_cut_up() -> None:
    spawning = harem(Spawning(day=0.5))
    blocks, _ = run_life(spawning, 0, days=60)
    full, _ = run_life(spawning, 0, days=60, pace=IN_FULL)
    told, laid = ([(round(one.day, 6), one.deed, one.label) for one in done_of(x)] for x in (blocks, full))
    assert sorted(told) == sorted(laid) and len(told) > 4
    waited = []
    for trial in range(40):
        model = TankModel(harem(), trial=trial)
        model.broods.by_themselves = True
        model.broods.pass_days(1e4, until=1e4)
        waited += [brood.laid for brood in model.broods.now.values()]
    mean = slow_parameters()["spawn_wait_d"].value
    assert len(waited) == 200
    assert np.mean(waited) == pytest.approx(mean, rel=4 / np.sqrt(200)), "within four standard errors"


def test_nobody_spawns_without_a_mature_male_of_her_kind() -> None:
    alone = replace(scene(row(females=3, length=9.0), lit_hours=1.0), events=(Spawning(day=0.5),))
    stocked, _ = run_life(alone, 0, days=90)
    assert done_of(stocked) == ()


def test_a_rule_takes_her_out_once_a_brood() -> None:
    rule = WhenSeen(day=0.0, fish=(SHE,), sign=HOLDING, days=7.0)
    stocked, _ = run_life(harem(Holding(day=3.0, fish=(SHE,)), rule), 0, days=40)
    assert len([one for one in done_of(stocked) if one.by == 0]) == 2, "out, and back with her eggs"


def test_a_holding_female_is_not_counted_as_pinned() -> None:
    stocked, _ = run_life(staged(Holding(day=5.0, fish=(SHE,))), 0, days=20)
    arms = table_of(staged(), [each_day(stocked)[1][-1:]], asked=1).arms
    assert arms[stocked.name].held.tolist() == [[False, False, True, False, False]]
    assert "holding" not in run_trial(staged(), 0)[0].columns


def test_broods_of_others_leave_her_draws_alone() -> None:
    """What a female that came in with eggs does is as ever: she holds for a brood from the first day."""
    scenario = scene(row(females=2, holding=1), lit_hours=1.0)
    stocked, _ = run_life(scenario, 0, days=40)
    assert done_of(stocked) == () and "holding" not in stocked.columns
