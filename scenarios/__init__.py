"""The ready scenarios, by name: each a TOML file of this folder with a question a keeper would ask."""

from __future__ import annotations

import os
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from .ready import ENDING, Ready

if TYPE_CHECKING:
    from ..sim.scenario.scenario import Scenario

DEMO = "mild-with-hot"  # what ``rockshy run`` runs without a file
_READY = Ready(__package__)
names, text, questions = _READY.names, _READY.text, _READY.questions


class UnknownScenarioError(ValueError):
    """There is neither a file nor a ready scenario of that name; the message says which there are."""


def load(asked: str | os.PathLike[str], *, fishless: bool = False) -> Scenario:
    """A scenario as the command line takes it: the file of that path, else the ready one of that name.

    Parameters
    ----------
    asked : path of a scenario file, or the name of a ready scenario: ``"mild-with-hot"``.
    fishless : whether a tank without fish will do, such as one with a wish list; it cannot be run.

    Returns
    -------
    Scenario
        Checked, and never changed again: lengths in cm, times in days, temperatures in C.

    Raises
    ------
    ScenarioError
        When the file cannot be read or has problems: all of them, each with its line.
    UnknownScenarioError
        When there is neither; the nearest name is said.

    Source
    ------
    What the file says; species of the library name their sources (``rockshy species``).
    """
    from ..sim.scenario.reading import load as load_file
    from ..sim.scenario.reading.problems import nearest, show

    text = os.fspath(asked)
    if not os.path.exists(text) and text and not any(sign in text for sign in ("/", "\\", "\0")):
        name = text.removesuffix(ENDING)
        if name in names():
            return read(name)
        if not text.endswith(ENDING):
            near = nearest(text, [*names(), *(one.name for one in Path().glob(f"*{ENDING}"))])
            raise UnknownScenarioError(
                f"there is no file {show(text)} here; use a scenario file, or a ready scenario: "
                f"{', '.join(names())}" + (f". Did you mean {near}?" if near else "")
            )
    return load_file(text, fishless=fishless)


def read(name: str) -> Scenario:
    """A ready scenario, checked like any other; KeyError when there is none of that name."""
    from ..sim.scenario.reading import load

    if name not in names():
        raise KeyError(name)
    with resources.as_file(resources.files(__package__).joinpath(name + ENDING)) as path:
        return load(path)
