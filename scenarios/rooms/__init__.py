"""The ready fish rooms, by name: each a TOML file of this folder; see ``rockshy place``."""

from __future__ import annotations

import tomllib
from importlib import resources
from pathlib import Path

_ENDING = ".toml"


def names() -> list[str]:
    """Names of the ready rooms in alphabetical order; a name is that of the file without ``.toml``."""
    files = (entry.name for entry in resources.files(__package__).iterdir())
    return sorted(name.removesuffix(_ENDING) for name in files if name.endswith(_ENDING))


def text(name: str) -> str:
    """The text of a ready room; KeyError when there is none of that name."""
    if name not in names():
        raise KeyError(name)
    return resources.files(__package__).joinpath(name + _ENDING).read_text(encoding="utf-8")


def questions() -> dict[str, str]:
    """The question of each ready room, by name."""
    return {name: str(tomllib.loads(text(name)).get("question", "")) for name in names()}


def is_ready(asked: str) -> bool:
    """Whether a ready room is meant, and no file of that path."""
    return not Path(asked).exists() and asked.removesuffix(_ENDING) in names()
