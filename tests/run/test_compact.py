"""Numbers kept small: every bit comes back, and finished tanks take little memory."""

from __future__ import annotations

import pickle
import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_jobs import assert_same, made_up, opened, scenario
from fake_trials import random_trials
from rockshy.analysis.study.runner import each_kept_job
from rockshy.sim.run.compact import narrowed, packed, shared, with_row
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import Job, run_trial, table_of

AWKWARD = [[0.0, 255.0], [0.0, 256.0], [-1.0, 3.0], [-0.0, 1.0], [np.nan, np.inf], [0.1, 0.5], [0.5, 1.25]]
AWKWARD += [[1e300, 2.0], [2.0**31, 0.0]]


@pytest.mark.parametrize("values", AWKWARD)
def test_every_bit_comes_back(values: list[float]) -> None:
    wide = np.array(values)
    small = narrowed(wide)
    assert small.astype(float).tobytes() == wide.tobytes()
    assert small.itemsize <= wide.itemsize


def test_whole_numbers_take_no_more_than_they_need() -> None:
    assert narrowed(np.array([0, 200])).dtype == np.uint8
    assert narrowed(np.array([3600.0])).dtype == np.uint16
    assert narrowed(np.array([-7, 7])).dtype == np.int32
    assert narrowed(np.array([2**40 + 1])).dtype == np.int64
    assert narrowed(np.array([True])).dtype == np.bool_


def test_rows_of_any_order_of_widths_keep_their_bits() -> None:
    for order in (AWKWARD, AWKWARD[::-1]):
        rows = None
        for place, values in enumerate(order):
            rows = with_row(rows, place, np.array(values), among=len(order))
        assert rows is not None
        assert rows.astype(float).tobytes() == np.array(order).tobytes()


def test_a_column_reads_as_it_was_written_and_cannot_be_written_through() -> None:
    arm = random_trials().arms[AS_STOCKED]
    counts = np.arange(arm.chases.size).reshape(arm.chases.shape)
    changed = replace(arm, chases=counts)
    assert changed.chases.dtype == np.int64 and changed.lit_s.dtype == np.float64
    np.testing.assert_array_equal(changed.chases, counts)
    with pytest.raises(ValueError, match="read-only"):
        changed.chases[0, 0, 0] = 1
    with pytest.raises(TypeError, match="chases is of float64; use int64"):
        replace(arm, chases=counts + 0.5)
    with pytest.raises(TypeError, match="chases"):
        type(arm)("x", arm.fish, arm.trial, arm.draw, arm.sex, arm.adult)  # type: ignore[call-arg]


def test_packed_columns_are_the_columns() -> None:
    columns = made_up(scenario(), 3)[0].columns
    again = pickle.loads(pickle.dumps(packed(columns)))  # as a cluster sends it
    assert list(again) == list(columns) and len(again) == len(columns)
    for name, values in columns.items():
        assert again[name].dtype == values.dtype and again[name].tobytes() == values.tobytes()


def test_what_repeats_is_kept_once() -> None:
    one, two = (tuple(part) for part in (["a", 1], ["a", 1]))
    assert one is not two and shared(one) is shared(two)


def test_a_simulated_tank_takes_less_than_a_quarter_of_its_numbers() -> None:
    asked = scenario(trials=2)
    done = [run_trial(asked, trial) for trial in range(2)]
    numbers = sum(values.nbytes for one in done[0] for values in one.columns.values())
    assert len(pickle.dumps([dict(one.columns) for one in done[0]])) > numbers
    assert sum(len(pickle.dumps(one.columns)) for one in done[0]) < numbers
    for one, two in zip(done[0], done[1], strict=True):
        assert one.people is two.people
    arm = table_of(asked, done).arms[AS_STOCKED]
    assert vars(arm)["chases"].itemsize < arm.chases.itemsize


def test_with_a_folder_finished_tanks_leave_the_memory(tmp_path: Path) -> None:
    asked = scenario(trials=20)

    def large(trial: int) -> tuple:
        return tuple(
            replace(one, columns={**one.columns, "more": np.random.default_rng(trial).random(50_000)})
            for one in made_up(asked, trial)
        )

    jobs = [Job(0, trial) for trial in range(20)]
    with opened(tmp_path / "out", asked) as kept:
        for job in jobs:
            kept.add(job, large(job.trial))
        tracemalloc.start()
        done = dict(each_kept_job([asked], jobs, kept=kept))
        held, _ = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert held < 50_000 * 8  # one of the forty columns that were read
        for job in jobs:
            assert_same(done[job], large(job.trial))
