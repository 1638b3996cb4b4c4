"""The command ``rockshy``: what it prints, what it refuses, how it ends."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import (
    Capsys,
    Patch,
    answered,
    assert_refused,
    four_fish,
    full_folder,
    interrupted,
    interrupts,
    started,
    work_in,
)
from rockshy import scenarios
from rockshy.analysis.commands import main
from rockshy.analysis.commands.parser import COMMANDS, build_parser
from rockshy.analysis.study import store

HEAVY = ("numpy", "scipy", "mesa", "numba", "matplotlib", "pandas", "tqdm")
SMALL = four_fish(title="Small tank", question="Is it small?", days=0.5, trials=3)

NO_WATER = """[tank]
length = 30
front_to_back = 15
height = 15
[rock]
cover = 0.8
height = 15
[[stock]]
species = "Julidochromis transcriptus"
males = 1
"""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: Patch) -> Path:
    return work_in(tmp_path, monkeypatch)


@pytest.fixture
def small(here: Path, monkeypatch: Patch) -> str:
    work_in(here, monkeypatch, small=SMALL)
    return "small.toml"


def test_the_command_starts_without_heavy_imports() -> None:
    code = (
        "import sys, rockshy.analysis.commands as commands; commands.main([]); "
        f"sys.exit(any(name in sys.modules for name in {HEAVY}))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, capture_output=True).returncode == 0


def test_alone_it_names_every_command(capsys: Capsys) -> None:
    said = answered(capsys).out
    assert all(f"rockshy {name}" in said for name in COMMANDS)


def test_help_names_every_command_and_each_has_its_own(capsys: Capsys) -> None:
    for name in COMMANDS:
        with pytest.raises(SystemExit) as end:
            main([name, "--help"])
        assert end.value.code == 0
        assert f"rockshy {name}" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["rnu"], "Did you mean run"),
        (["run", "--trials", "0"], "a whole number from 1 to 10000"),
        (["run", "--trials", "2.5"], "a whole number from 1 to 10000"),
        (["run", "--days", "nan"], "a number from 0.1 to 60"),
        (["run", "--days", "61"], "a number from 0.1 to 60"),
        (["run", "--seed", "true"], "a whole number from 0"),
        (["run", "--seed", "-1"], "a whole number from 0"),
        (["run", "--tri", "3"], "--tri"),
        (["run", "mild-with-hto"], "Did you mean mild-with-hot"),
        (["run", "nowhere.toml"], '"nowhere.toml" does not exist'),
        (["run", "."], "a folder"),
        (["run", "\0"], "leave them out"),
        (["run", ""], "this is a folder"),
        (["run", "small.toml", "--days", "0.1"], "at least 0.2"),
        (["run", "small.toml", "--out", "small.toml"], "is a file"),
        (["run", "small.toml", "--out", "small.toml/deeper"], "is a file"),
        (["run", "small.toml", "--out", "full"], "not a result folder"),
        (["run", "broken.toml"], "line 2, tank.lenght"),
        (["run", "rock.toml"], "less or lower rock"),
        (["check", "broken.toml"], "line 2, tank.lenght"),
        (["check", "latin.toml"], "not saved as UTF-8"),
        (["check", "empty.toml"], "it is empty"),
        (["show", "small.toml"], "--trial"),
        (["show", "small.toml", "--trial", "4"], "from 1 to 3"),
        (["show", "small.toml", "--trial", "1", "--out", "small.toml"], "is a file"),
        (["new", "small.toml"], "exists already"),
        (["new", "small"], "Did you mean small.toml"),
        (["new", "nowhere/small.toml"], "no folder nowhere"),
    ],
)
def test_bad_input_gets_one_message_and_leaves_nothing(
    here: Path, small: str, capsys: Capsys, argv: list[str], said: str
) -> None:
    full_folder(here)
    (here / "broken.toml").write_text(
        SMALL.replace("length", "lenght", 1).split("\n", 2)[2], encoding="utf-8"
    )
    (here / "rock.toml").write_text(NO_WATER, encoding="utf-8")
    (here / "latin.toml").write_bytes('title = "Großes Becken"'.encode("latin-1"))
    (here / "empty.toml").touch()
    assert_refused(capsys, *argv, said=said)


def test_a_fault_of_ours_is_one_line_and_the_traceback_is_kept_for_those_who_ask(
    small: str, monkeypatch: Patch, capsys: Capsys
) -> None:
    def break_down(*_: object) -> None:
        raise RuntimeError("a wheel came off")

    monkeypatch.setattr("rockshy.analysis.questions.check.brief.brief_of", break_down)
    assert main(["check", small]) == 1
    said = capsys.readouterr().err
    assert "RuntimeError: a wheel came off" in said
    assert "report it" in said.splitlines()[-1]
    monkeypatch.setenv("ROCKSHY_TRACEBACK", "1")
    assert main(["check", small]) == 1
    assert "Traceback" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("there", "argv", "times"),
    [
        ("paths.balls-151.py311", ["check"], 0),
        ("paths.balls-151.py311", ["run", "--trials", "1", "--days", "0.2"], 1),
        ("day.advance-170.py311", ["run", "--trials", "1", "--days", "0.2"], 0),
        ("day.move-99.py311", ["check"], 1),
    ],
)
def test_preparing_is_said_when_rules_must_be_compiled_and_only_then(
    here: Path, small: str, there: str, argv: list[str], times: int, monkeypatch: Patch, capsys: Capsys
) -> None:
    cache = here / "cache"
    (cache / "sim").mkdir(parents=True)
    (cache / "sim" / f"{there}.nbi").touch()
    monkeypatch.setattr("rockshy.sim.rules.support.compiled.cache_folder", lambda: cache)
    monkeypatch.setattr("rockshy.sim.rules.support.compiled.is_compiling", lambda: True)
    assert answered(capsys, argv[0], small, *argv[1:]).err.count("Preparing, once") == times


def test_what_is_compiled_last_is_a_function_that_is_compiled() -> None:
    from rockshy.analysis.asking.progress import OF_A_RUN, OF_A_TANK
    from rockshy.sim.run import day
    from rockshy.sim.tank import paths

    assert hasattr(day, OF_A_RUN)
    assert hasattr(paths, OF_A_TANK)


def test_new_writes_a_scenario_that_checks_and_keeps_what_is_there(here: Path, capsys: Capsys) -> None:
    assert "rockshy check my-tank.toml" in answered(capsys, "new", "my-tank.toml").out
    written = (here / "my-tank.toml").read_bytes()
    assert main(["check", "my-tank.toml"]) == 0
    assert main(["new", "my-tank.toml"]) == 2
    assert (here / "my-tank.toml").read_bytes() == written


def test_new_explains_the_commented_keys_with_keys_that_exist(here: Path) -> None:
    assert main(["new", "my-tank.toml"]) == 0
    text = (here / "my-tank.toml").read_text(encoding="utf-8")
    keys = [line for line in text.split("\n") if line.startswith("# ") and " = " in line]
    assert len(keys) == 5
    open_text = "\n".join(line.removeprefix("# ") if line in keys else line for line in text.split("\n"))
    (here / "open.toml").write_text(open_text, encoding="utf-8")
    assert main(["check", "open.toml"]) == 0


def test_scenarios_lists_every_name_with_its_question(capsys: Capsys) -> None:
    said = " ".join(answered(capsys, "scenarios").out.split())
    assert scenarios.DEMO in scenarios.names()
    for name, question in scenarios.questions().items():
        assert name in said
        assert question
        assert " ".join(question.split()) in said


def test_run_answers_and_writes_a_result_that_reads_back(here: Path, small: str, capsys: Capsys) -> None:
    out, err = answered(capsys, "run", small, "--out", "result", "--seed", "4", "--full")
    assert out.startswith("Is it small?")
    assert "Worst-off fish" in out
    assert "3 simulated tanks" in out
    assert "--seed 4" in err
    assert "rockshy show small.toml --trial" in out
    assert out.rstrip().endswith("--seed 4")  # what it says to type next shows the same simulated tanks
    trials = store.read(here / "result")
    assert trials.done == 3
    assert trials.recipe["seed"] == 4
    assert trials.recipe["options"] == ["--seed", "4"]
    assert trials.recipe["scenario"] == SMALL


def test_run_prints_json_alone_on_stdout(small: str, capsys: Capsys) -> None:
    told = json.loads(answered(capsys, "run", small, "--json", "--trials", "2", "--fixed").out)
    assert told["question"] == "Is it small?"
    assert told["done"] == told["asked"] == 2
    assert told["fixed"] is True
    assert told["options"] == ["--trials", "2", "--fixed"]


def test_days_in_the_place_of_the_files_shorten_settling_and_say_so(small: str, capsys: Capsys) -> None:
    out, err = answered(capsys, "run", small, "--trials", "1", "--days", "0.2", "--full")
    assert "of these, 0.1 for settling" in err
    assert "; 1 lit hour measured" in out


def test_show_draws_the_pictures_of_one_trial(here: Path, small: str, capsys: Capsys) -> None:
    said = answered(capsys, "show", small, "--trial", "2").out
    pictures = sorted((here / "small-tank-2").glob("*.png"))
    assert len(pictures) == 4
    assert all(str(Path("small-tank-2") / one.name) in said for one in pictures)


def test_show_runs_the_very_trial_of_the_run(small: str) -> None:
    from rockshy.analysis.asking.found import first_tank
    from rockshy.analysis.commands.finding import changed
    from rockshy.analysis.pictures.shown_trial import trial_parts
    from rockshy.sim import run_trials

    line = build_parser().parse_args(["show", small, "--trial", "2"])
    found = changed(small, line)
    parts = trial_parts(found.scenario, trial=1, tank=first_tank(found, trial=1))
    arm = run_trials(found.scenario).arms["as stocked"]
    assert (parts.ledger.pair.chases == arm.chases[1]).all()
    assert arm.chases[1].sum() > 0


def test_telling_trials_are_the_middling_and_the_worst() -> None:
    from fake_trials import random_trials
    from rockshy.analysis.questions.answer.telling import telling_trials

    trials = random_trials()
    arm = trials.arms["as stocked"]
    watched = [name == trials.watch for name in arm.fish.species]
    share = arm.free_s[:, watched].sum(axis=1) / arm.lit_s[:, watched].sum(axis=1)
    middle, worst = telling_trials(trials)
    assert share[list(arm.trial).index(worst)] == share.min()
    below = (share < share[list(arm.trial).index(middle)]).sum()
    assert abs(below - len(share) / 2) <= 1
    assert share.max() > share.min()


@interrupts
def test_ctrl_c_answers_from_what_is_done_and_writes_it(here: Path, small: str) -> None:
    out, err = interrupted("run", small, "--trials", "80", "--out", "result", after="20 of 80")
    done = store.read(here / "result").done
    assert 20 <= done < 80
    assert f"the answer is of {done} of 80 simulated tanks" in err
    assert f"{done} of the 80 simulated tanks asked for" in out


@interrupts
def test_ctrl_c_before_any_trial_is_done_says_so(here: Path, small: str) -> None:
    long = ("--trials", "5", "--days", "9", "--out", "result")
    out, err = interrupted("run", small, *long, after="Instead of")
    assert out == ""
    assert "before there was anything to answer from" in err
    assert not (here / "result").exists()


@pytest.mark.skipif(os.name != "posix", reason="needs a pipe that can be closed early")
def test_a_reader_that_goes_away_is_no_fault(small: str) -> None:
    going = started("check", small)
    assert going.stdout is not None
    assert going.stderr is not None
    going.stdout.close()
    said = going.stderr.read()
    assert "BrokenPipe" not in said
    assert "fault" not in said
    assert going.wait() == 0
