"""Each question from Python: what it returns is what the command prints, and it goes on from what is kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import rockshy
from command_line import answered, forbid_running, four_fish, work_in
from csv_files import assert_told
from rockshy.analysis.study.dictionary import RUN_COLUMNS
from rockshy.analysis.study.layout import WORK

TANK = (
    four_fish(title="Tiny tank", piece_size=10, days=0.2, settle=0.1, trials=4, guesses=2, seed=5)
    + '\n[[alternative]]\nname = "less rock"\nrock = { cover = "10 %" }\n'
)
MOORII = "Tropheus moorii"
QUESTIONS: dict[str, dict[str, Any]] = {
    "run": {"trials": 2},
    "compare": {"trials": 2, "goal": "hidden", "fish": f"{MOORII} females"},
    "relief": {"trials": 16, "fish": f"{MOORII} male 1"},
    "rock": {"trials": 1, "species": "moorii"},
    "why": {"trials": 16, "fish": f"{MOORII} female 1"},
    "guesses": {"trials": 192, "fish": MOORII},
}
OPTIONS = {"fish": "--for", "species": "--for", "goal": "--goal", "trials": "--trials"}


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    work_in(tmp_path, monkeypatch, tiny=TANK)
    return "tiny.toml"


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_call_answers_as_its_command_and_shares_its_folder(
    name: str, tiny: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    how, counts = QUESTIONS[name], []
    result = getattr(rockshy, name)(
        tiny, folder="kept", progress=lambda done, asked: counts.append((done, asked)), **how
    )
    assert result.question == name and result.is_whole
    assert counts[-1][0] == counts[-1][1]
    assert (Path("kept") / WORK).is_file()

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", None)  # whoever calls it fails
    again = getattr(rockshy, name)(rockshy.load(tiny), folder="kept", **how)
    assert str(again) == str(result)
    pd.testing.assert_frame_equal(again.to_frame(), result.to_frame())
    line = [text for key, value in how.items() for text in (OPTIONS[key], str(value))]
    told = json.loads(answered(capsys, name, tiny, *line, "--out", "kept", "--json").out)
    mine = json.loads(result.to_json())
    assert {key for key in told if told[key] != mine[key]} == {"options"}
    assert_told(Path("kept"), *(RUN_COLUMNS if name == "run" else [f"{name}.csv"]))


@pytest.mark.parametrize("name", ["run", "compare"])
def test_a_result_shows_itself(name: str, tiny: str) -> None:
    result = getattr(rockshy, name)(tiny, **QUESTIONS[name])
    assert 3 <= len(repr(result).splitlines()) <= 5 and "Tiny tank" in repr(result)
    assert all(len(line) <= 110 for line in repr(result).splitlines())
    html = result._repr_html_()
    assert "<table" in html and "Tiny tank" in html
    frame = result.to_frame()
    known = set(frame.measure) if name == "run" else set(frame.columns)
    assert set(frame.attrs["units"]) == set(frame.attrs["meanings"]) == known


def test_hours_and_days_of_a_run_are_there_for_the_asking(tiny: str) -> None:
    frame = rockshy.run(tiny, trials=1).to_frame(hours=True, days=True)
    assert set(frame.window) == {"whole", "hour 1", "day 1"}


@pytest.mark.parametrize("name", ["run", "compare"])
def test_rules_of_ones_own_are_run(name: str, tiny: str, monkeypatch: pytest.MonkeyPatch) -> None:
    rules = rockshy.Rules().with_rule(attack_rate=peace)

    def seen(scenario: rockshy.Scenario, *_: object, **__: object) -> None:
        raise RuntimeError(f"own rules: {scenario.rules == rules}")

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", seen)
    with pytest.raises(RuntimeError, match="own rules: True"):
        getattr(rockshy, name)(tiny, trials=1, rules=rules)


def peace(fish: int, shoal: rockshy.Shoal, p: rockshy.Parameters) -> float:
    return 0.0


@pytest.mark.parametrize(
    ("name", "how", "said"),
    [
        ("run", {"trials": 0}, "trials: found 0; allowed: a whole number from 1"),
        ("run", {"trials": 2.5}, "trials: found 2.5; allowed: a whole number from 1"),
        ("rock", {"trials": 0}, "trials: found 0; allowed"),
        ("compare", {"goal": "peace"}, 'goal: found "peace"; allowed: lost, received'),
        ("compare", {"fish": "moorii femal 1"}, "nearest: moorii"),
        ("relief", {"trials": 16, "fish": "moorii female 9"}, "allowed: a fish of Tropheus moorii"),
        ("relief", {"trials": 4}, "found 4 simulated tanks; allowed: at least 16"),
        ("why", {"trials": 2}, "found 2 simulated tanks; allowed: at least 16"),
        ("guesses", {"trials": 16}, "found 16 simulated tanks; allowed: at least"),
        ("guesses", {"days": 0.05}, "days: found 0.05; allowed: at least"),
        ("rock", {"vary": ["depth"]}, "vary: found depth; allowed: one or two of"),
        ("rock", {"vary": []}, "vary: found nothing"),
        ("rock", {"level": 0}, "level: found 0; allowed: 0.01 to 0.9"),
        ("rock", {"species": "Tropheus duboisi"}, "allowed: a species of this tank: Tropheus moorii"),
    ],
)
def test_what_cannot_be_asked_is_refused_before_anything_runs(
    name: str, how: dict[str, Any], said: str, tiny: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    forbid_running(monkeypatch)
    with pytest.raises(ValueError, match=said):
        getattr(rockshy, name)(tiny, folder="kept", **how)
    assert not Path("kept").exists()


def test_a_folder_of_something_else_is_refused(tiny: str) -> None:
    Path("full").mkdir()
    (Path("full") / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(rockshy.StoreError, match="holds other files"):
        rockshy.run(tiny, folder="full", trials=1)
    with pytest.raises(ValueError, match="found no alternative"):
        rockshy.compare("mild-alone", trials=1)


def test_ctrl_c_returns_what_was_done(tiny: str) -> None:
    def stop(done: int, _: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    result = rockshy.run(tiny, trials=4, progress=stop)
    assert not result.is_whole and result.answer.done == 2
    assert "stopped early" in repr(result)
