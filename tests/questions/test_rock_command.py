"""``rockshy rock``: what it refuses, what it writes, and that it runs real tanks."""

from __future__ import annotations

import argparse
import csv
import json
from pathlib import Path
from typing import Any

import pytest
from command_line import (
    ROCK,
    answered,
    assert_refused,
    forbid_running,
    four_fish,
    full_folder,
    interrupted,
    interrupts,
    work_in,
)
from PIL import Image
from rockshy.analysis.commands.finding import changed
from rockshy.analysis.commands.parser import build_parser
from rockshy.analysis.commands.rock import plan_for
from rockshy.analysis.measures.row import BOTH, row_of, species_value
from rockshy.analysis.questions.rock import grid as rock_grid
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import Job, run_trial, run_trials

TINY = four_fish(
    title="Tiny tank",
    question="How much rock for so few?",
    piece_size=10,
    days=0.2,
    settle=0.1,
    trials=4,
    seed=5,
    watch="Eretmodus cyanostictus",
)


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A tank of four fish, of which three covers are tried, in an empty folder."""
    monkeypatch.setitem(rock_grid.COVERS, 1, (0.0, 0.2, 0.4))
    work_in(tmp_path, monkeypatch, tiny=TINY)
    return "tiny.toml"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "FILE"),
        (["tiny.toml", "--for", "Tropheus duboisi"], "allowed: a species of this tank: Tropheus moorii"),
        (["tiny.toml", "--for", "eretmodus cyanostictos"], "nearest: Eretmodus cyanostictus"),
        (["tiny.toml", "--level", "1"], "a share from 0.01 to 0.9"),
        (["tiny.toml", "--level", "150 %"], "a share from 0.01 to 0.9"),
        (["tiny.toml", "--level", "often"], 'found "often"'),
        (["tiny.toml", "--trials", "0"], "a whole number from 1"),
        (["tiny.toml", "--cover", "--height", "--piles"], "at most two of them"),
        (["tiny.toml", "--picture", "rock.jpg"], "ends with .png"),
        (["tiny.toml", "--picture", "nowhere/rock.png"], "no folder nowhere"),
        (["tiny.toml", "--out", "tiny.toml"], "is a file"),
        (["tiny.toml", "--out", "full"], "holds other files"),
        (["sketch.toml"], 'cover = "50 %", height = "10 cm"'),
        (["listed.toml"], "1 crevice listed one by one"),
        (["bare.toml", "--height"], "a cover above 0"),
        (["holding.toml", "--for", "moorii"], "only holding females"),
        (["gone.toml", "--for", "moorii"], "out before day"),
        (["tyni.toml"], "nearest: tiny.toml"),
    ],
)
def test_bad_input_gets_one_message_and_leaves_nothing(
    tiny: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    argv: list[str],
    said: str,
) -> None:
    texts = {
        "sketch": TINY.replace(ROCK, 'sketch = ["0220", "0110"]'),
        "listed": TINY.replace(
            "[[stock]]", "[[rock.crevice]]\nfrom_left = 9\nfrom_front = 9\nmouth = 4\ndepth = 9\n[[stock]]", 1
        ),
        "bare": TINY.replace(ROCK, "cover = 0"),
        "holding": TINY.replace("males = 1\nfemales = 2", "females = 2\nholding = 2"),
        "gone": TINY.replace("females = 2", "females = 2\nout = 0.1"),
    }
    full_folder(work_in(tmp_path, monkeypatch, **texts))
    assert_refused(capsys, "rock", *argv, said=said)


def options(*argv: str) -> argparse.Namespace:
    return build_parser().parse_args(["rock", *argv])


def test_options_say_what_is_varied(tiny: str) -> None:
    for argv, names in (
        ([], ["cover"]),
        (["--height"], ["height"]),
        (["--piles"], ["piles"]),
        (["--cover", "--height"], ["cover", "height"]),
        (["--piles", "--cover"], ["cover", "piles"]),
    ):
        line = options(tiny, *argv)
        plan = plan_for(changed(tiny, line), line, "Eretmodus cyanostictus")
        assert [axis.name for axis in plan.grid.axes] == names
        assert plan.level == 0.1
    line = options(tiny, "--level", "20 %", "--monotone")
    plan = plan_for(changed(tiny, line), line, "Eretmodus cyanostictus")
    assert (plan.level, plan.monotone) == (0.2, True)


def test_without_trials_asked_for_there_is_a_round_that_can_tell(tiny: str) -> None:
    line = options(tiny)
    assert plan_for(changed(tiny, line), line, "Tropheus moorii").trials == 36  # the file says 4
    line = options(tiny, "--trials", "4")
    assert plan_for(changed(tiny, line), line, "Tropheus moorii").trials == 4


def test_a_tiny_real_run_answers_and_goes_on_from_what_is_kept(
    tiny: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("rock", tiny, "--trials", "4", "--out", "rocks")
    words = answered(capsys, *asked, "--picture", "mine.png").out
    assert "Question: How much rock for so few?" in words
    assert "12 simulated tanks: 3 amounts of rock, 4 tanks at each" in words
    assert "20 % (your tank now)" in words
    assert "mild species: named in the scenario" in words
    assert "Cannot tell yet" in words or "No amount does" in words  # 4 tanks never hold 1 in 10
    for name in ("mine.png", "rocks/rock.png"):
        with Image.open(tmp_path / name) as image:
            assert image.size == (1920, 1080)
    told = json.loads((tmp_path / "rocks" / "rock.json").read_text(encoding="utf-8"))
    assert told["recipe"]["seed"] == 5 and told["recipe"]["scenario"] == TINY
    with (tmp_path / "rocks" / "rock.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["cover_share_of_floor"], row["trial"]) for row in rows] == [
        (cover, str(trial)) for cover in ("0.0", "0.2", "0.4") for trial in range(4)
    ]

    forbid_running(monkeypatch)
    again: dict[str, Any] = json.loads(answered(capsys, *asked, "--json").out)
    assert {key: again[key] for key in ("amounts", "amount")} == {
        key: told[key] for key in ("amounts", "amount")
    }
    assert again["varied"] == ["cover"]
    assert [one["own"] for one in again["amounts"]] == [False, True, False]


def test_the_keepers_own_amount_is_the_very_run_of_his_tank(tiny: str) -> None:
    line = options(tiny, "--trials", "2")
    found = changed(tiny, line)
    plan = plan_for(found, line, "Tropheus moorii")
    own = plan.grid.own
    assert own is not None
    arm = run_trials(found.scenario).arms[AS_STOCKED]
    moorii = [name == "Tropheus moorii" for name in arm.fish.species]
    for trial in range(2):
        outcomes = run_trial(plan.scenarios[own], trial, arms=BOTH)
        row = row_of(plan.scenarios[own], Job(own, trial, BOTH), outcomes)
        chases = arm.chases[trial].sum(axis=0)[moorii].sum()
        assert species_value(row, measure="received", species="Tropheus moorii") == pytest.approx(
            chases / (arm.lit_s[trial, moorii].sum() / 3600)
        )
        assert species_value(row, measure="hidden", species="Tropheus moorii") == pytest.approx(
            arm.hidden_s[trial, moorii].sum() / arm.lit_s[trial, moorii].sum()
        )


@interrupts
def test_ctrl_c_answers_from_what_is_done(tiny: str, tmp_path: Path) -> None:
    asked = ("rock", tiny, "--trials", "12", "--out", "rocks")
    out, err = interrupted(*asked, after="simulated tanks\n")
    assert "Stopped by Ctrl-C: the answer is of" in err
    assert "It was stopped before it was done." in " ".join(out.split())
    assert (tmp_path / "rocks" / "rock.json").exists()
