"""How much rock, on a page: the answer of ``rockshy rock``, filled in point by point."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, work_in
from fake_relief import TEXT, nothing_helps
from fake_work import made_up_everywhere
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.work.sweeping import sweep_rock
from rockshy.analysis.questions.rock import grid
from rockshy.sim.scenario.scenario import Scenario

MILD = "Tropheus duboisi"
WATCHED = TEXT.replace("trials = 32", f'trials = 32\nwatch = "{MILD}"')
COPY = '[[alternative]]\nname = "higher"\nrock = { height = 30 }\n'


def rock_helps(scenario: Scenario, fish: Any, trial: int) -> float:
    """Mild fish are pinned (they lose more than 0.7) unless 30 % of the floor is under rock."""
    return (
        0.9
        if fish.species == MILD and scenario.rock.cover < 0.3
        else nothing_helps(scenario, fish, trial) / 2
    )


@pytest.fixture(autouse=True)
def three_covers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three amounts beside the keeper's own 30 %, of tanks that are made up."""
    monkeypatch.setitem(grid.COVERS, 1, (0.0, 0.2, 0.5))
    made_up_everywhere(monkeypatch, loss=rock_helps)


def swept(text: str = WATCHED, **options: Any) -> FakeTask:
    return done_by(sweep_rock, text, kind="rock", **options)


@pytest.mark.parametrize(
    ("asked", "options"),
    [
        ({}, []),
        ({"vary": ["cover"], "level": 0.2}, ["--cover", "--level", "0.2"]),
        ({"vary": ["height"]}, ["--height"]),
    ],
)
def test_the_end_is_what_the_command_prints(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    asked: dict[str, Any],
    options: list[str],
) -> None:
    work_in(tmp_path, monkeypatch, tiny=WATCHED)
    last = swept(**asked).results[-1]
    assert last["final"]
    told = json.loads(answered(capsys, "rock", "tiny.toml", *options, "--json").out)
    assert last["json"] == told
    words = " ".join(answered(capsys, "rock", "tiny.toml", *options).out.split())
    assert last["verdict"]
    assert [text for text in last["verdict"] if " ".join(text.split()) not in words] == []


def test_points_are_the_amounts_and_what_to_do_for_each() -> None:
    task = swept()
    last = task.results[-1]
    assert last["axis"] == "share of the floor under rock"
    points = last["points"]
    assert [one["amount"] for one in points] == [0.0, 0.2, 0.3, 0.5]
    assert [one["text"] for one in points][:2] == ["no rock", "20 % of the floor"]
    assert [one["own"] for one in points] == [False, False, True, False]
    for one, told in zip(points, last["json"]["amounts"], strict=True):
        assert (one["hits"], one["tanks"]) == (told["pinned"]["hits"], told["pinned"]["of"])
        assert one["share"] == one["hits"] / one["tanks"]
        assert (one["low"], one["high"]) == (told["pinned"]["low"], told["pinned"]["high"])
        assert one["free"] == told["free"]["value"]
    assert [one["share"] for one in points] == [1.0, 1.0, 0.0, 0.0]
    assert points[0]["changes"] == [{"do": "bare"}]
    assert points[3]["changes"] == [{"do": "cover", "cover": 0.5, "height": 20.0, "piles": 1}]
    name, scenario = task.kept["changes"][3]
    assert (name, scenario.rock.cover, scenario.run) == ("50 % of the floor", 0.5, task.scenario.run)


def test_it_fills_in_point_by_point() -> None:
    results = swept().results
    tanks = [[one["tanks"] for one in told["points"]] for told in results]
    assert tanks[0] == [1, 0, 0, 0]
    assert results[0]["points"][1]["share"] is None
    assert [one["final"] for one in results] == [*[False] * (len(results) - 1), True]
    assert tanks[-1] == [36, 36, 36, 36]


def test_a_tank_of_the_sweep_is_the_tank_of_the_film() -> None:
    task = swept()
    run = task.kept["run"]
    assert (run.trials, run.seed) == (36, 7)
    assert run.guesses >= 36, "each simulated tank has a guess of its own"
    trials = [one["trial"] for one in task.results[-1]["points"]]
    assert all(0 <= trial < run.trials for trial in trials)
    assert task.kept["telling"] == {0: {"middle": trials[2]}}


def test_a_copy_is_swept_with_what_it_changes() -> None:
    last = swept(WATCHED + COPY, which=1).results[-1]
    assert last["points"][3]["changes"][0]["height"] == 30.0


def test_halted_it_answers_from_what_is_done() -> None:
    task = swept(stop_after=50)
    last = task.results[-1]
    assert last["json"]["stopped"]
    assert not last["final"]
    assert 50 <= sum(one["tanks"] for one in last["points"]) < 144


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (
            {"vary": "cover"},
            'found "cover"; allowed: a list of one or two of cover, height, piles',
        ),
        ({"vary": []}, "allowed: a list of one or two"),
        ({"vary": ["cover", "cover"]}, "allowed: a list of one or two"),
        ({"vary": ["cover", "height", "piles"]}, "allowed: a list of one or two"),
        ({"vary": [["cover"]]}, "allowed: a list of one or two"),
        ({"level": 0.95}, "what.level: found 0.95; allowed: a share from 0.01 to 0.9"),
        ({"level": True}, "allowed: a share from 0.01 to 0.9"),
        ({"level": "0.1"}, "allowed: a share from 0.01 to 0.9"),
        ({"species": "x"}, 'what: found "species"; allowed: kind, which, vary, level'),
    ],
)
def test_what_cannot_be_swept_is_refused(what: dict[str, Any], said: str) -> None:
    with pytest.raises(RefusedError) as refused:
        swept(**what)
    assert said in str(refused.value)


def test_rock_that_cannot_be_varied_is_refused_in_words() -> None:
    sketched = WATCHED.replace("cover = 0.3\nheight = 20\npiles = 1", 'sketch = ["0022", "0011"]')
    with pytest.raises(RefusedError, match="found a sketch, which says where each stone stands"):
        swept(sketched)
    bare = WATCHED.replace("cover = 0.3\nheight = 20\npiles = 1", "cover = 0")
    with pytest.raises(RefusedError, match="^height: found a tank without rock"):
        swept(bare, vary=["height"])
