"""Events and the timeline: what a file may say, in which order things happen, who is in the tank when."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from rockshy.analysis.measures.whom import kinds_of
from rockshy.analysis.questions.check.understood import date_sentences
from rockshy.analysis.study.recipe import scenario_digest
from rockshy.sim.scenario.changes import measured_like, with_events
from rockshy.sim.scenario.reading import ScenarioError, parse
from rockshy.sim.scenario.scenario import RockSpec, Scenario, StockRow
from rockshy.sim.scenario.timeline import FishBack, FishIn, FishOut, RockAnew, TimelineError, events_of
from timeline_examples import AWAY, HE, MILD, staged

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


def rocky(rock: str, more: str = "") -> Scenario:
    """With more lines in its [rock]."""
    text = TOML.replace('height = "25 cm"', f'height = "25 cm"\n{rock}')
    return parse(text.format(events="", more=more), name="tank.toml")


def test_rescape_day_and_an_event_say_the_same() -> None:
    assert rocky("rescape_day = 2").timeline == read(event(2, 'rock = "anew"')).timeline


def test_an_alternative_with_rock_laid_anew_is_measured_on_the_days_of_the_base() -> None:
    more = '[[alternative]]\nname = "laid anew"\nrock = { rescape_day = 1.5 }'
    base = read("", more)
    (other,) = base.alternatives
    assert other.scenario.events == (RockAnew(day=1.5),)
    assert other.scenario.measured_days == base.measured_days == (2, 7)
    assert other.scenario.run.settle_days == 0.5
    assert "rock: all taken out and laid anew on day 1.5" in other.changes
    late = with_events(base, RockAnew(day=2.5))
    assert measured_like(late, base) == late  # measuring would begin before it


@pytest.mark.parametrize(
    ("rock", "said"),
    [
        ("rescape_day = 0", "from 0.1 to 60"),
        ('rescape_day = "soon"', "soon"),
        (
            "rescape_day = 1\n[[rock.crevice]]\nfrom_left=5\nfrom_front=5\nmouth=5\ndepth=9",
            "its crevices are listed; use cover",
        ),
    ],
)
def test_what_cannot_be_laid_anew_is_refused(rock: str, said: str) -> None:
    with pytest.raises(ScenarioError, match="rescape_day") as refused:
        rocky(rock)
    assert said in str(refused.value)


@pytest.mark.parametrize("what", [" " * 9_000, "male " * 1_900, ["moorii male 1"] * 121, [], "", [[1]]])
def test_what_names_no_fish_is_refused_in_one_line_at_once(what: object) -> None:
    (told,) = problems(f"[[event]]\nday = 2\nout = {json.dumps(what)}\n")
    assert told.startswith("  line 20, event 1, out is ") and "use fish of the stock, such as" in told
    assert len(told) < 250


def test_one_event_may_name_several_fish() -> None:
    (gone,) = read(event(2, 'out = ["moorii females", "Tropheus moorii male 1"]')).events
    assert isinstance(gone, FishOut)
    assert gone.fish == tuple(f"Tropheus moorii {one}" for one in ("female 1", "female 2", "male 1"))
    assert gone.words() == "Tropheus moorii female 1 to 2, Tropheus moorii male 1 taken out"


KEYS = "out, back, box, out_of_box, divider, dead, injured, holding, spawning, lights, meals, rock"


def test_every_problem_is_told_at_once_with_its_line_and_what_is_allowed() -> None:
    told = problems(
        event(900, 'out = "moorii male 2"')  # line 19
        + event(2, 'out = "moorii male 3"')
        + event(2, 'back = "moorii male 1"\nout = "moorii male 2"')
        + event(2, 'rock = "new"')
        + event(2, 'rock = "anew"\nsettle = false')
        + event(2, "out = 7")
        + event(2, 'otu = "moorii male 1"')
        + event(2, "")
    )
    assert told == [
        "  line 19, event 1, day is 900; use a number from 0 to 730",
        '  line 23, event 2, out is "moorii male 3"; use a fish of Tropheus moorii in this tank: '
        "Tropheus moorii male 1 to 2, Tropheus moorii female 1 to 2. Did you mean Tropheus moorii male 2?",
        f"  line 26, event 3, back: out and back in one event; use one of {KEYS} or water",
        '  line 30, event 4, rock is "new"; use "anew", or the share of the floor from then on, '
        '"60 %", or more or less of it, "+20 %", "-20 %"',
        "  line 34, event 5, settle is false; use true with rock, or leave it out",
        '  line 37, event 6, out is 7; use fish of the stock, such as "Tropheus duboisi male 2", or a '
        "list of them",
        f"  line 40, event 7, otu: there is no such field; use {KEYS}, water, when, day, for, every, "
        "until or settle. Did you mean out?",
        f"  line 41, event 8: nothing happens; use one of {KEYS} or water",
    ]


@pytest.mark.parametrize(
    ("events", "line", "words"),
    [
        (event(2, 'out = "moorii male 2"') * 2, 21, "not in the tank then"),
        (event(2, 'back = "moorii male 2"'), 18, "in the tank already"),
        (event(0.5, 'back = "Tropheus duboisi female 1"'), 18, "never in the tank before"),
        (event(0.5, 'out = "Tropheus duboisi female 1"'), 18, "not in the tank then"),
        (event(1, 'out = "Tropheus duboisi female 1"'), 18, "only put in that day"),
        (event(3, 'out = "Tropheus duboisi female 1"'), 13, "not in the tank then"),
    ],
)
def test_what_cannot_happen_is_refused_at_its_line(events: str, line: int, words: str) -> None:
    (told,) = problems(events)
    assert told.startswith(f"  line {line}, ") and words in told


def test_rock_that_is_sketched_cannot_be_laid_anew() -> None:
    text = TOML.replace("cover = 0.4\n", "").replace('height = "25 cm"\n', 'sketch = ["0011", "0110"]\n')
    with pytest.raises(
        ScenarioError, match="line 17, event 1: the rock is laid anew on day 2, but it is a sketch"
    ):
        parse(text.format(events=event(2, 'rock = "anew"'), more=""), name="tank.toml")
    with pytest.raises(ScenarioError, match="use cover, without a sketch"):
        parse(text.replace("[rock]", "[rock]\nrescape_day = 1").format(events="", more=""), name="tank.toml")


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
    assert [one.partition(":")[0] for one in told] == ["  line 30, alternative 1"] * 2
    assert "taken out on day 2, but not in the tank then" in told[0]
    assert "put back on day 3, but in the tank already" in told[1]


def test_events_are_said_in_order_with_the_measured_time() -> None:
    scenario = read(OUT_BACK_OUT.replace("day = 3", "day = 3\nsettle = false"))
    assert date_sentences(scenario) == [
        "Day 1: Tropheus duboisi female 1 added.",
        "Day 2: Tropheus moorii male 2 taken out.",
        "Day 2: measuring begins.",
        "Day 3: Tropheus moorii male 2 put back; the fish need not settle anew.",
        "Day 4: Tropheus duboisi female 1 taken out.",
        "Day 5: Tropheus moorii male 2 taken out.",
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
    with pytest.raises(TimelineError, match="not in the tank then; use fish that are in the tank"):
        with_events(staged(*AWAY), FishOut(day=2.75, fish=(HE,)))


def test_a_work_folder_tells_events_apart_and_not_where_they_stand() -> None:
    one, moved = staged(AWAY[0]), staged(replace(AWAY[0], place=("event", 3)))
    other = staged(AWAY[0], replace(AWAY[1], day=0.75)), staged(AWAY[0], FishOut(day=0.75, fish=(HE,)))
    assert scenario_digest(one) == scenario_digest(moved)
    assert scenario_digest(other[0]) != scenario_digest(other[1])


def test_the_days_of_a_row_are_events() -> None:
    made = events_of(StockRow(MILD, males=1, day=2.0, out_day=3.5), (f"{MILD} male 1",))
    assert [(type(one), one.day, one.settle) for one in made] == [(FishIn, 2.0, True), (FishOut, 3.5, False)]
