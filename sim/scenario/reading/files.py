"""The bytes of a file that somebody named: an ordinary file of ordinary size, or one problem."""

from __future__ import annotations

from pathlib import Path

from ..hints import Hint, hint_at
from . import limits
from .problems import Problem, ScenarioError, show


class UnreadableError(Exception):
    """A file that cannot be used; the parts of a message on it."""

    def __init__(self, found: str, allowed: str, hint: Hint = "") -> None:
        super().__init__(found)
        self.found = found
        self.allowed = allowed
        self.hint = hint

    def of(self, path: Path) -> ScenarioError:
        """The one problem of a file that was named to a command."""
        return one_problem(path.name or str(path), None, "file", self.found, self.allowed, self.hint)


def one_problem(
    name: str, line: int | None, key: str, found: str, allowed: str, hint: Hint = ""
) -> ScenarioError:
    """A file with one thing wrong."""
    return ScenarioError(name, [Problem(line, key, found, allowed, hint)])


def read_bytes(path: Path, ending: str, *, also: str = "") -> bytes:
    """The bytes of an ordinary file of ordinary size.

    Parameters
    ----------
    ending : of the names of such files, without the dot.
    also : what else a message says is allowed.

    Raises
    ------
    UnreadableError
    """
    allowed = f"a {ending.upper()} file of at most {limits.MOST_BYTES} bytes{also}"
    try:
        if path.is_dir():
            raise UnreadableError("a folder", allowed, _first(path, ending))
        if not path.exists():
            here = _siblings(path.parent, ending)
            raise UnreadableError(f"no file {show(str(path))}", allowed, hint_at(path.name, here))
        if not path.is_file():
            raise UnreadableError("something that is no ordinary file", allowed)
        if path.stat().st_size > limits.MOST_BYTES:
            raise UnreadableError(f"{path.stat().st_size} bytes", allowed)
        return path.read_bytes()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise UnreadableError(f"a file that cannot be read ({why})", allowed) from None


def _siblings(folder: Path, ending: str) -> list[str]:
    return sorted(one.name for one in folder.glob(f"*.{ending}")) if folder.is_dir() else []


def _first(folder: Path, ending: str) -> str:
    names = _siblings(folder, ending)
    return str(folder / names[0]) if names else ""
