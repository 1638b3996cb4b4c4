"""What happens when, on the page: rows put in, moved and taken out; a file of months is a life."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import pytest
from command_line import Capsys, Patch, answered, four_fish, work_in
from page_tasks import done_by
from rockshy.analysis.film.recording import record
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.page.editing.bench import alike
from rockshy.analysis.page.editing.copies import with_change
from rockshy.analysis.page.editing.edits import EditError, edited
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.viewing.view import scenario_of, view_of
from rockshy.analysis.page.work.kinds import WORK
from rockshy.analysis.page.work.living import living
from rockshy.analysis.questions.relief.change import NotApplicableError
from rockshy.analysis.questions.relief.policies import Policies
from rockshy.sim.run.done import TAKEN_OUT
from rockshy.sim.run.life import done_of, run_life

MALE, FEMALE = "Tropheus moorii male 1", "Tropheus moorii female 1"
TEXT = four_fish(title="Tiny", days=2, lit_hours=1, trials=4, seed=5)
COPY = '\n[[alternative]]\nname = "other"\n'
KINDS: tuple[dict[str, Any], ...] = (
    {"day": 1, "out": MALE, "for": "2 weeks"},
    {"day": 1, "out": FEMALE},
    {"day": 1, "box": MALE, "for": "1 week"},
    {"day": 1, "divider": {"from_left": "30 cm", "clear": True}, "for": "2 weeks"},
    {"day": 1, "rock": "anew"},
    {"day": 1, "rock": "+10 %"},
    {"day": 1, "meals": 1},
    {"day": 1, "lights": {"hours": 2, "dusk": "10 min"}},
    {"day": 1, "lights": "off"},
    {"day": 1, "water": "changed", "every": "2 weeks"},
    {"day": 1, "holding": FEMALE},
    {"day": 1, "spawning": True},
    {"day": 1, "injured": FEMALE, "for": "1 week"},
    {"day": 1, "dead": FEMALE},
    {"when": "pinned", "out": "it", "in_a_row": 2, "for": "1 week"},
    {"when": "pinned", "box": "chief chaser", "for": "1 week"},
    {"when": "keeps less than 40 %", "out": "chief chaser", "fish": "Tropheus moorii"},
)


def events_of(draft: Draft, which: int = 0) -> list[dict[str, Any]]:
    view = view_of(draft, which)
    assert view["good"] and not view["problems"]
    found: list[dict[str, Any]] = view["events"]
    return found


@pytest.mark.parametrize("row", KINDS, ids=lambda row: "-".join(map(str, row)))
@pytest.mark.parametrize("which", [0, 1])
def test_each_kind_is_put_in_shown_moved_and_taken_out(row: dict[str, Any], which: int) -> None:
    before = Draft(TEXT + COPY, "tiny.toml")
    there = edited(before, which, [{"do": "add event", "values": row}])
    table = tomllib.loads(there.text)
    (own,) = (table["alternative"][0] if which else table)["event"]
    assert own == row
    (told,) = events_of(there, which)
    assert (told["row"], told["kind"]) == (
        0,
        next(key for key in ("when", *row) if key in row and key != "day"),
    )
    assert told["days"][0] == row.get("day", 0) and told["text"] and told["rule"] == ("when" in row)
    moved = edited(there, which, [{"do": "event", "row": 0, "field": "day", "value": 3}])
    assert events_of(moved, which)[0]["days"][0] == 3
    gone = edited(moved, which, [{"do": "drop event", "row": 0}]).text
    assert tomllib.loads(gone) == tomllib.loads(before.text)


def test_what_cannot_be_is_refused_with_the_words_of_the_reader_and_nothing_is_written() -> None:
    draft = Draft(TEXT, "tiny.toml")
    for values, said in (
        ({"day": 1, "out": "Tropheus moorii male 7"}, "male 7"),
        ({"day": 1, "back": MALE}, "in the tank already"),
        ({"day": 1, "divider": "4 m"}, "within the tank"),
        ({"day": 1, "meal": 2}, "field is"),
        ({"when": "shows male", "out": "it", "for": "1 week"}, "without end"),
    ):
        with pytest.raises(EditError) as refused:
            edited(draft, 0, [{"do": "add event", "values": values}])
        assert said in str(refused.value) and "line" not in str(refused.value)
    with pytest.raises(EditError, match="there are no events"):
        edited(draft, 0, [{"do": "drop event", "row": 0}])


def test_a_wrong_row_of_a_file_can_be_taken_out() -> None:
    wrong = Draft(TEXT + f'\n[[event]]\nday = 1\nout = "{MALE} 9"\n', "tiny.toml")
    view = view_of(wrong, 0)
    assert not view["good"] and view["events"][0]["text"].startswith("out = ")
    assert edited(wrong, 0, [{"do": "drop event", "row": 0}]).text.rstrip() == TEXT.rstrip()


def test_a_row_of_the_stock_that_comes_in_later_or_goes_is_told_and_events_of_the_tank_in_a_copy() -> None:
    text = TEXT.replace("males = 1\nfemales = 2", "males = 1\nfemales = 2\nday = 1\nout = 2", 1)
    event = '\n[[event]]\nday = 1.5\nwater = "changed"\n'
    draft = Draft(text + event + COPY, "tiny.toml")
    told = [(one["stock"], one["row"], one["field"]) for one in events_of(draft)]
    assert told == [(0, None, "day"), (None, 0, "day"), (0, None, "out")]
    assert [one["row"] for one in events_of(draft, 1)] == [None, None, None]


# ---- a file of months

OUT = f'\n[[event]]\nday = 40\nout = "{MALE}"\n'
LONG = TEXT + OUT + '\n[[event]]\nwhen = "keeps less than 40 %"\nout = "it"\nfor = "1 week"\n'


def test_a_file_of_months_is_answered_as_run_does(tmp_path: Any, capsys: Capsys, monkeypatch: Patch) -> None:
    work_in(tmp_path, monkeypatch, long=LONG)
    result = done_by(WORK["try"], LONG, name="long.toml", kind="try", which=0).results[-1]
    printed = json.loads(answered(capsys, "run", "long.toml", "--json").out)
    printed.pop("options")
    own = result["json"]
    assert own["months"] == printed["months"] and own["for"] == printed["for"]
    assert [one["number"] for one in result["life"]["months"]] == [1, 2]
    assert "keeps less than 40 %" in result["life"]["deeds"][0]["text"]
    assert len(result["fish"]) >= 2 and result["headline"]


def test_a_comparison_over_months_says_how_long_it_lives_and_what_the_command_says(
    tmp_path: Any, capsys: Capsys, monkeypatch: Patch
) -> None:
    text = LONG + '\n[[alternative]]\nname = "sooner"\nevent = [{ day = 10, water = "changed" }]\n'
    work_in(tmp_path, monkeypatch, long=text)
    task = done_by(WORK["compare"], text, name="long.toml", kind="compare")
    assert task.told == ["Each is lived through for 2 months, so it takes a while."]
    printed = json.loads(answered(capsys, "compare", "long.toml", "--json").out)
    own = task.results[-1]
    assert own["json"]["against"] == printed["against"]
    assert own["against"][0]["sentence"] and own["against"][0]["figures"]


def test_what_helps_over_weeks_becomes_a_copy() -> None:
    """Rules of thumb and dividers are written as events of the copy, which read as what was tried."""
    base = scenario_of(Draft(TEXT + "\n[[event]]\nday = 1\nspawning = true\n", "tiny.toml"))
    draft = Draft(base.text, "tiny.toml")
    tried = []
    for _, make in Policies(base, asked_for(base, MALE), 3).all():
        try:
            change = make()
        except NotApplicableError:
            continue
        tried.append(change.name)
        copied = scenario_of(with_change(draft, change.name, change.scenario)).alternatives[0].scenario
        assert alike(copied, change.scenario), change.name
    assert len(tried) >= 5


def test_its_days_are_those_of_the_life_and_each_can_be_looked_at() -> None:
    draft = Draft(LONG, "long.toml")
    time = view_of(draft, 0)["time"]
    assert time["months"] == 2 and time["days"] == 61
    made = living(scenario_of(draft), [0], day=50)
    assert made["day"] == 50 and made["film"]["tanks"]


def test_a_film_of_a_life_shows_what_its_rules_did_and_not_what_a_short_run_did() -> None:
    """Who is out on a day is who was out on it in the life."""
    ruled = TEXT + '\n[[event]]\nwhen = "keeps less than 70 %"\nout = "chief chaser"\n'
    scenario = scenario_of(Draft(ruled, "ruled.toml"))
    wanted = []
    for trial in range(3):
        (life, _) = run_life(scenario, trial, days=31)
        film = record(scenario, trial=trial, start=30 * 720, ticks=20, lived=True)
        out = {one.label for one in done_of(life) if one.deed == TAKEN_OUT and one.day <= 30}
        assert {label for label, here in zip(film.label, film.present[0], strict=True) if not here} == out
        wanted.append(len(out))
    assert any(wanted)
