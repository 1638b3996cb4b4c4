"""What helps, on a page: the answer of ``rockshy relief``, for the worst off or for a fish that is named."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, work_in
from fake_relief import TALLER, TEXT, chief_matters, nothing_helps, taller_costs_others
from fake_work import made_up_everywhere
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.editing.copies import with_change
from rockshy.analysis.page.work.relieving import WATCHING, find_relief
from rockshy.analysis.questions.relief.changes import CHIEF
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

MILD = "Tropheus duboisi"
FEW = TEXT.replace("trials = 32", "trials = 8")


def taller_helps(scenario: Scenario, fish: Any, trial: int) -> float:
    """With taller rock the mild fish lose less, and nobody more."""
    return nothing_helps(scenario, fish, trial) - 0.3 * (
        scenario.rock.height_cm > 20 and fish.species == MILD
    )


def relieved(**options: Any) -> FakeTask:
    return done_by(find_relief, TEXT, kind="relief", **options)


@pytest.mark.parametrize("fish", [None, f"{MILD} male 1"])
def test_the_end_is_what_the_command_prints(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], fish: str | None
) -> None:
    work_in(tmp_path, monkeypatch, tiny=TEXT)
    made_up_everywhere(monkeypatch, loss=taller_helps)
    asked = [] if fish is None else ["--for", fish]
    task = relieved(fish=fish)
    (last,) = task.results
    assert last["json"] == json.loads(answered(capsys, "relief", "tiny.toml", *asked, "--json").out)
    assert last["whom"] == last["json"]["for"]["name"]
    best = last["changes"][0]
    assert (best["number"], best["text"], best["verdict"]) == (1, TALLER, "put forward")


def test_what_is_said_of_a_change_is_what_the_command_prints(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, tiny=TEXT)
    made_up_everywhere(monkeypatch, loss=taller_helps)
    last = relieved(fish=None).results[-1]
    words = " ".join(answered(capsys, "relief", "tiny.toml").out.split())
    best = last["changes"][0]
    for text in (best["text"], *best["words"]):
        assert " ".join(text.split()) in words
    assert best["words"][0].startswith("They lose")
    shown = str(last["pieces"])
    assert "--json" in words
    assert "--json" not in shown, "on a page nobody types options"


def test_it_says_what_it_does_and_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up_everywhere(monkeypatch, loss=taller_helps)
    task = relieved(fish=None)
    assert task.told[0] == "The tank as it is, and the same fish when nobody attacks (32 simulated tanks)."
    assert task.told[-2].startswith("Confirming on fresh trials")
    assert task.told[-1] == WATCHING
    assert all(done <= asked for done, asked in task.counts)
    done, asked = task.counts[-1]
    assert done == asked > 32


def test_a_change_can_be_taken_where_it_can_be_written_down(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up_everywhere(monkeypatch, loss=taller_helps)
    task = relieved(fish=None)
    told = {one["number"]: one for one in task.results[-1]["changes"]}
    assert task.kept["changes"].keys() == told.keys()
    for number, (name, scenario) in task.kept["changes"].items():
        one = told[number]
        assert one["text"] == name
        assert one["can_film"] == (scenario is not None) == (name != CHIEF)
        if one["can_copy"]:
            draft = with_change(task.draft, name, scenario)
            (copy,) = parse(draft.text, name=draft.name).alternatives
            assert (copy.scenario.rock, copy.scenario.tank) == (scenario.rock, scenario.tank)
    (chief,) = [one for one in told.values() if one["text"] == CHIEF]
    assert not chief["can_copy"]
    assert told[1]["can_copy"], "taller rock can be written down"


def test_who_is_harmed_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up_everywhere(monkeypatch, loss=taller_costs_others)
    (taller,) = [one for one in relieved(fish=None).results[-1]["changes"] if one["text"] == TALLER]
    assert taller["verdict"] == "helps, but others are worse off"
    assert any(text.startswith("Worse off: Petrochromis trewavasae") for text in taller["words"])


def test_halted_it_answers_from_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up_everywhere(monkeypatch, loss=chief_matters)
    task = relieved(fish=None, stop_after=80)
    (last,) = task.results
    assert last["json"]["stopped"]
    assert last["json"]["watch"]["places"] is None
    assert WATCHING not in task.told
    assert last["changes"]


def test_halted_before_any_change_was_tried_there_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up_everywhere(monkeypatch)
    with pytest.raises(KeyboardInterrupt):
        relieved(fish=None, stop_after=5)


@pytest.mark.parametrize(
    ("what", "text", "said"),
    [
        ({"fish": 3}, TEXT, "what.fish: found 3; allowed: the name of a fish, or null"),
        ({"fish": "Tropheus duboisi female 9"}, TEXT, "what.fish: found"),
        ({"fish": "Tropheus dubiosi male 1"}, TEXT, "allowed: a fish or a species of this tank"),
        ({"which": 0}, TEXT, 'what: found "which"; allowed: kind, fish'),
        (
            {},
            FEW,
            "run.trials: found 8 simulated tanks; allowed: at least 16",
        ),
    ],
)
def test_what_cannot_be_searched_is_refused(
    monkeypatch: pytest.MonkeyPatch, what: dict[str, Any], text: str, said: str
) -> None:
    made_up_everywhere(monkeypatch)
    with pytest.raises(RefusedError) as refused:
        done_by(find_relief, text, kind="relief", **what)
    assert said in str(refused.value)
