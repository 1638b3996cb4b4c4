"""The command ``rockshy`` as tests type it: tiny scenario files, what a line says, what it leaves alone."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from fake_trials import tank_file
from rockshy.analysis.commands import main

Capsys = pytest.CaptureFixture[str]
Patch = pytest.MonkeyPatch

COMMAND = (sys.executable, "-m", "rockshy.analysis.commands")
ROCK = "cover = 0.2\nheight = 15"
QUICK: dict[str, Any] = {"piece_size": 10, "days": 0.2, "settle": 0.1, "seed": 5}  # of four fish, a moment

interrupts = pytest.mark.skipif(os.name != "posix", reason="sends SIGINT as a terminal does")


# ---- files


def four_fish(*, title: str, question: str = "", piece_size: int | None = None, **run: Any) -> str:
    """A scenario file: three Tropheus moorii and one Eretmodus cyanostictus in 54 litres.

    ``run`` holds the lines of its ``[run]``, in their order.
    """
    return tank_file(
        title,
        question,
        glass=(60, 30, 30),
        rock=ROCK + (f"\npiece_size = {piece_size}" if piece_size else ""),
        stock=(("Tropheus moorii", "males = 1\nfemales = 2"), ("Eretmodus cyanostictus", "males = 1")),
        run="\n".join(f"{name} = {json.dumps(value)}" for name, value in run.items()),
    )


def work_in(folder: Path, monkeypatch: pytest.MonkeyPatch, **scenarios: str) -> Path:
    """Go to a folder with scenario files in it: name without ending -> text."""
    monkeypatch.chdir(folder)
    for name, text in scenarios.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def full_folder(folder: Path) -> None:
    """A folder "full" with a file of somebody's in it."""
    (folder / "full").mkdir()
    (folder / "full" / "mine.txt").write_text("mine", encoding="utf-8")


def contents(folder: Path) -> Mapping[str, bytes | None]:
    """Every file under a folder with what is in it; None for a folder."""
    return {
        one.relative_to(folder).as_posix(): None if one.is_dir() else one.read_bytes()
        for one in folder.rglob("*")
    }


# ---- lines


def status(*argv: str) -> int:
    """Exit status of a line, whether the parser ends it or the command."""
    try:
        return main(argv)
    except SystemExit as end:
        return int(end.code or 0)


def answered(capsys: pytest.CaptureFixture[str], *argv: str, ends: int = 0) -> Any:
    """What a line says, ``.out`` and ``.err``, when it ends with that status."""
    capsys.readouterr()
    ended = status(*argv)
    told = capsys.readouterr()
    assert ended == ends, f"ended with {ended}:\n{told.err}"
    return told


def assert_refused(capsys: pytest.CaptureFixture[str], *argv: str, said: str) -> None:
    """A line gets one message and no answer, and leaves the folder it is typed in as it was."""
    before = contents(Path())
    told = answered(capsys, *argv, ends=2)
    assert said in told.err, told.err
    assert "Traceback" not in told.err
    assert told.out == ""
    assert contents(Path()) == before


# ---- instead of what takes long


def build_no_tank(monkeypatch: pytest.MonkeyPatch) -> None:
    """No tank is built beforehand to see whether its rock leaves water."""
    for command in ("compare.check_water", "swap.first_tank", "run.first_tank"):
        monkeypatch.setattr(f"rockshy.analysis.commands.{command}", lambda *_, **__: None)


def forbid_running(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on whatever simulates a tank fails."""

    def run_again(*_: object, **__: object) -> None:
        raise AssertionError("a finished tank was simulated again")

    monkeypatch.setattr("rockshy.sim.run.trials.run_trial", run_again)
    monkeypatch.setattr("rockshy.analysis.study.paths.paths_of", run_again)


def stay_after_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The process goes on where the command would leave it; the statuses it would have left with."""
    left: list[int] = []
    monkeypatch.setattr("rockshy.analysis.commands._leave_at_once", left.append)
    return left


# ---- in a process of its own


def started(*argv: str) -> subprocess.Popen[str]:
    """The command in a process of its own, not touched by the signals of this one."""
    return subprocess.Popen(
        [*COMMAND, *argv],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=os.name == "posix",
    )


def interrupted(*argv: str, after: str) -> tuple[str, str]:
    """What a line says on either way out, ended by Ctrl-C with status 130 once it has said ``after``."""
    with started(*argv) as going:
        assert going.stderr is not None
        try:
            said = ""
            while after not in said:
                line = going.stderr.readline()
                assert line, said
                said += line
            going.send_signal(signal.SIGINT)
            out, err = going.communicate(timeout=60)
        finally:
            going.kill()
    assert going.returncode == 130, err
    assert "Traceback" not in err
    return out, err
