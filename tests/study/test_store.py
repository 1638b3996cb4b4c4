"""The result folder: an exact round trip, no damage to other people's files, clear errors."""

from __future__ import annotations

import json
import tracemalloc
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from command_line import Patch, contents
from fake_trials import blank_arm, changed, fish_list, random_arm, random_trials, with_arms
from rockshy.analysis.study import store
from rockshy.analysis.study.store import StoreError, holds, is_result, read, read_paths, write
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, Trials


def assert_same_arm(one: Arm, two: Arm) -> None:
    assert (one.name, one.fish.label, one.fish.species) == (two.name, two.fish.label, two.fish.species)
    for name in ("day_in", "day_out", "holding"):
        np.testing.assert_array_equal(getattr(one.fish, name), getattr(two.fish, name))
    for part in fields(Arm):
        a, b = getattr(one, part.name), getattr(two, part.name)
        if isinstance(a, np.ndarray):
            assert (a.dtype, a.shape) == (b.dtype, b.shape), part.name
            np.testing.assert_array_equal(a, b, err_msg=part.name)


def assert_same(one: Trials, two: Trials) -> None:
    told = ("title", "watch", "watch_reason", "asked", "recipe")
    assert [getattr(one, name) for name in told] == [getattr(two, name) for name in told]
    assert list(one.arms) == list(two.arms)
    for name in one.arms:
        assert_same_arm(one.arms[name], two.arms[name])


def awkward_trials() -> Trials:
    """Names with commas, quotes and umlauts, "NA" as a name, nan, tiny and huge numbers, a fish taken out."""
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=0), trials=3, hours=2)
    fish = replace(
        arm.fish,
        label=("NA", 'Bärtel, "the 1st"'),
        species=("Tropheus duboisi", "nan"),
        day_out=np.array([2.5, np.inf]),
    )
    share = arm.hour_share.copy()
    share[0, 0, 1] = np.nan
    length = np.array([[0.1 + 0.2, 1e-300], [1 / 3, 12345678.9], [5e-324, 1e22]])
    arm = replace(arm, fish=fish, trial=np.array([3, 7, 20]), hour_share=share, length_cm=length)
    return with_arms(arm, blank_arm(LEFT_ALONE, fish=fish, trials=0, hours=2))


@pytest.mark.parametrize("trials", [random_trials(), random_trials(seed=8, hours=1), awkward_trials()])
def test_what_is_read_is_what_was_written(trials: Trials, tmp_path: Path) -> None:
    write(trials, tmp_path / "out")
    assert_same(read(tmp_path / "out"), trials)


def test_files_are_plain_csv_with_units_and_one_row_for_each(tmp_path: Path) -> None:
    trials = random_trials()
    write(trials, tmp_path)
    lines = {
        name: (tmp_path / f"{name}.csv").read_text("utf-8").splitlines()
        for name in ("summary", "fish", "hours", "chases")
    }
    arms = trials.arms.values()
    assert len(lines["summary"]) == 1 + sum(len(arm.trial) for arm in arms)
    assert len(lines["fish"]) == 1 + sum(arm.sex.size for arm in arms)
    assert len(lines["hours"]) == 1 + sum(arm.hour_share.size for arm in arms)
    acts = sum(int((arm.chases + arm.bites + arm.displays + arm.wins > 0).sum()) for arm in arms)
    assert len(lines["chases"]) == 1 + acts
    assert {"length_tl_cm", "lit_s", "hidden_s", "sex"} <= set(lines["fish"][0].split(","))
    assert json.loads((tmp_path / "recipe.json").read_text("utf-8"))["recipe"] == trials.recipe


def test_tables_are_written_in_pieces_that_make_no_difference(tmp_path: Path, monkeypatch: Patch) -> None:
    """Memory of writing is that of a piece, however many tanks there are; a piece may be a single tank."""
    fish, peaks = fish_list(mild=3, hot=2), []
    write(random_trials(), tmp_path / "before")  # whatever is loaded once is loaded
    monkeypatch.setattr(store, "_ROWS", 1000)
    for tanks in (50, 200):
        numbers = range(tanks)
        arm = random_arm(AS_STOCKED, fish=fish, trial=numbers, draw=numbers, hours=4, seed=1, peace=False)
        tracemalloc.start()
        write(with_arms(arm), tmp_path / str(tanks))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.3 * peaks[0]
    monkeypatch.setattr(store, "_ROWS", 1)
    for name, trials in (("before", random_trials()), ("200", with_arms(arm))):
        write(trials, tmp_path / "single")
        assert contents(tmp_path / "single") == contents(tmp_path / name)


def test_stored_movements_come_back_and_old_ones_go(tmp_path: Path) -> None:
    paths = {"trial_3_cells": np.arange(12, dtype=np.int32).reshape(3, 4), "step_s": np.array([0.5])}
    write(random_trials(), tmp_path, paths=paths)
    found = read_paths(tmp_path)
    assert found is not None and set(found) == set(paths)
    for name in paths:
        np.testing.assert_array_equal(found[name], paths[name])
        assert found[name].dtype == paths[name].dtype
    write(random_trials(seed=2), tmp_path)
    assert read_paths(tmp_path) is None


def test_a_result_replaces_an_earlier_one_alone(tmp_path: Path) -> None:
    """Notes stay, and so do the finished trials, with which a folder is one for a result."""
    theirs = {"work.sqlite": b"theirs"}
    (tmp_path / "work.sqlite").write_bytes(b"theirs")
    for trials in (random_trials(), random_trials(seed=5)):
        write(trials, tmp_path)
        assert_same(read(tmp_path), trials)
        assert {name: (tmp_path / name).read_bytes() for name in theirs} == theirs
        assert not list(tmp_path.glob(".*"))
        (tmp_path / "notes.txt").write_bytes(b"mine")
        theirs["notes.txt"] = b"mine"


def test_a_folder_holds_the_tables_of_one_run_only(tmp_path: Path) -> None:
    trials = random_trials()
    write(trials, tmp_path)
    assert holds(tmp_path, trials)
    arm = trials.arms[AS_STOCKED]
    share = arm.hour_share.copy()
    share[0, 0, 0] = np.nextafter(share[0, 0, 0], 2.0)
    others = [
        replace(trials, recipe={**trials.recipe, "seed": 9}),
        replace(trials, arms={**trials.arms, AS_STOCKED: replace(arm, hour_share=share)}),
        replace(trials, arms={AS_STOCKED: arm}),
        random_trials(seed=2),
    ]
    assert not any(holds(tmp_path, other) for other in others)
    (tmp_path / "fish.csv").write_bytes(b"")
    with pytest.raises(StoreError, match=r"fish\.csv"):
        holds(tmp_path, trials)


@pytest.mark.parametrize("name", ["notes.txt", "fish.csv", "recipe.json"])
def test_a_folder_of_something_else_is_not_touched(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text('{"format": "cake"}')
    with pytest.raises(StoreError, match="is not a result folder; use a new folder"):
        write(random_trials(), tmp_path)
    assert [item.name for item in tmp_path.iterdir()] == [name]
    assert not is_result(tmp_path)


def test_a_file_in_the_place_of_the_folder_is_not_touched(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    for place in (tmp_path / "out", tmp_path / "out" / "deeper"):
        with pytest.raises(StoreError, match=r"is a file|cannot be written"):
            write(random_trials(), place)
    assert (tmp_path / "out").read_text() == "mine"


def test_a_write_that_fails_half_way_leaves_the_old_result_whole(tmp_path: Path, monkeypatch: Patch) -> None:
    old = random_trials()
    write(old, tmp_path)

    def disk_full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(np, "savez_compressed", disk_full)
    with pytest.raises(StoreError, match=r"paths\.npz: not written, since the disk is full"):
        write(random_trials(seed=3), tmp_path, paths={"a": np.zeros(2)})
    assert_same(read(tmp_path), old)
    assert not list(tmp_path.glob(".*"))


def test_a_broken_off_exchange_is_no_result_but_can_be_written_again(
    tmp_path: Path, monkeypatch: Patch
) -> None:
    write(random_trials(), tmp_path)
    whole = Path.replace

    def breaks(self: Path, target: Path) -> Path:
        if target.name == "hours.csv":
            raise OSError(5, "Input/output error")
        return whole(self, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", breaks)
        with pytest.raises(StoreError, match=r"hours\.csv: not written, since that disk fails"):
            write(random_trials(seed=3), tmp_path)
    with pytest.raises(StoreError, match="broken off"):
        read(tmp_path)
    new = random_trials(seed=4)
    write(new, tmp_path)
    assert_same(read(tmp_path), new)


@pytest.mark.parametrize("bad", [float("nan"), object(), {1, 2}])
def test_a_recipe_that_json_cannot_say_is_refused_before_anything_is_written(
    bad: object, tmp_path: Path
) -> None:
    with pytest.raises(StoreError, match="recipe"):
        write(replace(random_trials(), recipe={"x": bad}), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def edit(file: Path, old: str, new: str) -> None:
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("fish.csv", "hidden_s", "hiden_s", "column 'hidden_s' is missing"),
        ("fish.csv", ",male,", ",ram,", "column 'sex' of arm 'as stocked' holds 'ram'"),
        ("fish.csv", "Tropheus duboisi 2", "Tropheus duboisi 9", "holds 'Tropheus duboisi 9'"),
        ("fish.csv", "stocked,0,Tropheus duboisi 2", "stocked,0,Tropheus duboisi 1", "two rows for trial 0"),
        ("fish.csv", ",4.0,", ",four,", "not a number"),
        ("summary.csv", "as stocked,0,0", "as stocked,9,0", "must have 6 trials, ascending"),
        ("summary.csv", "left alone,0", "left behind,0", "unknown arm|must have"),
        ("recipe.json", '"asked": 8', '"asked": "8"', "asked is missing or not int"),
        ("recipe.json", '"as stocked"', '"stocked"', "arms has no 'as stocked'"),
        ("recipe.json", "rockshy result 1", "rockshy result 0", "not a result of this version"),
        ("recipe.json", "{", "", "cannot be read as JSON"),
        ("recipe.json", '"day_out": null', '"day_out": "soon"', "entry of arm 'as stocked' is damaged"),
    ],
)
def test_damage_is_named_with_its_place(file: str, old: str, new: str, message: str, tmp_path: Path) -> None:
    write(random_trials(), tmp_path)
    edit(tmp_path / file, old, new)
    with pytest.raises(StoreError, match=message) as caught:
        read(tmp_path)
    assert file in str(caught.value)


@pytest.mark.parametrize("file", ["summary.csv", "fish.csv", "chases.csv", "hours.csv", "recipe.json"])
def test_missing_cut_or_garbled_files_are_store_errors(file: str, tmp_path: Path) -> None:
    write(random_trials(), tmp_path)
    whole = (tmp_path / file).read_bytes()
    for broken in (b"", whole[: len(whole) // 3], b"\xff\xfe\x00" + whole):
        (tmp_path / file).write_bytes(broken)
        with pytest.raises(StoreError, match=file):
            read(tmp_path)
    (tmp_path / file).unlink()
    with pytest.raises(StoreError, match=file):
        read(tmp_path)


@pytest.mark.parametrize("file", ["summary.csv", "fish.csv", "chases.csv", "hours.csv"])
def test_a_lost_row_is_noticed(file: str, tmp_path: Path) -> None:
    write(random_trials(), tmp_path)
    lines = (tmp_path / file).read_text("utf-8").splitlines(keepends=True)
    lost = next(i for i, line in enumerate(lines) if i > 0 and not line.rstrip().endswith(",0"))
    (tmp_path / file).write_text("".join(lines[:lost] + lines[lost + 1 :]), "utf-8")
    with pytest.raises(StoreError, match=file):
        read(tmp_path)


def test_no_folder_and_damaged_movements(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="there is no folder"):
        read(tmp_path / "nowhere")
    (tmp_path / "paths.npz").write_bytes(b"PK\x03\x04 not really")
    with pytest.raises(StoreError, match="damaged"):
        read_paths(tmp_path)


def test_summary_figures_by_hand(tmp_path: Path) -> None:
    """2 fish x 4 lit hours = 8 fish-hours; 6 chases: 0.75 an hour; a quarter of the time hidden."""
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=1, hot=1))
    arm = changed(arm, chases=np.array([[[0, 0], [6, 0]]]), hidden_s=np.array([[7200.0, 0.0]]))
    write(with_arms(arm), tmp_path)
    head, row = (tmp_path / "summary.csv").read_text("utf-8").splitlines()
    told = dict(zip(head.split(","), row.split(","), strict=True))
    assert told["chases_per_fish_and_lit_hour_model_scale"] == "0.75"
    assert told["hidden_share_of_lit_time"] == "0.25"
    assert (told["lit_fish_hours"], told["chases"]) == ("8.0", "6")
