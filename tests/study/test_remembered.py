"""Trials kept by what they are of: found again bit for bit, never wrong, and never in the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_jobs import made_up, scenario
from rockshy.analysis.study.remembered import FILE, Remembered, digest_of, each_remembered
from rockshy.analysis.study.runner import Done
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.scenario import Scenario


class Runs:
    """Made-up outcomes in place of the simulator, and which jobs were run."""

    def __init__(self) -> None:
        self.jobs: list[Job] = []

    def __call__(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        for job in jobs:
            self.jobs.append(job)
            yield job, made_up(scenarios[job.which], job.trial)


def run(asked: Scenario, folder: Path, *, trials: int = 4, **options: object) -> tuple[list[Done], int]:
    """Some trials on a store that is opened anew, and how many of them were simulated."""
    runs, store = Runs(), Remembered(folder, **options)  # type: ignore[arg-type]
    jobs = [Job(0, trial) for trial in range(trials)]
    done = list(each_remembered([asked], jobs, run=runs, remembered=store))
    store.close()
    return done, len(runs.jobs)


def with_run(asked: Scenario, **settings: int) -> Scenario:
    return replace(asked, run=replace(asked.run, **settings))  # type: ignore[arg-type]


def same(one: list[Done], other: list[Done]) -> bool:
    for (job, outcomes), (job_there, there) in zip(one, other, strict=True):
        assert job == job_there
        for a, b in zip(outcomes, there, strict=True):
            assert (a.name, a.trial, a.draw, a.people) == (b.name, b.trial, b.draw, b.people)
            for name, column in a.columns.items():
                assert np.asarray(column).tobytes() == np.asarray(b.columns[name]).tobytes()
    return True


def test_what_was_run_once_is_there_bit_for_bit(tmp_path: Path) -> None:
    first, simulated = run(scenario(), tmp_path)
    assert simulated == 4
    again, simulated = run(scenario(), tmp_path)
    assert simulated == 0 and same(first, again)
    _, simulated = run(scenario(), tmp_path, trials=6)
    assert simulated == 2


def test_only_what_matters_to_a_trial_tells_scenarios_apart(tmp_path: Path) -> None:
    asked = scenario()
    run(asked, tmp_path)
    for alike in (replace(asked, title="Another", question="Why?", text="# x"), with_run(asked, trials=40)):
        assert run(alike, tmp_path)[1] == 0
    others = (
        with_run(asked, seed=2),
        with_run(asked, guesses=4),
        replace(asked, tank=replace(asked.tank, length_cm=asked.tank.length_cm + 1)),
        replace(asked, parameters={"sight_cm": 50.0}),
        replace(asked, stock=(replace(asked.stock[0], length_cm=(5.0, 6.0)),)),
    )
    assert len({digest_of(one) for one in (asked, *others)}) == 1 + len(others)
    assert all(run(one, tmp_path)[1] == 4 for one in others)


def test_set_ups_are_kept_each_by_itself_and_not_by_numbers_in_jobs(tmp_path: Path) -> None:
    store, runs, asked = Remembered(tmp_path), Runs(), scenario()
    one = {"run": runs, "remembered": store}
    list(each_remembered([asked], [Job(0, 1)], **one))  # type: ignore[arg-type]
    again = [Job(1, 1, (LEFT_ALONE,)), Job(1, 1, (AS_STOCKED, LEFT_ALONE)), Job(1, 1)]
    done = dict(each_remembered([scenario(seed=9), asked], again, **one))  # type: ignore[arg-type]
    assert len(runs.jobs) == 1 and len(done) == 3
    assert [one.name for one in done[again[0]]] == [LEFT_ALONE]
    store.close()


def test_a_damaged_row_is_thrown_away_and_simulated_again(tmp_path: Path) -> None:
    first, _ = run(scenario(), tmp_path)
    with sqlite3.connect(tmp_path / FILE) as db:
        key, good = db.execute("SELECT key, outcomes FROM trial LIMIT 1").fetchone()
        for bad in (good[:-1] + bytes([good[-1] ^ 1]), b"", good[: len(good) // 2]):
            db.execute("UPDATE trial SET outcomes = ? WHERE key = ?", (bad, key))
            db.commit()
            again, simulated = run(scenario(), tmp_path)
            assert simulated == 1 and same(first, sorted(again, key=lambda one: one[0].trial))


@pytest.mark.parametrize("text", [b"", b"no database", b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_damaged_file_is_begun_anew(tmp_path: Path, text: bytes) -> None:
    (tmp_path / FILE).write_bytes(text)
    assert run(scenario(), tmp_path)[1] == 4
    assert run(scenario(), tmp_path)[1] == 0


def test_a_file_that_is_damaged_while_it_is_open_harms_nothing(tmp_path: Path) -> None:
    run(scenario(), tmp_path)
    store, runs = Remembered(tmp_path), Runs()
    (tmp_path / FILE).write_bytes(b"\xff" * 50_000)
    done = list(each_remembered([scenario()], [Job(0, 0), Job(0, 1)], run=runs, remembered=store))
    assert [job.trial for job, _ in done] == [0, 1]
    store.close()
    assert same(run(scenario(), tmp_path)[0], [(Job(0, k), made_up(scenario(), k)) for k in range(4)])


def test_a_folder_that_cannot_be_written_keeps_nothing_and_harms_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    for _ in range(2):
        done, simulated = run(scenario(), tmp_path / "file" / "folder")
        assert (len(done), simulated) == (4, 4)


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path) -> None:
    now = iter(range(10_000))
    digest, store = digest_of(scenario()), Remembered(tmp_path, clock=lambda: float(next(now)))
    for trial in range(20):
        store.add(digest, made_up(scenario(), trial)[0])
    packed = store._size
    store.close()
    size = (tmp_path / FILE).stat().st_size
    store = Remembered(tmp_path, most_bytes=packed, clock=lambda: float(next(now)))
    assert store.find(digest, 0, AS_STOCKED) is not None
    for trial in range(20, 60):
        store.add(digest, made_up(scenario(), trial)[0])
        assert store._size <= packed
    assert store.find(digest, 1, AS_STOCKED) is None
    assert store.find(digest, 59, AS_STOCKED) is not None
    store.close()
    assert (tmp_path / FILE).stat().st_size < 2 * size


def test_two_programs_share_a_file(tmp_path: Path) -> None:
    one, other = Remembered(tmp_path), Remembered(tmp_path)
    digest = digest_of(scenario())
    for trial in range(10):
        (one, other)[trial % 2].add(digest, made_up(scenario(), trial)[0])
    assert all((one, other)[(trial + 1) % 2].find(digest, trial, AS_STOCKED) for trial in range(10))
    one.close()
    other.close()


def test_without_a_store_everything_is_simulated() -> None:
    runs = Runs()
    assert len(list(each_remembered([scenario()], [Job(0, 0)], run=runs, remembered=None))) == 1
    assert len(runs.jobs) == 1
