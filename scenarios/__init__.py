"""The ready scenarios, by name: each a TOML file of this folder with a question a keeper would ask."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..sim.scenario import Scenario

DEMO = "mild-with-hot"  # what ``rockshy run`` runs without a file
_ENDING = ".toml"


def names() -> list[str]:
    """Names of the ready scenarios in alphabetical order; a name is that of the file without ``.toml``."""
    files = (entry.name for entry in resources.files(__package__).iterdir())
    return sorted(name.removesuffix(_ENDING) for name in files if name.endswith(_ENDING))


def text(name: str) -> str:
    """The text of a ready scenario; KeyError when there is none of that name."""
    if name not in names():
        raise KeyError(name)
    return resources.files(__package__).joinpath(name + _ENDING).read_text(encoding="utf-8")


def questions() -> dict[str, str]:
    """The question of each ready scenario, by name."""
    return {name: str(tomllib.loads(text(name)).get("question", "")) for name in names()}


def read(name: str) -> Scenario:
    """A ready scenario, checked like any other; KeyError when there is none of that name."""
    from ..sim.reading import load

    if name not in names():
        raise KeyError(name)
    with resources.as_file(resources.files(__package__).joinpath(name + _ENDING)) as path:
        return load(path)
