"""What ``import rockshy`` gives: the names, their help, and that it costs next to nothing."""

from __future__ import annotations

import inspect
import subprocess
import sys
from dataclasses import fields
from pathlib import Path

import pytest
import rockshy
import rockshy.sim
from command_line import Patch
from rockshy.scenarios import UnknownScenarioError, names, text
from rockshy.sim.run.identity import release
from rockshy.sim.run.table import Arm

NAMES = [name for name in rockshy.__all__ if name != "__version__"]
FUNCTIONS = [name for name in NAMES if inspect.isroutine(getattr(rockshy, name))]


def sections(name: str) -> set[str]:
    """Headings of the help of a public name."""
    lines = (inspect.getdoc(getattr(rockshy, name)) or "").splitlines()
    return {head for head, below in zip(lines, lines[1:], strict=False) if below and set(below) == {"-"}}


def test_every_public_name_is_there_and_listed() -> None:
    assert set(NAMES) <= set(dir(rockshy))
    assert all(hasattr(rockshy, name) for name in NAMES)
    assert rockshy.__version__ == release()
    with pytest.raises(AttributeError, match="no attribute 'run_trails'"):
        _ = rockshy.run_trails  # type: ignore[attr-defined]


def test_every_name_of_the_simulator_is_there() -> None:
    assert all(hasattr(rockshy.sim, name) for name in rockshy.sim.__all__)


@pytest.mark.parametrize("name", NAMES)
def test_help_says_what_goes_in_what_comes_out_and_what_it_rests_on(name: str) -> None:
    wanted = {"Parameters", "Returns", "Source"} if name in FUNCTIONS else {"Source"}
    if name in FUNCTIONS and name != "words":  # which takes whatever an answer holds
        wanted |= {"Raises"}
    assert wanted - sections(name) == set()
    if name not in FUNCTIONS:
        assert sections(name) & {"Parameters", "Attributes"}


def test_help_of_a_run_names_every_column() -> None:
    told = inspect.getdoc(rockshy.run_trials) or ""
    columns = {one.name for one in fields(Arm)} - {"name", "fish"}
    assert {name for name in columns if f"``{name}``" not in told} == set()


def test_importing_it_loads_nothing_heavy() -> None:
    script = "import sys, rockshy; dir(rockshy); print({'numpy', 'numba', 'mesa'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def test_a_scenario_is_loaded_by_path_or_by_name(tmp_path: Path, monkeypatch: Patch) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(text("mild-with-hot"), encoding="utf-8")
    ready = rockshy.load("mild-with-hot")
    assert rockshy.load(file) == rockshy.load(str(file)) == rockshy.load("mild-with-hot.toml") == ready
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mild-with-hot").write_text(text("mild-alone"), encoding="utf-8")
    assert rockshy.load("mild-with-hot") == rockshy.load("mild-alone"), "a file goes first"


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(
        UnknownScenarioError, match='no file "mild-wiht-hot".*Did you mean mild-with-hot'
    ) as caught:
        rockshy.load("mild-wiht-hot")
    assert all(name in str(caught.value) for name in names())
    with pytest.raises(rockshy.ScenarioError, match='"nowhere.toml" does not exist'):
        rockshy.load("nowhere.toml")
