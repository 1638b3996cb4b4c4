"""Finished trials on disk: the same bits back, nothing of another run taken, every trouble in one message."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from command_line import Patch
from fake_jobs import assert_same, fill, made_up, opened, scenario
from fake_trials import MILD
from rockshy.analysis.study import recipe as kept_recipe
from rockshy.analysis.study.kept import Kept
from rockshy.analysis.study.layout import WORK, StoreError
from rockshy.analysis.study.packing import pack, unpack
from rockshy.analysis.study.recipe import differences, recipe_of
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.scenario import Scenario
from staging import kind

# ---- packing


def test_outcomes_come_back_bit_for_bit() -> None:
    asked = scenario()
    odd = replace(asked.stock[0], left_out=("male 1",), length_cm=None, out_day=1.25)
    for one in (asked, replace(asked, stock=(odd, *asked.stock))):
        for trial in (0, 5):
            assert_same(unpack(pack(made_up(one, trial))), made_up(one, trial))


def test_a_column_without_rows_and_single_numbers_come_back() -> None:
    one = replace(made_up(scenario(), 1)[0], columns={"none": np.zeros((3, 0)), "one": np.array(2.5)})
    assert_same(unpack(pack([one])), (one,))


def test_fish_of_one_stock_list_are_shared_among_trials() -> None:
    one, two = (unpack(pack(made_up(scenario(), trial)))[0].people for trial in (0, 1))
    assert one is two


def test_what_is_no_number_is_not_packed() -> None:
    for column in (np.array([None]), np.array(["a"])):
        with pytest.raises(ValueError, match="use plain numbers"):
            pack([replace(made_up(scenario(), 0)[0], columns={"odd": column})])


def test_bytes_of_something_else_are_not_unpacked() -> None:
    packed = pack(made_up(scenario(), 0))
    for bad in (b"", b"rubbish", packed[:-20], packed[20:]):
        with pytest.raises(ValueError):
            unpack(bad)


# ---- the store


def test_what_was_added_is_there_after_opening_again(tmp_path: Path) -> None:
    fill(tmp_path, trials=2)
    with opened(tmp_path) as kept:
        assert len(kept) == 2
        assert Job(0, 1) in kept
        assert_same(kept.find(Job(0, 1)), made_up(scenario(), 1))
        for other in (Job(0, 2), Job(1, 1), Job(0, 1, (AS_STOCKED,))):
            assert other not in kept
            assert kept.find(other) is None
    assert [one.name for one in (tmp_path / "out").iterdir()] == [WORK]


def test_set_ups_and_scenarios_are_kept_apart(tmp_path: Path) -> None:
    asked = scenario()
    jobs = [Job(0, 3), Job(1, 3), Job(0, 3, (AS_STOCKED,)), Job(0, 3, (AS_STOCKED, LEFT_ALONE))]
    with opened(tmp_path) as kept:
        for k, job in enumerate(jobs):
            kept.add(job, made_up(asked, k, arms=job.arms))
        for k, job in enumerate(jobs):
            assert_same(kept.find(job), made_up(asked, k, arms=job.arms))


def test_the_first_outcome_of_a_job_stays(tmp_path: Path) -> None:
    with opened(tmp_path) as kept:
        for trial in (1, 2):
            kept.add(Job(0, 1), made_up(scenario(), trial))
        assert_same(kept.find(Job(0, 1)), made_up(scenario(), 1))


def test_a_folder_in_which_nothing_was_finished_is_left_as_it_was(tmp_path: Path) -> None:
    with Kept(tmp_path / "a" / "b", recipe={"k": 1}):
        assert (tmp_path / "a" / "b" / WORK).exists()
    assert not list(tmp_path.iterdir())
    (tmp_path / "empty").mkdir()
    with Kept(tmp_path / "empty", recipe={"k": 1}):
        pass
    assert not list((tmp_path / "empty").iterdir())


# ---- of another run


def test_what_changes_no_trial_may_change(tmp_path: Path) -> None:
    asked = scenario(trials=6)
    fill(tmp_path, trials=2, asked=asked)
    said = replace(asked, title="Another", question="Why?", text="# a comment", stock_list_text="x")
    said = replace(said, argument=("Yes.", "No."))
    more = replace(asked, run=replace(asked.run, trials=600, days=float(asked.run.days)))
    for same in (said, more):
        with opened(tmp_path, same) as kept:
            kept.hold_to(0, same)
            assert len(kept) == 2


ASKED = scenario()


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (replace(ASKED, run=replace(ASKED.run, seed=7)), "run.seed is 1 there and 7 here"),
        (replace(ASKED, run=replace(ASKED.run, days=3.5)), "run.days is 1 there and 3.5 here"),
        (replace(ASKED, run=replace(ASKED.run, trials=2)), "run.guesses.*is 3 there and 2 here"),
        (replace(ASKED, run=replace(ASKED.run, controls=False)), "run.controls is true there and false"),
        (replace(ASKED, run=replace(ASKED.run, watch="x")), 'run.watch is not set there and "x" here'),
        (replace(ASKED, rock=replace(ASKED.rock, cover=0.5)), "rock.cover is 0.35 there and 0.5 here"),
        (replace(ASKED, stock=(replace(ASKED.stock[0], males=2),)), "stock 1.males is 1 there and 2 here"),
        (replace(ASKED, rock=replace(ASKED.rock, piece_cm=9.0)), "rock.piece_size is 12 there and 9 here"),
        (replace(ASKED, tank=replace(ASKED.tank, height_cm=31.0)), "tank.height is .* there and 31 here"),
        (replace(ASKED, stock=ASKED.stock * 2), "another run: the stock differs; use"),
        (replace(ASKED, parameters={"attack_rate_s": 0.1}), "parameters.attack_rate_s is not set there"),
    ],
)
def test_work_on_another_scenario_is_refused_and_said_how(other: Scenario, said: str, tmp_path: Path) -> None:
    fill(tmp_path, trials=2, asked=ASKED)
    before = (tmp_path / "out" / WORK).read_bytes()
    with pytest.raises(StoreError, match=said) as caught, opened(tmp_path, other):
        pass
    assert str(tmp_path / "out") in str(caught.value)
    assert "use a new folder" in str(caught.value)
    assert (tmp_path / "out" / WORK).read_bytes() == before


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("release", "they were simulated by rockshy .*, and this is rockshy 9.9.9;"),
        ("sources", "they were simulated before the simulator was changed;"),
    ],
)
def test_work_of_another_version_is_refused(name: str, said: str, tmp_path: Path, monkeypatch: Patch) -> None:
    fill(tmp_path, trials=1)
    monkeypatch.setattr(kept_recipe, name, lambda: "9.9.9")
    with pytest.raises(StoreError, match=said), opened(tmp_path):
        pass


def test_work_of_another_command_is_refused(tmp_path: Path) -> None:
    fill(tmp_path, trials=1)
    with (
        pytest.raises(StoreError, match='command is "run" there and "rock" here'),
        opened(tmp_path, None, "rock"),
    ):
        pass


def test_alternatives_and_options_are_part_of_the_recipe() -> None:
    base, other = scenario(), scenario(seed=9)
    plain = recipe_of("compare", base)
    assert differences(plain, recipe_of("compare", base, options={"height": 3})).startswith("option height")
    with_one = recipe_of("compare", base, others={"calmer": base})
    assert differences(with_one, recipe_of("compare", base, others={"calmer": other})) == (
        "alternative 1: run.seed is 1 there and 9 here"
    )
    assert differences(plain, with_one) == "alternative 1 is new"
    assert differences(with_one, plain) == "alternative 1 is gone"
    assert differences(with_one, recipe_of("compare", base, others={"another name": base})) == ""
    numpy = replace(base, rock=replace(base.rock, cover=np.float64(0.35), piles=np.int64(1)))
    assert differences(plain, recipe_of("compare", numpy)) == ""


def test_many_differences_are_told_in_a_few_words() -> None:
    """A species instead of another, in the tank as it is and in both alternatives."""
    base = scenario()
    new = kind("Scena nova")
    other = replace(base, stock=(replace(base.stock[0], species="Scena nova"),), species={"Scena nova": new})
    told = [recipe_of("compare", one, others={"calmer": one, "x": one}) for one in (base, other)]
    assert sum(told[0].get(name) != told[1].get(name) for name in {**told[0], **told[1]}) > 100
    assert differences(*told) == f'stock 1.species is "{MILD}" there and "Scena nova" here'
    taller = replace(other, tank=replace(other.tank, height_cm=45.0, length_cm=90.0))
    third = recipe_of("compare", taller, others={"calmer": taller, "x": replace(taller, rock=ASKED.rock)})
    assert differences(told[0], third).endswith("the tank differs")
    tempers = replace(base, species={MILD: kind(MILD, temper=0.9, timidity=1.7)})
    assert differences(recipe_of("run", base), recipe_of("run", tempers)) == (
        f"what is assumed of {MILD} differs"
    )
    there, here = dict.fromkeys("abcde", 1), dict.fromkeys("abcde", 2)
    many = [{f"{name}.{k}": value for name, value in one.items() for k in "xy"} for one in (there, here)]
    assert differences(*many) == "the a, the b, the c, the d and more differ"


def test_a_number_stands_for_one_scenario_only(tmp_path: Path) -> None:
    one, two = scenario(), scenario(seed=2)
    with opened(tmp_path) as kept:
        kept.hold_to(3, one)
        kept.add(Job(3, 0), made_up(one, 0))
    with opened(tmp_path) as kept, pytest.raises(StoreError, match="another scenario 3"):
        kept.hold_to(3, two)


# ---- damage and trouble


def refused(folder: Path, said: str) -> str:
    with pytest.raises(StoreError, match=said) as caught, opened(folder):
        pass
    return str(caught.value)


def change(folder: Path, statement: str) -> None:
    db = sqlite3.connect(folder / "out" / WORK)
    db.execute(statement)
    db.commit()
    db.close()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE done SET outcomes = x'00' || substr(outcomes, 2) WHERE trial = 1",
        "UPDATE done SET outcomes = 'text' WHERE trial = 1",
        "UPDATE done SET sum = 'x' WHERE trial = 1",
        "UPDATE done SET trial = trial + 1 WHERE trial = 1",
    ],
)
def test_a_damaged_row_costs_that_tank_alone(statement: str, tmp_path: Path) -> None:
    fill(tmp_path, trials=2)
    change(tmp_path, statement)
    for damaged in (1, 0):  # once it is out it is not told again
        with opened(tmp_path) as kept:
            assert kept.damaged == damaged
            assert len(kept) == 1
            assert_same(kept.find(Job(0, 0)), made_up(scenario(), 0))
            assert [job for job in (Job(0, 1), Job(0, 2)) if job in kept] == []
    fill(tmp_path, trials=2)
    with opened(tmp_path) as kept:
        assert_same(kept.find(Job(0, 1)), made_up(scenario(), 1))


def test_a_row_that_is_damaged_later_is_never_handed_on(tmp_path: Path) -> None:
    fill(tmp_path, trials=2)
    with opened(tmp_path) as kept:
        kept._ask("UPDATE done SET sum = 'x' WHERE trial = 1")
        with pytest.raises(StoreError, match="damaged.*trial 1 of scenario 0"):
            kept.find(Job(0, 1))


def test_a_damaged_index_is_made_anew(tmp_path: Path) -> None:
    """An index that says trial 7 where the row says trial 1."""
    fill(tmp_path, trials=3)
    file = tmp_path / "out" / WORK
    db = sqlite3.connect(file)
    (page,) = db.execute(
        "SELECT rootpage FROM sqlite_master WHERE name = 'sqlite_autoindex_done_1'"
    ).fetchone()
    (size,) = db.execute("PRAGMA page_size").fetchone()
    db.close()
    whole = bytearray(file.read_bytes())
    entry = whole.index(bytes([5, 8, 1, 13, 1, 2]), (page - 1) * size)  # key of trial 2: 0, 2, "", row 3
    whole[entry + 4] = 7
    file.write_bytes(whole)
    with opened(tmp_path) as kept:
        assert (kept.damaged, len(kept)) == (0, 3)
        for trial in range(3):
            assert_same(kept.find(Job(0, trial)), made_up(scenario(), trial))


def test_any_damaged_byte_is_noticed_or_does_no_harm(tmp_path: Path) -> None:
    """In the header, in what the tables are called, in what is in them."""
    fill(tmp_path, trials=2)
    file = tmp_path / "out" / WORK
    whole = file.read_bytes()
    refusals = 0
    places = [*range(16, 100, 3), *range(3400, 4096, 7), *range(4096, len(whole), 997)]
    for k, byte in ((k, byte) for k in places for byte in (0, 255)):
        torn = bytearray(whole)
        torn[k] = byte
        file.write_bytes(torn)
        try:
            with opened(tmp_path) as kept:
                for trial in range(2):
                    if Job(0, trial) in kept:
                        assert_same(kept.find(Job(0, trial)), made_up(scenario(), trial))
        except StoreError as told:
            refusals += 1
            assert "damaged" in str(told) or "not of this version" in str(told)
            assert len(str(told)) < 300 + len(str(file))
        file.with_name(f"{WORK}-journal").unlink(missing_ok=True)
    assert refusals > 50


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE told SET value = 'rockshy work 0' WHERE name = 'format'", "not of this version"),
        ("UPDATE told SET value = '{}' WHERE name = 'recipe'", "its checksum differs"),
        ("UPDATE told SET value = '{' WHERE name = 'recipe'", "cannot be read"),
        ("UPDATE told SET value = '[1]' WHERE name = 'recipe'", "cannot be read"),
        ("DELETE FROM told WHERE name = 'recipe'", "cannot be read"),
        ("DROP TABLE told", "no such table"),
    ],
)
def test_a_damaged_head_is_refused(statement: str, said: str, tmp_path: Path) -> None:
    fill(tmp_path, trials=1)
    change(tmp_path, statement)
    assert WORK in refused(tmp_path, said)


def test_a_garbled_file_is_named_and_left_alone(tmp_path: Path) -> None:
    fill(tmp_path, trials=6)
    file = tmp_path / "out" / WORK
    whole = file.read_bytes()
    torn = bytearray(whole)
    torn[4096:8192] = bytes(4096)
    for broken in (b"rubbish" * 1000, whole[: len(whole) // 2], whole[:100], bytes(torn)):
        file.write_bytes(broken)
        assert f"{file} is damaged" in refused(tmp_path, "use a sound copy of it")
        assert file.read_bytes() == broken


def test_a_file_of_no_bytes_is_a_new_one(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / WORK).touch()
    fill(tmp_path, trials=1)


@pytest.mark.parametrize(
    ("name", "said"),
    [("notes.txt", "holds other files"), ("recipe.json", "not the finished trials it was made from")],
)
def test_a_folder_of_something_else_is_not_touched(name: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / name).write_text("mine")
    refused(tmp_path, said)
    assert [one.name for one in (tmp_path / "out").iterdir()] == [name]


def test_a_file_in_the_place_of_the_folder_is_not_touched(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    refused(tmp_path, "is a file")
    with pytest.raises(StoreError, match="cannot be written"), Kept(tmp_path / "out" / "deeper", recipe={}):
        pass
    assert (tmp_path / "out").read_text() == "mine"


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a folder that not even root can write in")
def test_a_folder_that_cannot_be_written_in_is_refused(tmp_path: Path) -> None:
    for place in ("/proc/rockshy", "/proc/self/rockshy/deeper"):
        with pytest.raises(StoreError, match="cannot be written"), Kept(place, recipe={}):
            pass


def test_a_file_that_may_only_be_read_is_said(tmp_path: Path) -> None:
    fill(tmp_path, trials=1)
    with opened(tmp_path) as kept:
        kept._ask("PRAGMA query_only = 1")
        with pytest.raises(StoreError, match="cannot be written; use a folder of your own"):
            kept.add(Job(0, 1), made_up(scenario(), 1))


def test_two_on_one_folder_are_kept_apart(tmp_path: Path) -> None:
    """In this process and from another one; whoever came first goes on undisturbed."""
    other = (
        "import sys; from rockshy.analysis.study.kept import Kept, StoreError\n"
        "try:\n    Kept(sys.argv[1], recipe={}).__enter__()\n"
        "except StoreError as told:\n    sys.exit(str(told))"
    )
    with opened(tmp_path) as kept:
        refused(tmp_path, "another rockshy is working in this folder")
        command = [sys.executable, "-c", other, str(tmp_path / "out")]
        second = subprocess.run(command, capture_output=True, text=True, check=False)
        assert second.returncode == 1
        assert "another rockshy is working in this folder" in second.stderr
        kept.add(Job(0, 0), made_up(scenario(), 0))
    with opened(tmp_path) as kept:
        assert len(kept) == 1
