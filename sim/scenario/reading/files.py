"""The bytes of a file that somebody named: an ordinary file of ordinary size, or one problem."""

from __future__ import annotations

from pathlib import Path

from ..hints import Hint, Refusal, hint_at
from . import limits
from .problems import Problem, ScenarioError, show


class UnreadableError(Refusal):
    """A file that cannot be used."""

    def of(self, path: Path) -> ScenarioError:
        """The one problem of a file that was named to a command."""
        return one_problem(path.name or str(path), None, "file", self.found, self.allowed, self.hint)


def one_problem(
    name: str, line: int | None, key: str, found: str, allowed: str, hint: Hint = ""
) -> ScenarioError:
    """A file with one thing wrong."""
    return ScenarioError(name, [Problem(line, key, found, allowed, hint)])


def read_bytes(path: Path, ending: str, *, also: str = "") -> bytes:
    """The bytes of an ordinary file of ordinary size; raises UnreadableError.

    ``ending``: of the names of such files, without the dot. ``also``: what else a message says is allowed.
    """
    allowed = f"a {ending.upper()} file of at most {limits.MOST_BYTES} bytes{also}"
    hint: Hint = ""
    try:
        if path.is_dir():
            found, hint = "this is a folder", next((str(path / name) for name in _names_in(path, ending)), "")
        elif not path.exists():
            found, hint = (
                f"{show(str(path))} does not exist",
                hint_at(path.name, _names_in(path.parent, ending)),
            )
        elif not path.is_file():
            found = "this is not an ordinary file"
        elif path.stat().st_size > limits.MOST_BYTES:
            found = f"it has {path.stat().st_size} bytes"
        else:
            return path.read_bytes()
    except (OSError, ValueError) as error:
        found = f"it cannot be read ({getattr(error, 'strerror', None) or error})"
    raise UnreadableError(found, allowed, hint)


def _names_in(folder: Path, ending: str) -> list[str]:
    return sorted(one.name for one in folder.glob(f"*.{ending}")) if folder.is_dir() else []
