"""``rockshy place`` as it is typed: a real room, cut and gone on with, and lines that will not do."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import rockshy
from command_line import Capsys, Patch, answered, assert_refused, full_folder, work_in
from rockshy.sim.run.trials import each_job

TINY = """
title = "Stonecomb club, two jars"
[[tank]]
name = "Left"
length = 60
front_to_back = 30
height = 30
cell = 10
rock = { cover = 0.2, height = 15, piece_size = 10 }
stock = [
    { species = "Tropheus moorii", males = 2, females = 2 },
    { species = "Eretmodus cyanostictus", males = 1 },
]
[[tank]]
name = "Right"
length = 60
front_to_back = 30
height = 30
cell = 10
rock = { cover = 0.2, height = 15, piece_size = 10 }
[[group]]
name = "the second male"
now = "Left"
fish = "moorii male 2"
[[group]]
name = "the goby"
now = "Left"
fish = "cyanostictus"
[limits]
most_moves = 2
[run]
days = 0.2
settle = 0.1
trials = 32
"""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: Patch) -> Path:
    return work_in(tmp_path, monkeypatch, room=TINY, bad=TINY.replace('"cyanostictus"', '"cyanostictos"'))


def test_a_run_that_was_cut_gives_the_same_plan(here: Path, capsys: Capsys, monkeypatch: Patch) -> None:
    whole = json.loads(answered(capsys, "place", "room.toml", "--json").out)
    left = [150]

    def cut(*args: Any, **more: Any) -> Iterator[Any]:
        for one in each_job(*args, **more):
            if left[0] == 0:
                raise KeyboardInterrupt
            left[0] -= 1
            yield one

    monkeypatch.setattr("rockshy.analysis.study.runner.each_job", cut)
    assert not rockshy.place("room.toml", folder="kept").is_whole
    left[0] = -1
    again = answered(capsys, "place", "room.toml", "--json", "--out", "kept")
    assert "holds 150 finished simulated tanks" in again.err
    told = json.loads(again.out)
    assert told["plans"] == whole["plans"]
    assert {name: told[name] for name in told if name != "simulated_tanks"} == {
        name: whole[name] for name in whole if name != "simulated_tanks"
    }
    assert {one.name for one in Path("kept").iterdir()} >= {"place.json", "place.csv", "place.png"}
    result = rockshy.place("room.toml", folder="kept")
    assert result.is_whole and len(result.to_frame()) > 0
    assert json.loads(result.to_json())["plans"] == whole["plans"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("bad.toml", "Did you mean cyanostictus"),
        ("rom.toml", '"rom.toml" does not exist'),
        ("room.toml --take gobby", "Did you mean the goby?"),
        ("room.toml --moves -1", "a whole number from 0 to 60"),
        ("room.toml --trials 16", "use at least 32"),
        ("room.toml --out full", "holds other files"),
        ("room.toml --picture room.jpg", ".png"),
    ],
)
def test_a_line_that_will_not_do_gets_one_message_and_leaves_nothing(
    line: str, said: str, here: Path, capsys: Capsys
) -> None:
    full_folder(here)
    assert_refused(capsys, "place", *line.split(), said=said)


def test_a_tank_is_no_room_and_a_room_no_tank(here: Path, capsys: Capsys) -> None:
    (here / "tank.toml").write_text('[tank]\nlength = 60\n[[stock]]\nspecies = "moorii"\n', encoding="utf-8")
    with_several = "use one [tank]; a room of several tanks is read by rockshy place alone"
    assert_refused(capsys, "check", "room.toml", said=with_several)
    assert_refused(capsys, "place", "tank.toml", said="line 1, tank: it is one tank; use [[tank]] and")
