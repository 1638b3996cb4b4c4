"""Files that reach over weeks are lived through by ``run`` as well; shorter ones are run as ever."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
import rockshy
from command_line import Capsys, Patch, answered, assert_refused, four_fish, work_in
from rockshy import scenarios
from rockshy.analysis.questions.life.reach import FULL_DAYS, end_of, months_in
from rockshy.sim.scenario.reading import parse

DATED = '[[event]]\nday = {day}\nout = "{fish}"\n'
TINY = four_fish(title="Tiny", days=2, lit_hours=1, trials=4, seed=5)
FISH = parse(TINY, name="tiny.toml").stock[0].species + " male 1"


def test_a_file_of_no_more_than_four_weeks_is_run_second_by_second() -> None:
    short = parse(TINY, name="tiny.toml")
    assert months_in(short) is None
    for days, months in ((FULL_DAYS, None), (FULL_DAYS + 0.5, 1), (60.0, 2)):
        assert months_in(replace(short, run=replace(short.run, days=days))) == months
    for day, months in ((26, None), (27, 1), (60, 3)):
        dated = parse(TINY + DATED.format(day=day, fish=FISH), name="tiny.toml")
        assert (end_of(dated), months_in(dated)) == (day + 2, months)


@pytest.mark.parametrize("name", ["mild-first", "mild-with-hot", "which-change", "young-together"])
def test_ready_scenarios_of_days_stay_as_they_were(name: str) -> None:
    assert months_in(scenarios.load(name)) is None


def test_run_lives_through_a_file_that_reaches_over_weeks(
    tmp_path: Path, capsys: Capsys, monkeypatch: Patch
) -> None:
    work_in(tmp_path, monkeypatch, long=TINY + DATED.format(day=40, fish=FISH))
    lived = answered(capsys, "life", "long.toml", "--months", "2", "--json", "--out", "result")
    run = answered(capsys, "run", "long.toml", "--json", "--out", "result")
    assert "long.toml reaches day 42, so it is lived through in blocks of days" in run.err
    assert "holds 8 finished simulated tanks" in run.err and json.loads(run.out) == json.loads(lived.out)
    assert_refused(capsys, "run", "long.toml", "--until", "0.1", said="goes with days second by second")
    assert_refused(capsys, "run", "long.toml", "--trials", "3", said="--trials: 3 simulated tanks")
    python = rockshy.run(rockshy.load(Path("long.toml")))
    assert json.loads(python.to_json())["months"] == json.loads(lived.out)["months"]
    assert "run lives through them in blocks of days" in answered(capsys, "check", "long.toml").out


def test_whole_lives_are_held_against_each_other_with_other_fish_of_the_species(
    tmp_path: Path, capsys: Capsys, monkeypatch: Patch
) -> None:
    species = FISH.removesuffix(" male 1")
    other = (
        f'[[alternative]]\nname = "unsexed"\nrecount = [{{species = "{species}", males = 0, females = 0}}]\n'
        f'add = [{{species = "{species}", unsexed = 2}}]\n[[alternative]]\nname = "male out"\n'
        f'event = [{{day = 20, out = "{FISH}"}}]\n'
    )
    work_in(tmp_path, monkeypatch, tiny=TINY + other)
    line = ("compare", "tiny.toml", "--months", "1", "--out", "result")
    first = answered(capsys, *line, "--full")
    assert "over 1 month" in first.out and "Each lives through 1 month in blocks of days" in first.out
    told = json.loads(answered(capsys, *line, "--json").out)
    assert told["months"] == 1 and {one["name"] for one in told["against"]} == {"unsexed", "male out"}
    if told["species"] == species:
        assert told["whose"] == species
    again = rockshy.compare(rockshy.load(Path("tiny.toml")), months=1)
    assert [one.value for one in again.answer.levels] == [one["value"] for one in told["levels"]]
    assert_refused(capsys, *line[:3], "2", *line[4:], said="option months is 1 there and 2 here")
    assert_refused(capsys, *line[:4], "--days", "3", said="--days is 3; use --months")
    assert_refused(capsys, *line[:4], "--swap", species, said="--months and --swap do not go together")


def test_what_helps_is_asked_of_whole_lives(tmp_path: Path, capsys: Capsys, monkeypatch: Patch) -> None:
    work_in(tmp_path, monkeypatch, tiny=TINY.replace("trials = 4", "trials = 16"))
    told = answered(capsys, "relief", "tiny.toml", "--months", "1", "--full").out
    assert told.splitlines()[0].endswith(" over 1 month?")
    assert "Each tank lives through 1 month in blocks of days" in " ".join(told.split())
