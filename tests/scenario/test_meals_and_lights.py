"""Meals, lights and water changes on a day: what they do, that they do no more, and what a file may say."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from rockshy import scenarios
from rockshy.sim import TankModel
from rockshy.sim.rules.feed import meal_ticks
from rockshy.sim.run.days import Days, lit_days
from rockshy.sim.run.ledger import ATTACK, MEAL
from rockshy.sim.run.life import run_life
from rockshy.sim.run.slow import drawn, fed_share, slow_laws
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import (
    EVENTS,
    Event,
    FishIn,
    LightsChanged,
    LightsOff,
    Meals,
    WaterChanged,
)
from staging import fingerprint
from timeline_examples import staged


def ran(*events: Event, **run: float) -> TankModel:
    model = TankModel(staged(*events, days=1.5, settle_days=0.5, **run), keep=True)
    model.run()
    return model


def laid_out(*events: Event, lit_hours: float = 10.0) -> Days:
    return lit_days(lit_hours, events, tick_s=1.0)


# ---- nothing happens for nothing


@pytest.mark.parametrize(
    "nothing", [Meals(day=0.3, a_day=1), LightsChanged(day=0.4, hours=1.0, settle=False)]
)
def test_an_event_that_changes_nothing_changes_no_bit(nothing: Event) -> None:
    assert fingerprint(ran(nothing)) == fingerprint(ran())


def test_a_water_change_that_frightens_nobody_changes_no_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = fingerprint(ran())
    assert fingerprint(ran(WaterChanged(day=0.3))) != plain
    calm = slow_laws(staged(), 0)
    monkeypatch.setattr("rockshy.sim.run.model.slow_laws", lambda *_: replace(calm, water_change_chases=0.0))
    assert fingerprint(ran(WaterChanged(day=0.3))) == plain


# ---- lights


def test_lit_hours_add_up() -> None:
    """Four days of 10, 6 (cut), 12 and 8 lit hours, however they are counted."""
    days = laid_out(LightsOff(day=1.6), LightsChanged(day=2.0, hours=12.0), LightsChanged(day=2.5, hours=8.0))
    lit = [days.lit(day) / 3600 for day in range(5)]
    assert lit == [10, 6, 12, 8, 8] and days.ticks == 12 * 3600
    assert [days.tick_of(day) for day in (0.5, 1.6, 1.9)] == [18000, days.nightfall(1), days.nightfall(1)]
    assert days.after(0, sum(map(int, lit)) * 3600) == days.nightfall(4)
    assert days.after(days.tick_of(1.5), 2 * 3600) == days.dawn(2) + 3600
    plain = laid_out()
    assert [plain.tick_of(day) for day in (0.25, 1.0, 3.1)] == [9000, 36000, 111600]


def test_measured_time_is_lit_time_whatever_the_lights_do() -> None:
    events = LightsOff(day=0.5), LightsChanged(day=1.0, hours=2.0)
    scenario = staged(*events, days=2.5, settle_days=0.5)
    model = TankModel(scenario)
    nights: list[int] = []
    while model.tick < model.last_tick:
        before = model.days.of(model.tick)
        model.advance_to(model.next_stop())
        nights += [before] * (model.days.of(model.tick) - before)
    assert scenario.lit_hours == 2.0 and model.hours == 4
    assert model.ledger.hours.lit.tolist() == [[3600] * 4] * 5
    assert nights == [0, 1, 2], "one night after each day"


def test_newcomers_on_a_dark_day_meet_nobody_until_the_morning() -> None:
    scenario = staged(LightsOff(day=0.5), settle_days=0.5)
    rows = tuple(replace(one, day=0.5) if one.species == "Scena mitis" else one for one in scenario.stock)
    scenario = replace(scenario, stock=rows)
    assert [type(one) for one in scenario.timeline.events if one.day == 0.5] == [FishIn, LightsOff]
    model = TankModel(scenario, keep=True)
    model.advance_to(model.next_stop())
    assert model.tick == model.days.dawn(1) and model.shoal.fish.present.all()
    before = model.ledger.events[: model.ledger.state.n_events[0]]
    assert (before[:, 2:4] < 3).all(), "the two that came in had nothing to do with anybody"
    whole = TankModel(replace(scenario, events=(LightsOff(day=1.0),)), keep=True)
    while whole.tick < whole.days.dawn(1):
        whole.advance_to(whole.next_stop())
    assert whole.days.of(whole.tick) == 2, "a day that is dark altogether"


def test_dim_light_calms_and_lasts_as_long_as_it_is_said() -> None:
    dusk = LightsChanged(day=0.5, dusk_min=30)
    model = TankModel(staged(dusk, days=2.5, settle_days=0.5))
    stops = []
    while model.tick < model.days.dawn(2):
        model.advance_to(model.next_stop())
        stops.append(model.tick)
    assert stops == [1800, 3600, 3600 + 1800, 7200]


def test_fish_that_do_nothing_in_dim_light_attack_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    still = replace(slow_laws(staged(), 0), dusk_activity=0.0)
    monkeypatch.setattr("rockshy.sim.run.model.slow_laws", lambda *_: still)
    model = TankModel(staged(LightsChanged(day=0.0, dusk_min=30), settle_days=0.0), keep=True)
    model.run()
    events = model.ledger.events[: model.ledger.state.n_events[0]]
    into = events[events[:, 1] == ATTACK, 0] % 3600
    assert (into < 1800).sum() > 50 and not (into >= 1800).any()


def test_a_life_goes_on_through_other_lights() -> None:
    events = LightsChanged(day=8.0, hours=2.0), LightsOff(day=20.0)
    (lived,) = run_life(staged(*events, trials=1), 0, days=30, arms=("as stocked",))
    lit = lived.columns["hour_lit_s"]
    days = lived.columns["life_day"][:, 0].tolist()
    assert lit.shape[2] == 2
    for day, own in zip(days, lit, strict=True):
        assert own.tolist() == [[3600.0, 3600.0 if day >= 8 else 0.0]] * 5, day
    assert 20 not in days and days[-1] >= 28


# ---- meals


def test_meals_by_number_and_by_the_clock_come_when_they_should() -> None:
    model = TankModel(staged(Meals(day=1.0, a_day=3), days=2.0, lit_hours=4.0))
    lit, p = model.lit_ticks, model.parameters

    def starts() -> list[int]:
        return [tick for tick in range(lit) if meal_ticks(tick, lit, model.meal_at, p) == 0]

    assert starts() == [lit // 4]
    model.feed(3)
    assert starts() == [1200, 6000, 10800]
    model.feed(2, at_s=(8 * 3600, 10 * 3600 + 1800))
    assert starts() == [0, 9000]
    model.feed(0)
    assert starts() == []


def test_food_comes_at_every_meal_and_at_no_other_time() -> None:
    for event, starts in ((Meals(day=0.0, a_day=3), (1200, 6000, 10800)), (Meals(day=0.0, a_day=0), ())):
        model = ran(event, lit_hours=4.0)
        assert model.ledger.fish.meals.tolist() == [len(starts)] * 5
        events = model.ledger.events[: model.ledger.state.n_events[0]]
        eaten = events[events[:, 1] == MEAL, 0] % 14_400
        assert {max(one for one in starts if one <= tick) for tick in eaten} == set(starts)
        assert all(any(one <= tick <= one + 600 for one in starts) for tick in eaten)


def test_who_is_not_fed_falls_off_in_a_life() -> None:
    model = TankModel(staged(), keep=True)
    model.ledger.hours.lit[:4] = 10
    assert fed_share(model).tolist() == [1.0] * 5, "no meal was in the time: nothing is known"
    model.feed(0)
    assert fed_share(model).tolist() == [0.0] * 4 + [1.0], "the last one was out or had its own in a box"


# ---- a water change


def test_a_water_change_frightens_the_timid_most_and_nobody_for_good() -> None:
    model = TankModel(staged(WaterChanged(day=0.5)))
    model.advance_to(1799)
    fish, before = model.shoal.fish, model.shoal.fish.fright.copy()
    slow = fish.slow_fright.copy()
    model.startle()
    share = (fish.fright - before) / (1.0 - before)
    np.testing.assert_allclose(share, np.minimum(model.parameters.fright_gain * fish.timidity, 1.0))
    np.testing.assert_array_equal(fish.slow_fright, slow)
    wide = staged(fixed=False)
    chases = [drawn(wide, draw, "water_change_chases") for draw in range(8)]
    assert len(set(chases)) == 8 and all(0.0 <= one <= 3.0 for one in chases)


# ---- what a file says

TOML = """
[tank]
length = "80 cm"
front_to_back = "40 cm"
height = "40 cm"
[[stock]]
species = "Tropheus moorii"
males = 2
[[event]]
day = 2
{what}
"""


def read(what: str) -> Scenario:
    return parse(TOML.format(what=what), name="tank.toml")


@pytest.mark.parametrize(
    ("what", "event", "words"),
    [
        ("meals = 3", Meals(day=2, a_day=3), "fed 3 times a day from then on"),
        ("meals = 0", Meals(day=2, a_day=0), "not fed from then on"),
        (
            'meals = ["17:30", "9:00"]',
            Meals(day=2, a_day=2, at_s=(32400, 63000)),
            "fed at 09:00 and 17:30 from then on",
        ),
        ("lights = 12", LightsChanged(day=2, hours=12), "lights on for 12 hours a day"),
        (
            'lights = {hours = "8.5 h", dusk = "30 min"}',
            LightsChanged(day=2, hours=8.5, dusk_min=30),
            "lights on for 8.5 hours a day, dim for the last 30 minutes",
        ),
        ('lights = "off"', LightsOff(day=2), "lights off until the next morning"),
        ('water = "changed"', WaterChanged(day=2), "water changed"),
    ],
)
def test_a_file_says_it(what: str, event: Event, words: str) -> None:
    (made,) = read(what).events
    assert made == event and made.words() == words


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("meals = 13", "meals is 13; use how many a day, 0 to 12, or times of day"),
        ("meals = true", "use how many a day"),
        ('meals = ["9am"]', "use how many a day"),
        (
            'meals = ["7:00"]',
            "fed at 07:00 from day 2 on; use times from 08:00 to 17:30: the lights",
        ),
        ('meals = ["9:00", "9:10"]', "use meals at least 30 minutes apart"),
        ("lights = 25", "lights is 25; use "),
        (
            "meals = 2\n[[event]]\nday = 2\nmeals = 4",
            "fed 4 times a day from then on, both on day 2; use",
        ),
        (
            "lights = 8\n[[event]]\nday = 2\nlights = 12",
            "on for 12 hours a day, both on day 2; use one",
        ),
        ('lights = {dusk = "3 h"}', 'use "off" (until the next morning), or lit hours a day, 1 to 24'),
        (
            "lights = {hours = 1, dusk = 40}",
            "40 minutes on day 2; use at most half of the 1 lit hours",
        ),
        ("lights = 12\nsettle = false", "settle is false; use true with lights"),
        ('water = "10 %"', 'water is "10 %"; use "changed"'),
        ('meals = 2\nwater = "changed"', "meals and water in one event; use one of"),
    ],
)
def test_what_cannot_be_gets_one_message_with_its_line(what: str, said: str) -> None:
    with pytest.raises(ScenarioError) as refused:
        read(what)
    (told,) = str(refused.value).split("\n")[1:]
    assert said in told and told.startswith("  line ")


def test_too_many_meals_for_short_days_are_refused() -> None:
    with pytest.raises(ScenarioError, match="fed 12 times a day from day 2 on; use at most 4 in 2 lit hours"):
        parse(TOML.format(what="meals = 12") + "[run]\nlit_hours = 2\ndays = 2\n", name="tank.toml")


def test_the_example_of_the_reference_is_read_as_it_is_written() -> None:
    text = Path(scenarios.__file__).with_name("REFERENCE.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```text\n(\[\[event.*?)```", text, re.DOTALL)
    fish = '[[stock]]\nspecies = "Tropheus duboisi"\nmales = 1\n'
    tank = TOML.split("[[event]]")[0].replace("[[stock]]", "[rock]\ncover = 0.3\n[[stock]]", 1)
    made = parse(tank + fish + example, name="tank.toml")
    own = {"box", "out_of_box", "divider", "rock", "meals", "lights", "water"}
    assert own == {one.key for one in made.events} <= EVENTS.keys()
