"""What a keeper does to fish on a day: again and again, out for a time, a death or an injury that is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rockshy.analysis.questions.check.understood import date_sentences
from rockshy.analysis.study.recipe import scenario_digest
from rockshy.sim import TankModel
from rockshy.sim.run.slow import slow_parameters
from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import (
    FishBack,
    FishDead,
    FishOut,
    Holding,
    Injured,
    Spawning,
    Well,
    WhenSeen,
    again,
)
from rockshy.sim.scenario.timeline.seen import CHIEF_CHASER
from test_timeline import event, problems, read
from timeline_examples import AWAY, HE, staged

MALE, FEMALE = "Tropheus moorii male 2", "Tropheus moorii female 1"


def told(what: str) -> list[tuple[float, type]]:
    return [(one.day, type(one)) for one in read(what).events]


# ---- again and again, and for a time


def test_one_entry_takes_a_fish_out_and_puts_it_back() -> None:
    scenario = read(event(2, f'out = "{MALE}"\nfor = "2 weeks"'))
    assert scenario.events == (FishOut(day=2, fish=(MALE,)), FishBack(day=16, fish=(MALE,)))
    assert scenario.timeline.stays[MALE] == ((0, 2), (16, np.inf))
    assert scenario.measured_days[0] > 16
    (_, back) = read(event(2, f'out = "{MALE}"\nfor = 3\nsettle = false')).events
    assert (back.day, back.settle) == (5, False)


def test_a_repeat_is_the_same_as_its_events_written_out() -> None:
    entry = f'out = "{MALE}"\nfor = "2 days"\nevery = "1 week"\nuntil = 16'
    out = "".join(event(day, f'out = "{MALE}"') + event(day + 2, f'back = "{MALE}"') for day in (1, 8, 15))
    once, written = read(event(1, entry)), read(out)
    assert once.timeline == written.timeline and once.measured_days == written.measured_days
    assert scenario_digest(replace(once, text="")) == scenario_digest(replace(written, text=""))
    short = again((AWAY[0], FishBack(day=0.75, fish=(HE,), settle=False)), every=1.0, until=2.0)
    assert [one.day for one in short] == [0.5, 0.75, 1.5, 1.75]
    models = [TankModel(staged(*events)) for events in (short, tuple(replace(one) for one in short[::-1]))]
    one, other = (model.run() for model in models)
    for name in one._fields:
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)


def test_without_a_last_day_it_goes_on_as_long_as_anything_is_simulated() -> None:
    scenario = read(event(10, f'out = "{MALE}"\nfor = "2 days"\nevery = "1 week"\nsettle = false'))
    assert scenario.events[-2].day == 724 and all(one.endless for one in scenario.events[2:])
    assert scenario.measured_days == read("").measured_days
    said = date_sentences(read(event(2, f'out = "{MALE}"\nfor = 1\nevery = 2\nuntil = 8')))
    assert f"Day 2 and every 2 days until day 8: {MALE} taken out." in said


# ---- a death, an injury


def test_a_dead_fish_is_out_and_nothing_puts_it_back() -> None:
    model = TankModel(staged(FishDead(day=0.5, fish=(HE,))))
    model.advance_to(model.next_stop())
    assert HE not in {one.label for one in model.agents} and model.let_in([HE]) == []
    ledger = TankModel(staged(FishOut(day=0.5, fish=(HE,)))).run()
    np.testing.assert_array_equal(TankModel(staged(FishDead(day=0.5, fish=(HE,)))).run().pair, ledger.pair)


def test_an_injured_fish_is_weaker_and_shyer_until_it_is_well() -> None:
    model = TankModel(staged(*Injured(day=0.5, fish=(HE,)).lasting(1.0)))
    sound, odds = model.shoal.fish.copy(), model.shoal.pair.odds.copy()
    model.advance_to(model.next_stop())
    fish, share, p = model.shoal.fish, slow_parameters()["injured_strength"].value, model.parameters
    assert fish.temper[1] == sound.temper[1] * share and fish.timidity[1] == sound.timidity[1] / share
    assert fish.burst_cm_s[1] == sound.burst_cm_s[1] * share and fish.cruise_cm_s[1] == sound.cruise_cm_s[1]
    assert model.shoal.pair.odds[1, 0] == pytest.approx(odds[1, 0] + p.size_odds * np.log(share))
    assert (fish.temper[[0, 2]] == sound.temper[[0, 2]]).all()
    while model.tick < 1.5 * model.lit_ticks:
        model.advance_to(model.next_stop())
    assert model.shoal.fish.temper[1] == sound.temper[1]
    np.testing.assert_array_equal(model.shoal.pair.odds, odds)


def test_an_injury_is_two_events_and_leaves_what_others_draw() -> None:
    assert told(event(2, f'injured = "{MALE}"\nfor = "10 days"')) == [(2, Injured), (12, Well)]
    well = staged(*(Well(day=0.5, fish=(HE,)), FishDead(day=2.0, fish=(HE,))))
    plain = staged(FishDead(day=2.0, fish=(HE,)))
    one, other = (TankModel(scenario).run() for scenario in (well, plain))
    for name in one._fields:
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)


# ---- what is refused


def deeds(*of: str) -> str:
    return "".join(event(day, what) for day, what in zip((2, 4), of, strict=False))


@pytest.mark.parametrize(
    ("what", "line", "said"),
    [
        (f'out = "{MALE}"\nfor = "2 wekks"', 21, 'for is "2 wekks"; use a time such as "2 weeks"'),
        (f'out = "{MALE}"\nfor = 0', 21, "for is 0; use a time from 0.1 days to 730 days"),
        (f'out = "{MALE}"\nevery = 0.5', 21, "every is 0.5; use a time from 1 day to 730 days"),
        (f'out = "{MALE}"\nuntil = 9', 21, 'until is 9; use it with every = "2 weeks"'),
        (f'out = "{MALE}"\nfor = 1\nevery = 2\nuntil = 1', 23, "use a day from 2 on"),
        (f'out = "{MALE}"\nfor = 7\nevery = "1 week"', 21, "for is 7; use a shorter time than every, 1 week"),
        (f'out = "{MALE}"\nfor = 3\nevery = 7', 22, "without end, and the fish would settle anew each time"),
        (f'out = "{MALE}"\nevery = "1 week"', 18, "taken out on day 9, but not in the tank then"),
        (f'back = "{MALE}"\nfor = 2', 21, "back does not end by itself"),
        (f'injured = "{MALE}"', 18, "for is missing; write how long it lasts"),
        (f'dead = "{MALE}"\nfor = 9', 21, "dead does not end by itself"),
    ],
)
def test_what_means_nothing_is_refused_in_one_line(what: str, line: int, said: str) -> None:
    (message,) = problems(event(2, what))
    assert message.startswith(f"  line {line}, event 1") and said in message


@pytest.mark.parametrize(
    ("first", "then", "said"),
    [
        (
            f'dead = "{MALE}"',
            f'back = "{MALE}"',
            "put back on day 4, but dead since day 2; use fish",
        ),
        (f'dead = "{MALE}"', f'out = "{MALE}"', "taken out on day 4, but dead since day 2"),
        (f'dead = "{MALE}"', f'dead = "{MALE}"', "dead on day 4, but dead since day 2"),
        (f'dead = "{MALE}"', f'injured = "{MALE}"\nfor = 2', "injured on day 4, but dead since day 2"),
        (f'out = "{MALE}"', f'injured = "{MALE}"\nfor = 2', "injured on day 4, but not in the tank then"),
        (f'injured = "{MALE}"\nfor = 9', f'injured = "{MALE}"\nfor = 2', "but injured already"),
        (f'out = "{MALE}"\nfor = 9', f'back = "{MALE}"', "put back on day 11, but in the tank already"),
    ],
)
def test_what_contradicts_what_was_before_is_refused_at_its_line(first: str, then: str, said: str) -> None:
    (message,) = problems(deeds(first, then))
    assert "event" in message and said in message


def test_too_much_is_refused_at_once() -> None:
    often = f'injured = "{MALE}"\nfor = 0.5\nevery = 1'
    assert "with all that is done again there are 1458; use at most 1000" in problems(event(2, often))[0]


def test_an_alternative_repeats_too() -> None:
    more = f"""
    [[alternative]]
    name = "a rest every week"
    event = [{{ day = 1, out = "{FEMALE}", for = 2, every = "1 week", until = 22, settle = false }}]
    """
    scenario: Scenario = read("", more)
    assert scenario.alternatives[0].changes[:2] == (
        f"{FEMALE}: taken out on day 1 and every 1 week until day 22",
        f"{FEMALE}: put back on day 3 and every 1 week until day 24 (measuring goes on)",
    )


# ---- broods and rules of thumb


def rule(what: str) -> str:
    return f"[[event]]\n{what}\n"


def test_a_file_says_who_holds_and_for_how_long() -> None:
    events = read(event(2, f'holding = "{FEMALE}"\nfor = "3 weeks"') + event(1, "spawning = true")).events
    assert events == (Holding(day=2, fish=(FEMALE,), days=21), Spawning(day=1))


def test_a_rule_of_thumb_is_read_and_said_back() -> None:
    scenario = read(
        rule(
            'when = "pinned"\nfish = "Tropheus duboisi"\nin_a_row = 3\nout = "chief chaser"\nfor = "2 weeks"'
        )
        + rule('when = "Keeps less than 40 %"\nout = "it"\nday = 10\nuntil = 50')
        + rule(f'when = "shows male"\nstay = 2\nout = "it"\nfish = "{MALE}"')
        + rule(f'when = "holds"\nout = ["{MALE}"]\nfor = 7\nfish = "{FEMALE}"')
    )
    pinned, less, shows, holds = scenario.events
    (boxed,) = read(rule('when = "pinned"\nbox = "it"\nfor = 7')).events
    assert isinstance(boxed, WhenSeen) and boxed.box
    assert "it is put into a box in the tank for 1 week" in boxed.words()
    assert isinstance(pinned, WhenSeen) and pinned.fish == ("Tropheus duboisi female 1",)
    assert (pinned.in_a_row, pinned.out, pinned.days) == (3, CHIEF_CHASER, 14)
    assert isinstance(less, WhenSeen) and (less.share, less.day, less.until, len(less.fish)) == (
        0.4,
        10,
        50,
        5,
    )
    assert isinstance(shows, WhenSeen) and shows.stay == 2
    assert isinstance(holds, WhenSeen) and holds.out == (MALE,)
    assert scenario.measured_days == read("").measured_days
    told = [one.removeprefix("Rule of thumb: ") for one in date_sentences(scenario)[-4:]]
    assert told == [
        "when Tropheus duboisi female 1 is pinned 3 days in a row, its chief chaser is taken out for 2 "
        "weeks.",
        f"when {MALE} shows that it is a male, and 2 of its kind are there already, it is taken out for "
        "good.",
        f"when {FEMALE} holds eggs, {MALE} is taken out for 1 week.",
        "when one of Tropheus moorii male 1 to 2, Tropheus moorii female 1 to 2, Tropheus duboisi female 1 "
        "keeps less than 40 % of its free swimming, it is taken out for good (from day 10 to day 50).",
    ]


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (
            'when = "pined"\nout = "it"',
            'when is "pined"; use "pinned", "keeps less than 40 %", "shows male" or',
        ),
        ('when = "keeps less than 140 %"\nout = "it"', 'when is "keeps less than 140 %"; use "pinned"'),
        ('when = "pinned"', 'nothing is done; use out or box with when, such as out = "it"'),
        (
            f'when = "pinned"\nback = "{MALE}"',
            "back and when in one event; use out, box, when, fish, in_a_row",
        ),
        ('when = "pinned"\nout = "it"\nevery = "1 week"', "every and when in one event"),
        ('when = "pinned"\nout = "it"\nbox = "it"', "out and box in one event; use one of them with when"),
        ('when = "pinned"\nbox = "him"', 'box is "him"; use "it", the fish itself, "chief chaser", or'),
        (
            'when = "pinned"\nout = "him"',
            'out is "him"; use "it", the fish itself, "chief chaser", or a fish',
        ),
        ('when = "pinned"\nout = "it"\nin_a_row = 0', "in_a_row is 0; use a whole number from 1 to 14"),
        ('when = "holds"\nout = "it"\nin_a_row = 2', 'in_a_row is 2; use it with when = "pinned" or "keeps'),
        ('when = "holds"\nout = "it"\nstay = 2', 'stay is 2; use it with when = "shows male"'),
        ('when = "holds"\nout = "it"\nday = 9\nuntil = 3', "until is 3; use a day from 9 on"),
        ('when = "shows male"\nout = "it"\nfor = 7', "show again when it is back, be out again, and so on"),
        (f'day = 2\nholding = "{MALE}"', f"holding: {MALE}; use females of a kind that holds its eggs"),
        ("day = 2\nspawning = false", "spawning is false; use true"),
    ],
)
def test_a_rule_that_means_nothing_or_goes_round_for_ever_is_refused(what: str, said: str) -> None:
    (message,) = problems(rule(what))
    assert message.startswith("  line ") and said in message


def test_rules_that_contradict_and_broods_on_top_of_broods_are_refused() -> None:
    out = 'when = "pinned"\nout = "it"'
    (message,) = problems(rule(out) + rule(f'{out}\nfor = 7\nfish = "{MALE}"'))
    assert 'event 2: two rules of when = "pinned" for Tropheus moorii male 2, and they do not say' in message
    assert len(read(rule(f"{out}\nuntil = 20") + rule(f"{out}\nfor = 7\nday = 21")).events) == 2
    (message,) = problems(deeds(f'holding = "{FEMALE}"', f'holding = "{FEMALE}"'))
    assert (
        "holding eggs on day 4, but holding since before; use a day after she has let her fry go" in message
    )
    (message,) = problems(deeds(f'out = "{FEMALE}"', f'holding = "{FEMALE}"'))
    assert "holding eggs on day 4, but not in the tank then" in message
