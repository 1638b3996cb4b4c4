"""Long runs go on where they were: nothing is run twice, the answer is that of an unbroken run."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Executor
from pathlib import Path

import numpy as np
import pytest
from command_line import (
    Capsys,
    Patch,
    answered,
    assert_refused,
    contents,
    forbid_running,
    four_fish,
    stay_after_ctrl_c,
    work_in,
)
from fake_jobs import AtOnce, assert_same, fill, made_up, opened, scenario, simulated_as
from rockshy.analysis.study import store
from rockshy.analysis.study.kept import Kept
from rockshy.analysis.study.layout import TABLES, WORK, StoreError
from rockshy.analysis.study.runner import each_kept_job, kept_trials
from rockshy.sim.run.trials import Job, table_of

Run = list[int]


@pytest.fixture
def ran(monkeypatch: Patch) -> Run:
    """Numbers of the trials that were run; the simulator is a made-up one."""
    return simulated_as(monkeypatch)


# ---- running the rest


def _all(trials: int) -> list[Job]:
    return [Job(0, trial) for trial in range(trials)]


@pytest.mark.parametrize("executor", [None, AtOnce()])
def test_only_what_is_missing_is_run(executor: Executor | None, tmp_path: Path, ran: Run) -> None:
    asked = scenario()
    with opened(tmp_path) as kept:
        for trial in (0, 1, 4):
            kept.add(Job(0, trial), made_up(asked, trial))
        found = list(each_kept_job([asked], _all(6), kept=kept, executor=executor))
        for job, outcomes in found:
            assert_same(outcomes, made_up(asked, job.trial))
    assert sorted(ran) == [2, 3, 5]
    assert [job.trial for job, _ in found[:2]] == [0, 1]
    assert sorted(job.trial for job, _ in found) == list(range(6))


def test_without_a_folder_everything_is_run(ran: Run, tmp_path: Path) -> None:
    assert len(list(each_kept_job([scenario()], _all(6), executor=AtOnce()))) == 6
    assert sorted(ran) == list(range(6))
    assert not list(tmp_path.iterdir())


def test_a_job_is_on_disk_before_it_is_handed_on(tmp_path: Path, ran: Run) -> None:
    with opened(tmp_path) as kept:
        for job, _ in each_kept_job([scenario()], _all(6), kept=kept):
            assert job in kept


def test_jobs_are_asked_for_as_they_are_needed(tmp_path: Path, ran: Run) -> None:
    """What is on disk is handed on before the next job is asked for; a job of a wrong scenario is refused."""
    asked, seen = scenario(), []

    def jobs() -> Iterator[Job]:
        for trial in range(4):
            assert seen == list(range(trial))
            yield Job(0, trial)

    fill(tmp_path, trials=4)
    with opened(tmp_path) as kept:
        for job, _ in each_kept_job([asked], jobs(), kept=kept):
            seen.append(job.trial)
        assert seen == [0, 1, 2, 3]
        assert not ran
    with opened(tmp_path) as kept, pytest.raises(StoreError, match="another scenario 0"):
        list(each_kept_job([scenario(seed=3)], _all(1), kept=kept))


def test_the_table_is_that_of_an_unbroken_run(tmp_path: Path, ran: Run) -> None:
    asked = scenario()
    whole = table_of(asked, [made_up(asked, trial) for trial in range(6)])
    with opened(tmp_path) as kept:
        for trial in (5, 2):
            kept.add(Job(0, trial), made_up(asked, trial))
        told: list[tuple[int, int]] = []
        trials = kept_trials(asked, kept=kept, progress=lambda done, of: told.append((done, of)))
    assert len(told) == len(ran) == 4
    assert {of for _, of in told} == {6}
    assert (trials.done, trials.asked, trials.recipe) == (6, 6, whole.recipe)
    for name, arm in whole.arms.items():
        np.testing.assert_equal(vars(trials.arms[name]) | {"fish": None}, vars(arm) | {"fish": None})
        assert trials.arms[name].fish.label == arm.fish.label


def test_more_trials_go_on_from_fewer_and_fewer_take_of_more(tmp_path: Path, ran: Run) -> None:
    for asked, new in ((3, [0, 1, 2]), (6, [3, 4, 5]), (4, []), (6, [])):
        ran.clear()
        with opened(tmp_path, scenario(trials=asked)) as kept:
            trials = kept_trials(scenario(trials=asked), kept=kept, executor=AtOnce())
        assert (sorted(ran), trials.done) == (new, asked)


def test_a_stop_keeps_what_is_done_and_before_anything_is_done_is_passed_on(tmp_path: Path, ran: Run) -> None:
    def stop(done: int, _: int) -> None:
        if done == 3:
            raise KeyboardInterrupt

    with opened(tmp_path) as kept:
        assert kept_trials(scenario(), kept=kept, executor=AtOnce(), progress=stop).done == 3
        assert len(kept) >= 3

    class Stops(Executor):
        def submit(self, fn, /, *args, **kwargs):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        kept_trials(scenario(), executor=Stops())


def test_a_full_disk_loses_nothing(tmp_path: Path, ran: Run) -> None:
    asked = scenario(trials=60)
    with opened(tmp_path, asked) as kept:
        pages = kept._ask("PRAGMA page_count")[0][0]
        kept._ask(f"PRAGMA max_page_count = {pages + 6}")
        done = []
        with pytest.raises(StoreError, match="the disk is full; what is finished is kept"):
            for job, _ in each_kept_job([asked], _all(60), kept=kept, executor=AtOnce()):
                done.append(job)
        assert 1 <= len(done) < 60
    with opened(tmp_path, asked) as kept:
        assert len(kept) == len(done)
        ran.clear()
        trials = kept_trials(asked, kept=kept, executor=AtOnce())
    assert len(ran) == 60 - len(done)
    assert trials.done == 60


# ---- killed at any moment


SMALL = four_fish(title="Small tank", days=0.2, trials=8)


def killed(what: str, folder: Path, *, kills: int) -> list[list[str]]:
    """What happened in each attempt at a run that was killed that often and then left to end."""
    script = Path(__file__).parents[1] / "killed_run.py"
    env = os.environ | {"PYTHONPATH": str(script.parent)}
    done = subprocess.run(
        [sys.executable, str(script), what, str(folder), str(kills)],
        capture_output=True,
        text=True,
        check=False,
        env=env,
    )
    assert done.returncode == 0, done.stderr
    attempts = (folder / "log").read_text().split("begin\n")[1:]
    assert not any("failed" in attempt for attempt in attempts)
    assert len(attempts) == kills + 1
    assert "killed" not in attempts[-1]
    return [attempt.splitlines() for attempt in attempts]


def numbers(attempt: list[str], what: str) -> list[int]:
    return [int(line.split()[1]) for line in attempt if line.startswith(f"{what} ")]


@pytest.mark.skipif(os.name != "posix", reason="kills processes as posix does")
def test_a_run_killed_12_times_is_that_of_an_unbroken_one(tmp_path: Path) -> None:
    attempts = killed("jobs", tmp_path, kills=12)
    assert sum("killed" in attempt for attempt in attempts) == 12
    told: set[int] = set()
    for attempt in attempts:
        there = numbers(attempt, "there")
        assert "listed" not in attempt or told <= set(there), "what was handed on had not been on disk"
        assert not set(there) & set(numbers(attempt, "ran")), "a finished trial was run again"
        assert len(set(numbers(attempt, "ran"))) == len(numbers(attempt, "ran"))
        told |= set(numbers(attempt, "told"))
    assert sorted(numbers(attempts[-1], "told")) == sorted(told)
    asked = scenario(trials=len(told))
    assert len(told) == 150
    assert sum(bool(numbers(attempt, "there")) and bool(numbers(attempt, "ran")) for attempt in attempts) >= 5
    with opened(tmp_path, asked) as kept:
        for trial in range(150):
            assert_same(kept.find(Job(0, trial)), made_up(asked, trial))
    assert [one.name for one in (tmp_path / "out").iterdir()] == [WORK]


def rows(folder: Path) -> list[tuple[object, ...]]:
    db = sqlite3.connect(folder / WORK)
    found = db.execute("SELECT which, trial, arms, sum, outcomes FROM done ORDER BY which, trial").fetchall()
    db.close()
    return found


@pytest.mark.skipif(os.name != "posix", reason="kills processes as posix does")
def test_a_command_killed_6_times_writes_the_files_of_an_unbroken_one(
    tmp_path: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    work_in(tmp_path, monkeypatch, small=SMALL)
    attempts = killed("command", tmp_path, kills=6)
    for word in ("ran", "keeping", "writing"):
        assert any("killed" in one and any(line.startswith(word) for line in one) for one in attempts), word
    answered(capsys, "run", "small.toml", "--out", "whole")
    whole, result = tmp_path / "whole", tmp_path / "result"
    assert sorted(one.name for one in result.iterdir()) == sorted(one.name for one in whole.iterdir())
    for name in (*TABLES, "recipe.json"):
        assert (result / name).read_bytes() == (whole / name).read_bytes(), name
    assert rows(result) == rows(whole)
    one, two = store.read_paths(result), store.read_paths(whole)
    assert one is not None
    np.testing.assert_equal(one, two)


# ---- the command


@pytest.fixture
def here(tmp_path: Path, monkeypatch: Patch) -> Path:
    return work_in(tmp_path, monkeypatch, small=FEWER)


FEWER = SMALL.replace("trials = 8", "trials = 3")
LINE = ("run", "small.toml", "--out", "result")


def test_a_finished_result_answers_without_running_again(
    here: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    first, _ = answered(capsys, *LINE)
    before = contents(here / "result")
    forbid_running(monkeypatch)
    again, said = answered(capsys, *LINE)
    assert again == first
    assert "as it was" in said
    assert contents(here / "result") == before
    work_in(here, monkeypatch, small="# a comment\n" + FEWER)
    assert answered(capsys, *LINE).out == first
    assert json.loads((here / "result" / "recipe.json").read_text("utf-8"))["recipe"]["scenario"][0] == "#"


@pytest.mark.parametrize("name", ["hours.csv", "recipe.json", "paths.npz"])
def test_a_damaged_file_of_a_finished_result_is_named_and_made_again(
    name: str, here: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    answered(capsys, *LINE)
    before = contents(here / "result")
    arrays = store.read_paths(here / "result")
    (here / "result" / name).write_bytes(before[name][:200])
    if name != "paths.npz":
        forbid_running(monkeypatch)
    _, said = answered(capsys, *LINE)
    assert name == "recipe.json" or f"{Path('result') / name}" in said
    after = contents(here / "result")
    assert {key: after[key] for key in (*TABLES, "recipe.json", WORK)} == {
        key: before[key] for key in (*TABLES, "recipe.json", WORK)
    }
    np.testing.assert_equal(store.read_paths(here / "result"), arrays)


def test_another_seed_in_the_same_folder_is_refused_and_touches_nothing(
    here: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    answered(capsys, *LINE)
    before = contents(here / "result")
    forbid_running(monkeypatch)
    assert_refused(capsys, *LINE, "--seed", "9", said="run.seed is 1 there and 9 here")
    with Kept(here / "result", recipe=_recipe_there(here / "result")):
        told = answered(capsys, *LINE, ends=2)
    assert "another rockshy is working in this folder" in told.err
    assert contents(here / "result") == before
    (here / "result" / WORK).write_bytes(before[WORK][:5000])
    assert_refused(capsys, *LINE, said=f"{Path('result') / WORK} is damaged")
    assert contents(here / "result") == before | {WORK: before[WORK][:5000]}


def _recipe_there(folder: Path) -> dict[str, object]:
    db = sqlite3.connect(folder / WORK)
    (text,) = db.execute("SELECT value FROM told WHERE name = 'recipe'").fetchone()
    db.close()
    found: dict[str, object] = json.loads(text)
    return found


def test_without_out_nothing_is_written(here: Path, capsys: Capsys) -> None:
    answered(capsys, *LINE[:2])
    assert [one.name for one in here.iterdir()] == ["small.toml"]


def test_a_scenario_that_cannot_run_leaves_no_folder(here: Path, capsys: Capsys) -> None:
    full = (
        SMALL.replace("cover = 0.2", "cover = 0.8")
        .replace("60", "30")
        .replace("= 30\nheight = 30", "= 15\nheight = 15")
    )
    (here / "small.toml").write_text(full, encoding="utf-8")
    assert_refused(capsys, *LINE, said="less or lower rock")
    assert not (here / "result").exists()


def test_stored_movements_are_those_of_the_trials_in_the_tables(here: Path, capsys: Capsys) -> None:
    out, _ = answered(capsys, *LINE, "--full")
    trials, paths = store.read(here / "result"), store.read_paths(here / "result")
    assert paths is not None
    arm = trials.arms["as stocked"]
    for trial in paths["trials"]:
        assert f"--trial {trial + 1}" in out
        one = {name.removeprefix(f"trial_{trial}_"): paths[name] for name in paths}
        row = arm.trial.tolist().index(trial)
        assert tuple(one["fish"]) == arm.fish.label
        np.testing.assert_array_equal(one["length_cm"], arm.length_cm[row])
        kinds = paths["event_kinds"].tolist()
        events = one["events"][one["events"][:, 0] >= one["measured_from"]]
        for kind, counted in (("chase", arm.chases), ("bite", arm.bites)):
            found = np.zeros_like(counted[row])
            mine = events[events[:, 1] == kinds.index(kind)]
            np.add.at(found, (mine[:, 2], mine[:, 3]), 1)
            np.testing.assert_array_equal(found, counted[row], err_msg=kind)
        assert one["moves"].dtype == np.int32
        assert one["moves"][:, 3].max() < len(one["cells"])
        assert -one["moves"][:, 3].min() - 1 < len(one["refuge_cell"])
        assert (one["cells"].max(axis=0) < one["shape"]).all()


def test_ctrl_c_while_movements_are_kept_writes_the_tables(
    here: Path, monkeypatch: Patch, capsys: Capsys
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("rockshy.analysis.study.paths.paths_of", stop)
        left = stay_after_ctrl_c(patch)
        out, said = answered(capsys, *LINE, ends=130)
    assert left == [130]
    assert "type the same command to do so" in said
    assert store.read(here / "result").done == 3
    assert store.read_paths(here / "result") is None
    assert answered(capsys, *LINE).out == out
    assert store.read_paths(here / "result") is not None
