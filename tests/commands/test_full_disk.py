"""The answer comes first, and a file that cannot be written costs neither it nor the other files."""

from __future__ import annotations

import errno
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from command_line import Capsys, Patch, answered, build_no_tank, contents, work_in
from fake_compare import BASE, FEWER, NOTHING, simulated_as
from fake_trials import HOT
from fake_work import PLACES
from rockshy.analysis.study.layout import WORK

COMMANDS = {
    "run": ["run", "plain.toml"],
    "compare": ["compare", "club.toml", "--picture", "it.png"],
    "swap": ["compare", "club.toml", "--swap", HOT, "--trials", "2"],
    "relief": ["relief", "plain.toml", "--trials", "16"],
    "rock": ["rock", "plain.toml", "--trials", "4"],
}


@pytest.fixture(autouse=True)
def made_up(tmp_path: Path, monkeypatch: Patch) -> None:
    """Made-up tanks instead of simulated ones."""
    build_no_tank(monkeypatch)
    for command in ("relief", "rock"):
        monkeypatch.setattr(f"rockshy.analysis.commands.{command}.first_tank", lambda *_, **__: None)
    monkeypatch.setattr("rockshy.analysis.study.paths.paths_of", lambda *_, **__: {})
    monkeypatch.setattr("rockshy.analysis.questions.relief.watch.places_of", lambda *_, **__: PLACES)
    simulated_as(monkeypatch)
    work_in(tmp_path, monkeypatch, club=BASE + NOTHING + FEWER, plain=BASE)


def files(folder: str) -> Mapping[str, bytes | None]:
    """What was written, but for the finished tanks in the order in which they were."""
    return {name: told for name, told in contents(Path(folder)).items() if name != WORK}


def failing(monkeypatch: Patch, problem: OSError, of: Callable[[Path], bool]) -> None:
    """Files that ``of`` says cannot take their places."""
    whole = Path.replace

    def replace(self: Path, target: Path) -> Path:
        if of(Path(target)):
            raise problem
        return whole(self, target)

    monkeypatch.setattr(Path, "replace", replace)


@pytest.mark.parametrize("command", COMMANDS)
def test_what_cannot_be_written_costs_nothing_else(command: str, monkeypatch: Patch, capsys: Capsys) -> None:
    """A table held open costs that file alone, a full disk all files; neither costs the answer."""
    line = [*COMMANDS[command], "--out"]
    whole = answered(capsys, *line, "one").out
    assert len(files("one")) > 0
    ending = ".json" if command == "swap" else ".csv"
    with monkeypatch.context() as patch:
        failing(patch, PermissionError(errno.EACCES, "Permission denied"), lambda path: path.suffix == ending)
        told = answered(capsys, *line, "two", ends=2)
    assert told.out == whole
    assert "another program holds it open" in told.err
    held = {name for name in files("one") if name.endswith(ending)}
    assert sum(str(Path("two") / name) in told.err for name in held) == min(3, len(held))
    there = files("two")
    assert set(there) == set(files("one")) - held
    for name in set(there) - {"recipe.json"}:
        assert there[name] == files("one")[name], name
    assert answered(capsys, *line, "two").out == whole
    assert files("two") == files("one")

    before = contents(Path())
    with monkeypatch.context() as patch:
        failing(patch, OSError(errno.ENOSPC, "No space left on device"), lambda _: True)
        told = answered(capsys, *line, "three", ends=2)
    assert told.out == whole
    assert "not written, since the disk is full: make room, then type the same command again" in told.err
    assert "Traceback" not in told.err
    assert set(contents(Path())) - set(before) == {"three", f"three/{WORK}"}
