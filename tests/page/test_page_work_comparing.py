"""Base and copies side by side on a page: the answer of ``rockshy compare``, sooner and again and again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from command_line import answered, four_fish, work_in
from page_tasks import FakeTask, done_by
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.page.work.comparing import compare_copies
from rockshy.sim.run.model import HaltedError

BASE = four_fish(
    title="Tiny tank",
    question="Fewer, or more rock?",
    piece_size=10,
    days=0.2,
    settle=0.1,
    trials=4,
    guesses=2,
    seed=5,
    watch="Eretmodus cyanostictus",
)
FEWER = (
    '[[alternative]]\nname = "one <i>fewer</i>"\nrecount = [{ species = "Tropheus moorii", females = 1 }]\n'
)
ROCK = '[[alternative]]\nname = "more rock"\nrock = { cover = 0.4 }\n'
WALLED = (
    '[[alternative]]\nname = "walled up"\n'
    'rock = { sketch_step = 3.75, sketch = ["8888888888", "8088088088", "8888888888", "8088088088", '
    '"8888888888"] }\n'
)


def compared(text: str = BASE + FEWER + ROCK, **options: Any) -> FakeTask:
    return done_by(compare_copies, text, kind="compare", **options)


@pytest.fixture(scope="module")
def task() -> FakeTask:
    """Both copies beside the base, to the end."""
    return compared()


def test_the_end_is_what_the_command_prints(
    task: FakeTask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work_in(tmp_path, monkeypatch, tiny=BASE + FEWER + ROCK)
    last = task.results[-1]
    assert last["json"] == json.loads(answered(capsys, "compare", "tiny.toml", "--json").out)
    words = " ".join(answered(capsys, "compare", "tiny.toml").out.split())
    for one in last["against"]:
        assert f"In a sentence: {one['sentence']}" in words
        for figure in (one for one in one["figures"] if one["role"] in ("worst", "mild")):
            assert f"{figure['before']} {figure['after']} {figure['difference']}" in words


def test_every_copy_is_told_of_with_what_it_changes(task: FakeTask) -> None:
    fewer, rock = task.results[-1]["against"]
    assert (fewer["name"], rock["name"]) == ("one <i>fewer</i>", "more rock")
    assert fewer["changes"] == ["Tropheus moorii: 1 female in the place of 2"]
    told = {(one["role"], one["goal"]) for one in fewer["figures"]}
    goals = ("lost", "received", "hidden", "pinned")
    assert told == {(role, goal) for role in ("worst", "mild", "others") for goal in goals}


def test_differences_appear_early_and_on_the_same_trials(task: FakeTask) -> None:
    trials = [one["json"]["trials"] for one in task.results]
    assert trials[0] == [1, 1, 1]
    assert all(len(set(one)) == 1 for one in trials)
    assert trials == sorted(trials)
    assert trials[-1] == [4, 4, 4]
    assert task.counts[-1] == (12, 12)
    assert [table.done for table in task.kept["tables"].values()] == [4, 4, 4]
    assert task.kept["telling"][0] == task.results[-1]["telling"]


def test_halted_it_keeps_what_can_be_compared() -> None:
    task = compared(stop_after=7)
    first, *others = task.results[-1]["json"]["trials"]
    assert 1 <= first < 4
    assert set(others) == {first}


def test_halted_before_any_trial_of_all_there_is_no_answer() -> None:
    with pytest.raises(HaltedError):
        compared(stop_after=1)


@pytest.mark.parametrize(
    ("text", "what", "said"),
    [
        (BASE, {}, "found no copy of the tank to compare with; allowed: one or more"),
        (BASE + ROCK, {"which": 1}, 'what: found "which"; allowed: kind'),
        (BASE + ROCK + WALLED, {}, 'tiny.toml: alternative "walled up", line 30, rock: '),
    ],
)
def test_what_cannot_be_compared_is_refused(text: str, what: dict[str, Any], said: str) -> None:
    with pytest.raises(RefusedError) as refused:
        compared(text, **what)
    assert said in str(refused.value)
