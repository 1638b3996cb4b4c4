"""``rockshy sheet``: the sheet, the blank, the tally read back, the factor carried into a run."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from command_line import Capsys, Patch, assert_refused, stay_after_ctrl_c
from rockshy.analysis.commands import main
from rockshy.analysis.questions.watching.windows import Watched
from watched_tanks import HOT, MILD, TANK, act, made_up_tanks, place, session, tally_text

TALLY = tally_text(
    act(f"{HOT} male 1", f"{MILD} male 1", "chase", 9),
    act(f"{HOT} male 1", f"{MILD} females", "chase", 6),
    act(f"{MILD} male 1", f"{MILD} females", "chase", 7),
    place(f"{MILD} male 1", 1, "lC"),
    session(2),
    act(f"{HOT} male 1", MILD, "chase", 12, watch=2),
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: Patch) -> Path:
    """A folder with a tank and a tally of it; simulated tanks are made up."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tank.toml").write_text(TANK, encoding="utf-8")
    (tmp_path / "watch.csv").write_text(TALLY, encoding="utf-8")

    def made(scenario: object, **_: object) -> list[Watched]:
        return made_up_tanks(scenario.run.trials, hours=1.5)  # type: ignore[attr-defined]

    monkeypatch.setattr("rockshy.analysis.questions.watching.windows.watch_trials", made)
    return tmp_path


def test_the_sheet_and_the_blank_are_written(here: Path, capsys: Capsys) -> None:
    assert main(["sheet", "tank.toml", "--out", "mine.pdf", "--paper", "letter", "--blank", "new.csv"]) == 0
    assert (here / "mine.pdf").read_bytes().startswith(b"%PDF-")
    assert "watch,row" in (here / "new.csv").read_text(encoding="utf-8")
    said = capsys.readouterr().out
    assert "mine.pdf: 3 pages" in said
    assert "rockshy sheet tank.toml --read new.csv" in said
    assert not (here / "sheet.pdf").exists()
    assert main(["sheet", "tank.toml", "--read", "new.csv"]) == 0
    assert "1 watch of 10 minutes; 0 chases" in capsys.readouterr().out
    assert main(["sheet", "tank.toml", "--out", "mine.pdf"]) == 0  # an unfilled PDF may be written again


def test_the_tally_is_laid_over_the_model(here: Path, capsys: Capsys) -> None:
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--trials", "12"]) == 0
    said = capsys.readouterr().out
    assert "2 watches of 10 minutes; 34 chases" in said
    assert "Your tank: 102 chases an hour; the model's ten-minute windows:" in said
    assert "12 simulated tanks" in said
    assert "Does the model agree with your tank?" in said
    assert "Test the water first" in " ".join(said.split())
    assert max(map(len, said.split("\n"))) <= 100


def test_json_and_the_factor(here: Path, capsys: Capsys) -> None:
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--json", "--scale", "scale.toml"]) == 0
    out = capsys.readouterr()
    told = json.loads(out.out)
    file = tomllib.loads((here / "scale.toml").read_text(encoding="utf-8"))
    assert file["scale"]["factor"] == pytest.approx(told["scale"]["factor"], rel=1e-4)
    assert file["scale"]["low"] < file["scale"]["factor"] < file["scale"]["high"]
    assert file["tank"]["stock"] == [f"{MILD}: 1 male, 2 female", f"{HOT}: 1 male"]
    assert "rockshy run tank.toml --scale scale.toml" in out.err


def test_no_chase_gives_no_factor_and_no_file(here: Path, capsys: Capsys) -> None:
    (here / "watch.csv").write_text(tally_text(), encoding="utf-8")
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--scale", "scale.toml"]) == 2
    assert "no chase was counted" in capsys.readouterr().err
    assert not (here / "scale.toml").exists()


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--out", "sheet.txt"], "ends with .pdf"),
        (["--out", "nowhere/sheet.pdf"], "there is no folder nowhere"),
        (["--blank", "watch.csv"], "exists already"),
        (["--blank", "new.txt"], "ends with .csv"),
        (["--minutes", "0"], "a whole number from 1 to 60"),
        (["--minutes", "7.5"], "a whole number from 1 to 60"),
        (["--paper", "a5"], "a4"),
        (["--json"], "--json cannot be used here; use --read CSV"),
        (["--scale", "s.toml", "--fixed"], "--scale, --fixed cannot be used here"),
        (["--read", "watch.csv", "--out", "x.pdf"], "--out cannot be used here; use these without --read"),
        (["--read", "watch.csv", "--trials", "3"], "at least 8"),
        (["--read", "watch.csv", "--scale", "s.csv"], "ends with .toml"),
        (["--read", "wacth.csv"], "Did you mean watch.csv"),
        (["--read", "bad.csv"], "bad.csv: 2 problems"),
        (["--read", "long.csv"], "a watch of 118 minutes is too long; use at most"),
    ],
)
def test_what_is_refused(here: Path, capsys: Capsys, argv: list[str], said: str) -> None:
    bad = tally_text(act("nobody", f"{MILD} male 1"), act(f"{HOT} male 1", f"{MILD} male 1", "hug"))
    (here / "bad.csv").write_text(bad, encoding="utf-8")
    (here / "long.csv").write_text(tally_text(session(2, minutes="118")), encoding="utf-8")
    assert_refused(capsys, "sheet", "tank.toml", *argv, said=said)


def test_ctrl_c_answers_from_what_was_done(here: Path, monkeypatch: Patch, capsys: Capsys) -> None:
    monkeypatch.setattr(
        "rockshy.analysis.questions.watching.windows.watch_trials",
        lambda *_, **__: made_up_tanks(9, hours=2.0),
    )
    stay_after_ctrl_c(monkeypatch)
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--trials", "20"]) == 130
    assert "9 of the 20 simulated tanks asked for" in " ".join(capsys.readouterr().out.split())
    monkeypatch.setattr(
        "rockshy.analysis.questions.watching.windows.watch_trials", lambda *_, **__: made_up_tanks(2)
    )
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--trials", "20"]) == 130
    assert "before there was anything to answer from" in capsys.readouterr().err


def test_a_run_carries_the_factor(here: Path, capsys: Capsys) -> None:
    assert main(["sheet", "tank.toml", "--read", "watch.csv", "--scale", "scale.toml"]) == 0
    factor = tomllib.loads((here / "scale.toml").read_text(encoding="utf-8"))["scale"]["factor"]
    line = ["run", "tank.toml", "--trials", "2", "--json"]
    capsys.readouterr()
    assert main([*line, "--out", "plain"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert main([*line, "--out", "plain", "--scale", "scale.toml"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["scale"]["factor"] == pytest.approx(factor)
    for before, after in zip(plain["species"], told["species"], strict=True):
        was, now = before["figures"]["as stocked"], after["figures"]["as stocked"]
        assert now["received"]["value"] == pytest.approx(factor * was["received"]["value"], rel=1e-4)
        assert now["hidden"] == was["hidden"]
    recipe = json.loads((here / "plain" / "recipe.json").read_text(encoding="utf-8"))["recipe"]
    assert recipe["scale"]["factor"] == pytest.approx(factor)
    (here / "tank.toml").write_text(TANK.replace("females = 2", "females = 3"), encoding="utf-8")
    assert main(["run", "tank.toml", "--trials", "2", "--scale", "scale.toml", "--full"]) == 0
    out = capsys.readouterr()
    assert "was fitted to Stonecomb club, tank 3, and this is other stock" in out.err
    assert "scaled to your tank by" in " ".join(out.out.split())
    assert main(["run", "tank.toml", "--scale", "nowhere.toml"]) == 2
