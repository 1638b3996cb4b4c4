"""Which simulator this is: its release, and a hash of everything that decides what a trial comes to."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

_HERE = Path(__file__).parents[1]  # sim/
_NUMBERS = ("rules/parameters.toml", "rules/possible.csv", "run/life.toml")


@cache
def release() -> str:
    """The version of the installed package, "not installed" for a bare folder of sources."""
    try:
        return version("rockshy")
    except PackageNotFoundError:
        return "not installed"


@cache
def sources() -> str:
    """Hash of the simulator's sources and parameters (16 hexadecimal digits).

    Two programs with the same hash give the same outcome for the same scenario and trial. Species are
    left out: a scenario carries the traits of its own.
    """
    digest = hashlib.sha256()
    for path in [*sorted(_HERE.rglob("*.py")), *(_HERE / name for name in _NUMBERS)]:
        digest.update(path.relative_to(_HERE).as_posix().encode() + b"\0")
        digest.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return digest.hexdigest()[:16]
