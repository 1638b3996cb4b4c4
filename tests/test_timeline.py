"""Events and the timeline: what a file may say, in which order things happen, who is in the tank when."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from rockshy.analysis.film.recording import record
from rockshy.analysis.results.recipe import scenario_digest
from rockshy.analysis.understood import date_sentences
from rockshy.analysis.whom import kinds_of
from rockshy.sim import TankModel
from rockshy.sim.changes import measured_like, with_events
from rockshy.sim.drawing import draw_tank, draw_trial_rock
from rockshy.sim.keeping import kept_run, places_after
from rockshy.sim.model import LEFT_BEHIND
from rockshy.sim.population import derive
from rockshy.sim.reading import ScenarioError, parse
from rockshy.sim.scenario import RockSpec, Scenario, StockRow
from rockshy.sim.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.timeline import (
    Event,
    FishBack,
    FishIn,
    FishOut,
    RockAnew,
    TimelineError,
    events_of,
    register,
)
from rockshy.sim.trials import run_trial, table_of
from staging import ROCKY, fingerprint, kind, row, scene, with_run

MILD = "Scena mitis"
KINDS = (kind(), kind(MILD, temper=0.3, timidity=2.0))
HE = "Scena communis male 2"
BUSY = {"attack_rate_s": 0.1, "claim_s": 100.0}
TOML = """
[tank]
length = "80 cm"
front_to_back = "40 cm"
height = "40 cm"
[rock]
cover = 0.4
height = "25 cm"
[[stock]]
species = "Tropheus moorii"
males = 2
females = 2
[[stock]]
species = "Tropheus duboisi"
females = 1
day = 1
out = 4
{events}
[run]
days = 6
{more}
"""


def read(events: str, more: str = "") -> Scenario:
    return parse(TOML.format(events=events, more=more), name="tank.toml")


def problems(events: str, more: str = "") -> list[str]:
    with pytest.raises(ScenarioError) as refused:
        read(events, more)
    return str(refused.value).split("\n")[1:]


def event(day: float, what: str) -> str:
    return f"[[event]]\nday = {day}\n{what}\n"


OUT_BACK_OUT = (
    event(5, 'out = "Tropheus moorii male 2"')
    + event(2, 'out = "moorii male 2"')
    + event(3, 'back = "Tropheus moorii male 2"')
)


def staged(*events: Event, **run: Any) -> Scenario:
    """Two males and a female of one kind and two mild fish, an hour of light a day, three days."""
    rows = (row(males=2, females=1), row(MILD, males=1, females=1, length=7.0))
    timing = {"lit_hours": 1.0, "days": 3.0, **run}
    return replace(scene(*rows, kinds=KINDS, rock=ROCKY, parameters=BUSY, **timing), events=events)


AWAY = (
    FishOut(day=0.5, fish=(HE,)),
    FishBack(day=1.25, fish=(HE,), settle=False),
    FishOut(day=2.5, fish=(HE,)),
)


# ---- what a file says


def test_days_of_rows_and_events_become_one_timeline_in_order() -> None:
    timeline = read(OUT_BACK_OUT + event(2, 'rock = "anew"')).timeline
    assert [(one.day, type(one)) for one in timeline.events] == [
        (0, FishIn),
        (1, FishIn),
        (2, RockAnew),
        (2, FishOut),
        (3, FishBack),
        (4, FishOut),
        (5, FishOut),
    ]
    assert timeline.stays["Tropheus moorii male 2"] == ((0, 2), (3, 5))
    assert timeline.stays["Tropheus duboisi female 1"] == ((1, 4),)
    assert timeline.in_on(2.5) == {
        *(f"Tropheus moorii {one}" for one in ("male 1", "female 1", "female 2")),
        "Tropheus duboisi female 1",
    }


def test_the_order_in_the_file_does_not_matter() -> None:
    one = read(event(2, 'out = "moorii male 2"') + event(3, 'back = "moorii male 2"'))
    other = read(event(3, 'back = "moorii male 2"') + event(2, 'out = "moorii male 2"'))
    assert one.timeline == other.timeline


def test_rescape_day_and_an_event_say_the_same() -> None:
    said = TOML.replace("cover = 0.4", "cover = 0.4\nrescape_day = 2").format(events="", more="")
    assert parse(said, name="tank.toml").timeline == read(event(2, 'rock = "anew"')).timeline


@pytest.mark.parametrize("what", [" " * 100_000, "male " * 20_000, ["moorii male 1"] * 121, [], "", [[1]]])
def test_what_names_no_fish_is_refused_in_one_line_at_once(what: object) -> None:
    (told,) = problems(f"[[event]]\nday = 2\nout = {json.dumps(what)}\n")
    assert told.startswith("  line 20, event.out: found ") and "allowed: fish of the stock, such as" in told
    assert len(told) < 250


def test_one_event_may_name_several_fish() -> None:
    (gone,) = read(event(2, 'out = ["moorii females", "Tropheus moorii male 1"]')).events
    assert isinstance(gone, FishOut)
    assert gone.fish == tuple(f"Tropheus moorii {one}" for one in ("female 1", "female 2", "male 1"))
    assert gone.words() == "taken out: Tropheus moorii female 1 to 2, Tropheus moorii male 1"


def test_every_problem_is_told_at_once_with_its_line_and_what_is_allowed() -> None:
    told = problems(
        event(500, 'out = "moorii male 2"')  # line 19
        + event(2, 'out = "moorii male 3"')
        + event(2, 'back = "moorii male 1"\nout = "moorii male 2"')
        + event(2, 'rock = "new"')
        + event(2, 'rock = "anew"\nsettle = false')
        + event(2, "out = 7")
        + event(2, 'otu = "moorii male 1"')
        + event(2, "")
    )
    assert told == [
        "  line 19, event.day: found 500; allowed: a number from 0.1 to 120",
        '  line 23, event.out: found "moorii male 3"; allowed: a fish of Tropheus moorii that is there: '
        "Tropheus moorii male 1 to 2, Tropheus moorii female 1 to 2; nearest: Tropheus moorii male 2",
        "  line 26, event.back: found out and back; allowed: one of out, back or rock",
        '  line 30, event.rock: found "new"; allowed: "anew": all of it is taken out and laid anew',
        "  line 34, event.settle: found false; allowed: true, or nothing, with rock",
        '  line 37, event.out: found 7; allowed: fish of the stock, such as "Tropheus duboisi male 2", or a '
        "list of them",
        '  line 40, event.otu: found the unknown name "otu"; allowed: day, out, back, rock or settle; '
        "nearest: out",
        "  line 41, event: found nothing; allowed: one of out, back or rock",
    ]


@pytest.mark.parametrize(
    ("events", "line", "words"),
    [
        (event(2, 'out = "moorii male 2"') * 2, 21, "not in the tank then"),
        (event(2, 'back = "moorii male 2"'), 18, "in the tank then"),
        (event(0.5, 'back = "Tropheus duboisi female 1"'), 18, "never in before"),
        (event(0.5, 'out = "Tropheus duboisi female 1"'), 18, "not in the tank then"),
        (event(1, 'out = "Tropheus duboisi female 1"'), 18, "in on that very day"),
        (event(3, 'out = "Tropheus duboisi female 1"'), 13, "not in the tank then"),
    ],
)
def test_what_cannot_happen_is_refused_at_its_line(events: str, line: int, words: str) -> None:
    (told,) = problems(events)
    assert told.startswith(f"  line {line}, ") and words in told


def test_rock_that_is_sketched_cannot_be_laid_anew_by_an_event() -> None:
    text = TOML.replace("cover = 0.4\n", "").replace('height = "25 cm"\n', 'sketch = ["0011", "0110"]\n')
    with pytest.raises(ScenarioError, match="line 17, event: found rock laid anew on day 2, and a sketch"):
        parse(text.format(events=event(2, 'rock = "anew"'), more=""), name="tank.toml")


def test_an_alternative_has_events_beside_those_of_the_base() -> None:
    more = """
    [[alternative]]
    name = "two days away"
    event = [{ day = 2, out = "moorii male 1" }, { day = 4, back = "moorii male 1", settle = false }]
    [[alternative]]
    name = "he is not there"
    remove = { species = "Tropheus moorii", fish = "male 2" }
    """
    base = read(OUT_BACK_OUT, more)
    away, gone = base.alternatives
    assert away.changes == (
        "Tropheus moorii male 1: taken out on day 2",
        "Tropheus moorii male 1: put back on day 4 (measuring goes on)",
    )
    assert away.scenario.timeline.stays["Tropheus moorii male 1"][:1] == ((0, 2),)
    assert away.scenario.timeline.stays["Tropheus moorii male 2"] == ((0, 2), (3, 5))
    assert "Tropheus moorii male 2: no longer put back on day 3" in gone.changes
    assert gone.scenario.measured_days == base.measured_days


def test_a_change_that_an_event_of_the_base_forbids_is_refused_at_the_alternative() -> None:
    more = '[[alternative]]\nname = "later"\nwhen = {species = "moorii", fish = "male 2", day = 2.5}\n'
    told = problems(OUT_BACK_OUT, more)
    assert [one.partition(":")[0] for one in told] == ["  line 30, alternative"] * 2
    assert "taken out on day 2, but not in the tank then" in told[0]
    assert "put back on day 3, but in the tank then" in told[1]


def test_events_are_said_in_order_with_the_measured_time() -> None:
    scenario = read(OUT_BACK_OUT.replace("day = 3", "day = 3\nsettle = false"))
    assert date_sentences(scenario) == [
        "Day 1: added: Tropheus duboisi female 1.",
        "Day 2: taken out: Tropheus moorii male 2.",
        "Day 2: measuring begins.",
        "Day 3: put back: Tropheus moorii male 2; they need not settle anew.",
        "Day 4: taken out: Tropheus duboisi female 1.",
        "Day 5: taken out: Tropheus moorii male 2.",
        "Day 7: the run ends.",
    ]


def test_fish_that_come_and_go_otherwise_are_another_kind() -> None:
    names = [one.name for one in kinds_of(read(OUT_BACK_OUT))]
    assert "Tropheus moorii male (out on day 2 and back on day 3 and out on day 5)" in names
    assert "Tropheus moorii male (staying)" in names


# ---- when it is measured


def test_measuring_begins_after_the_last_event_that_fish_settle_after() -> None:
    run = {"settle_days": 0.5}
    assert staged(**run).measured_days == (0.5, 3.0)
    back = FishBack(day=1.25, fish=(HE,))
    assert staged(AWAY[0], **run).measured_days == (0.5, 3.0), "taking out is none"
    assert staged(AWAY[0], back, **run).measured_days == (1.75, 4.25)
    assert staged(*AWAY, **run).measured_days == (0.5, 3.0), "a file may say that nobody settles anew"
    out = FishOut(day=0.5, fish=(HE,), settle=True)
    assert staged(out, **run).measured_days == (1.0, 3.5), "or that everybody does"


def test_a_later_return_is_measured_later_and_rock_laid_anew_on_the_days_of_the_base() -> None:
    base = staged(settle_days=1.0)
    back = staged(AWAY[0], FishBack(day=1.25, fish=(HE,)), settle_days=1.0)
    assert measured_like(back, base) == back
    drawn = replace(base, rock=RockSpec(cover=0.4, height_cm=20.0))
    anew = measured_like(with_events(drawn, RockAnew(day=0.5)), base)
    assert anew.measured_days == base.measured_days


def test_impossible_events_made_in_python_are_refused() -> None:
    with pytest.raises(TimelineError, match="not in the tank then; allowed: fish that are in the tank"):
        with_events(staged(*AWAY), FishOut(day=2.75, fish=(HE,)))
    with pytest.raises(TimelineError, match="rock laid anew on day 1, and no rock"):
        TankModel(replace(staged(RockAnew(day=1.0)), rock=RockSpec()))


def test_a_work_folder_tells_events_apart_and_not_where_they_stand() -> None:
    one, moved = staged(AWAY[0]), staged(replace(AWAY[0], place=("event", 3)))
    other = staged(AWAY[0], replace(AWAY[1], day=0.75)), staged(AWAY[0], FishOut(day=0.75, fish=(HE,)))
    assert scenario_digest(one) == scenario_digest(moved)
    assert scenario_digest(other[0]) != scenario_digest(other[1])


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


def test_tick_by_tick_is_the_same_as_in_one_go() -> None:
    slow, fast = TankModel(staged(*AWAY)), TankModel(staged(*AWAY))
    while slow.running:
        slow.step()
    fast.run()
    assert fingerprint(slow) == fingerprint(fast)


def test_what_a_fish_knows_fades_while_it_is_out_as_if_it_were_in() -> None:
    model = TankModel(staged(*AWAY), arm=LEFT_ALONE)
    fish, pair = model.shoal.fish, model.shoal.pair
    while model.tick < 1800:
        model.advance_to(model.next_stop())
    for name in ("fright", "slow_fright", "experience"):
        fish[name][:2] = 0.8
    pair.standing[:2, 4], pair.familiar[1, 4] = -1.0, 0.6
    trust = model.shoal.memory[1].copy()
    while model.tick < 4500:
        model.advance_to(model.next_stop())
    dark = 23 * 3600.0
    p = model.parameters
    for name in ("fright", "slow_fright", "experience"):
        assert fish[name][1] == fish[name][0] < 0.8, "the fish that stayed"
    known = 0.8 * 0.5 ** ((2700 + dark) / (86400 * p.experience_half_life_d))
    assert fish.experience[1] == pytest.approx(known, rel=1e-4)
    assert pair.standing[1, 4] == pair.standing[0, 4] == -(0.5 ** (1 / p.pair_half_life_d))
    assert pair.familiar[1, 4] == pytest.approx(0.6 * 0.5 ** (1 / p.familiar_half_life_d))
    np.testing.assert_array_equal(model.shoal.memory[1], trust)
    assert fish.present[1] and fish.centre[1] == fish.refuge[1] == -1


def test_out_and_back_at_once_changes_its_place_and_what_it_was_about_and_nothing_else() -> None:
    """Nor anything of the others, but that whoever was after it turns to something else."""
    there = FishOut(day=0.5, fish=(HE,)), FishBack(day=0.5, fish=(HE,), settle=False)
    left, moved = TankModel(staged()), TankModel(staged(*there))
    for model in (left, moved):
        while model.tick < 1800:
            model.advance_to(min(1800, model.next_stop()))
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
            while model.tick < 360 * (k + 1):
                model.advance_to(min(360 * (k + 1), model.next_stop()))
            found.append((int(model.shoal.fish.cell[1]), int(model.shoal.fish.heading[1])))
        places.append(found)
    assert places[0] == places[1]
    assert len(set(places[0])) == 3


def test_whoever_chases_a_fish_that_is_taken_out_turns_away_and_its_mate_is_free() -> None:
    pair = kind("Scena bina", mating="pair", defends="both")
    rows = (row("Scena bina", males=1, females=1, length=8.0), row(males=1))
    gone = FishOut(day=0.5, fish=("Scena bina male 1",))
    scenario = replace(scene(*rows, kinds=(pair, kind()), lit_hours=1.0, days=1.0), events=(gone,))
    model = TankModel(scenario)
    while model.tick < 1799:
        model.step()
    fish = model.shoal.fish
    assert fish.bond[0] == fish.bond[1] >= 0
    fish.doing[2], fish.target[2] = 3, 0
    model.step()
    assert fish.bond[1] == -1 and fish.target[2] != 0 and not fish.present[0]


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
    while model.tick < 900:
        model.advance_to(min(900, model.next_stop()))
    assert model.shoal.fish.temper[0] == 7.0
    model.shoal.fish.length_cm[0] = 5.0
    while model.tick < 1800:
        model.advance_to(min(1800, model.next_stop()))
    young = TankModel(replace(staged(), stock=(row(males=1, length=5.0), *staged().stock))).shoal.fish
    for name in ("adult", "depth_cm", "temper", "core_cm", "cruise_cm_s", "capable", "provokes"):
        assert model.shoal.fish[name][0] == young[name][0], name


def test_a_key_is_registered_once() -> None:
    with pytest.raises(ValueError, match="'out'"):
        register(type("Other", (Nothing,), {"key": "out"}))
    with pytest.raises(ValueError, match="''"):
        register(Nothing)


def test_the_days_of_a_row_are_events() -> None:
    made = events_of(StockRow(MILD, males=1, day=2.0, out_day=3.5), (f"{MILD} male 1",))
    assert [(type(one), one.day, one.settle) for one in made] == [(FishIn, 2.0, True), (FishOut, 3.5, False)]
