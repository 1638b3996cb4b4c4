"""The ready fish rooms, by name: each a TOML file of this folder; see ``rockshy place``."""

from __future__ import annotations

from pathlib import Path

from ..ready import ENDING, Ready

_READY = Ready(__package__)
names, text, questions = _READY.names, _READY.text, _READY.questions


def is_ready(asked: str) -> bool:
    """Whether a ready room is meant, and no file of that path."""
    return not Path(asked).exists() and asked.removesuffix(ENDING) in names()
