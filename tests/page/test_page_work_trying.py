"""Trying a tank out on a page: the answer of ``rockshy run``, sooner and again and again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, four_fish, work_in
from page_tasks import FakeTask, done_by, two_threads
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.task import Draft
from rockshy.analysis.page.work import simulating
from rockshy.analysis.page.work.simulating import REST, Pace
from rockshy.analysis.page.work.trying import try_out
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND

TINY = four_fish(
    title="Tiny <b>tank</b>",
    question="Well?",
    piece_size=10,
    days=0.2,
    settle=0.1,
    trials=6,
    guesses=3,
    seed=5,
    watch="Eretmodus cyanostictus",
)
FEWER = '[[alternative]]\nname = "one fewer"\nrecount = [{ species = "Tropheus moorii", females = 1 }]\n'


def tried(text: str = TINY, **options: Any) -> FakeTask:
    return done_by(try_out, text, kind="try", **options)


@pytest.fixture(scope="module")
def task() -> FakeTask:
    """The tiny tank, tried to the end."""
    return tried()


def test_the_end_is_what_the_command_prints(
    task: FakeTask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, tiny=TINY)
    assert task.results[-1]["json"] == json.loads(answered(capsys, "run", "tiny.toml", "--json").out)
    words = " ".join(answered(capsys, "run", "tiny.toml").out.split())
    said = [one["text"] for one in task.results[-1]["pieces"] if one["kind"] != "table"]
    assert [text for text in said if " ".join(text.split()) not in words] == []


def test_a_copy_is_tried_as_the_file_with_its_changes_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, fewer=TINY.replace("females = 2", "females = 1"))
    copy = tried(TINY + FEWER, which=1)
    told = json.loads(answered(capsys, "run", "fewer.toml", "--json").out)
    assert copy.results[-1]["json"] == told
    assert list(copy.kept["tables"]) == [1]


def test_numbers_come_with_the_first_tank_and_get_sharper(task: FakeTask) -> None:
    done = [one["json"]["done"] for one in task.results]
    assert done[0] == 1
    assert done == sorted(set(done))
    assert done[-1] == 6
    assert sorted(set(task.counts)) == [(0, 6), *((k, 6) for k in range(1, 7))]
    first = task.results[0]
    assert "1 of the 6 simulated tanks asked for" in str(first["pieces"])
    assert first["fish"][0]["lost"]["low"] is None  # one tank has no interval
    assert first["fish"][0]["lost"]["said"].endswith("%")


def test_the_headline_is_of_the_numbers(task: FakeTask) -> None:
    last = task.results[-1]
    worst, species = last["json"]["fish"][0], last["json"]["species"][0]
    assert last["worst"] == worst["label"] == last["fish"][0]["label"]
    assert worst["label"] in last["headline"][0]
    assert f"{round(100 * worst['lost']['value'])} %" in last["headline"][0]
    count = species["pinned"]["as stocked"]
    assert last["headline"][1].startswith("Eretmodus cyanostictus")
    assert f"{count['hits']} of {count['of']} simulated tanks" in last["headline"][1]


def test_tanks_and_those_worth_a_look(task: FakeTask) -> None:
    last = task.results[-1]
    tanks, telling = {one["trial"]: one for one in last["tanks"]}, last["telling"]
    assert sorted(tanks) == list(range(6))
    hits = last["json"]["species"][0]["pinned"]["as stocked"]["hits"]
    assert sum(one["pinned"] for one in tanks.values()) == hits
    assert tanks[telling["worst"]]["free"] == min(one["free"] for one in tanks.values())
    assert sum(one["free"] < tanks[telling["middle"]]["free"] for one in tanks.values()) <= 3
    assert 0 < hits < 6, "else the next lines test nothing"
    assert tanks[telling["pinned"]]["pinned"]
    assert not tanks[telling["unpinned"]]["pinned"]
    arm = task.kept["tables"][0].arms[AS_STOCKED]
    mild = arm.fish.species.index("Eretmodus cyanostictus")
    assert [tanks[trial]["chases"] for trial in arm.trial] == arm.chases[:, :, mild].sum(axis=1).tolist()


def test_the_set_ups_of_the_first_tank_run_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[tuple[int, tuple[str, ...] | None]] = []
    each = simulating.each_job

    def noted(scenarios: Any, jobs: Any, **options: Any) -> Any:
        handed.extend((job.trial, job.arms) for job in jobs)
        return each(scenarios, jobs, **options)

    monkeypatch.setattr(simulating, "each_job", noted)
    tried(TINY.replace("trials = 6", "trials = 3"))
    assert handed == [(0, (AS_STOCKED,)), (0, (OWN_KIND,)), (0, (LEFT_ALONE,)), (1, None), (2, None)]


def test_halted_it_keeps_what_is_done() -> None:
    task = tried(stop_after=2)
    assert 2 <= task.results[-1]["json"]["done"] < 6
    assert task.kept["tables"][0].done == task.results[-1]["json"]["done"]


def test_halted_before_anything_is_done_there_is_no_answer() -> None:
    with pytest.raises(HaltedError):
        tried(stop_after=0)


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ({"which": 1}, "what.which: found 1; allowed: 0"),
        ({"which": -1}, "what.which: found -1; allowed: 0"),
        ({"which": True}, "allowed: 0"),
        ({"which": "0"}, 'found "0"; allowed: 0'),
        ({"which": None}, "found nothing; allowed: 0"),
        ({"which": 0.0}, "allowed: 0"),
        ({"trials": 3}, 'what: found "trials"; allowed: kind, which'),
    ],
)
def test_what_cannot_be_tried_is_refused(what: dict[str, Any], said: str) -> None:
    with pytest.raises(RefusedError) as refused:
        tried(**what)
    assert said in str(refused.value)


def test_a_copy_that_is_not_there_is_refused() -> None:
    with pytest.raises(RefusedError, match="found 2; allowed: a whole number from 0, .*, to 1"):
        tried(TINY + FEWER, which=2)


def test_working_out_results_leaves_most_of_the_time_to_the_trials() -> None:
    now = [0.0]
    with two_threads() as pool:
        pace = Pace(FakeTask(Draft(TINY, "tiny.toml"), pool), clock=lambda: now[0])
    assert pace.is_due()
    pace.made(lambda: now.append(now.pop() + 2.0))
    now[0] += 2.0 * REST - 0.1
    assert not pace.is_due()
    now[0] += 0.2
    assert pace.is_due()


def test_nothing_is_worked_out_that_nobody_wants(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(FakeTask, "is_due", lambda _: False)
    assert [one["json"]["done"] for one in tried().results] == [6]
    assert Pace(tried()).is_due() is False
