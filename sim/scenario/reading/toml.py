"""TOML text as values, with the line of each.

A text is measured before it is parsed: a parser of TOML takes minutes over some texts of a few ten thousand
signs, such as one name of twenty thousand parts, which no scenario needs.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from ..hints import Refusal
from . import limits
from .files import UnreadableError, one_problem, read_bytes
from .lines import line_numbers
from .problems import Place, show

_UNQUOTED = 'name = value, text in straight quotation marks, decimals with a point: length = "48 in"'
_LONG_NUMBER = re.compile(r"[0-9_]{1000,}")
_TOKEN = re.compile(
    r'"""(?:\\.?|[^\\])*?(?:"""|\Z)"{0,2}'
    r"|'''.*?(?:'''|\Z)'{0,2}"
    r'|"(?:\\[^\n]|[^"\\\n])*"?'
    r"|'[^'\n]*'?"
    r"|#[^\n]*"
    r"|[\[\]{}=,.\n]"
    r"""|[^\s"'#\[\]{}=,.]+""",
    re.DOTALL,
)


class OversizeError(Refusal):
    """A TOML text that is not worth parsing: no scenario is like it."""

    def __init__(self, line: int | None, found: str, allowed: str) -> None:
        super().__init__(found, allowed)
        self.line = line


def read_file(path: Path) -> str:
    """The text of a TOML file; raises ScenarioError."""
    try:
        data = read_bytes(path, "toml")
        return data.decode("utf-8-sig")
    except UnreadableError as error:
        raise error.of(path) from None
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = "it is not saved as UTF-8"
        raise one_problem(path.name, line, "file", found, "UTF-8 when saving") from None


def read_toml(text: str, name: str) -> tuple[dict[str, Any], dict[Place, int]]:
    """Values of a TOML text, and the line of each; ``name`` is what messages call it.

    Raises ScenarioError when it is none, or too large, with the line.
    """
    try:
        return loads(text), line_numbers(text)
    except OversizeError as error:
        raise one_problem(name, error.line, "TOML", error.found, error.allowed) from None
    except tomllib.TOMLDecodeError as error:
        at = _line_of(str(error), text)
        rows = text.split("\n")
        found = f"{show(rows[at - 1].strip())} is not TOML ({_reason(str(error))})"
        raise one_problem(name, at, "TOML", found, _UNQUOTED) from None
    except ValueError:  # integers of more digits than Python converts
        long = _LONG_NUMBER.search(text)
        line = text.count("\n", 0, long.start()) + 1 if long else None
        found = "a number has thousands of digits"
        raise one_problem(name, line, "TOML", found, "numbers of ordinary size") from None


def loads(text: str) -> dict[str, Any]:
    """Values of a TOML text of ordinary size.

    Raises OversizeError, tomllib.TOMLDecodeError, or another ValueError on a number of thousands of digits.
    """
    check_size(text)
    return tomllib.loads(text)


def check_size(text: str) -> None:
    """Refuse a text with more in it than a scenario can mean, in one pass over it; it need not be TOML."""
    if len(text) > limits.MOST_BYTES:
        raise OversizeError(None, f"it has {len(text)} characters", f"at most {limits.MOST_BYTES}")
    lines = text.count("\n") + 1
    if lines > limits.MOST_LINES:
        raise OversizeError(None, f"it has {lines} lines", f"at most {limits.MOST_LINES}")
    size = _Size()
    for token in _TOKEN.finditer(text):
        size.take(token[0])
        if token.end() - token.start() > limits.LONGEST_TOKEN and token[0][0] != "#":
            line = text.count("\n", 0, token.start()) + 1
            found = f"a text, name or number has {token.end() - token.start()} characters"
            raise OversizeError(line, found, f"at most {limits.LONGEST_TOKEN}")
        for number, (most, what) in zip(size.numbers(), _MOST, strict=True):
            if number > most:
                line = text.count("\n", 0, token.start()) + 1
                raise OversizeError(line, f"there are more than {most} {what}", f"at most {most}")


_MOST = (
    (limits.DEEPEST, "lists and tables inside one another"),
    (limits.MOST_PARTS, "parts in a name, with dots between them"),
    (limits.MOST_TABLES, "[table] or [[table]] lines"),
    (limits.MOST_VALUES, "values"),
)


class _Size:
    """How much of everything a text holds, token by token."""

    def __init__(self) -> None:
        self.depth = self.points = self.tables = self.values = 0
        self.begins_line, self.in_header = True, False

    def numbers(self) -> tuple[int, int, int, int]:
        """What :data:`_MOST` is held against."""
        return self.depth, self.points + 1, self.tables, self.values

    def take(self, token: str) -> None:
        """Count one token."""
        if token == "\n":
            if self.in_header:  # also where its bracket is missing
                self.depth = 0
            self.points, self.begins_line, self.in_header = 0, True, False
            return
        if token in ("[", "{"):
            if token == "[" and self.begins_line and not self.depth:
                self.tables += 1
                self.in_header = True
            self.depth += 1
            self.points = 0
        elif token in ("]", "}"):
            self.depth = max(0, self.depth - 1)
        elif token in ("=", ","):
            self.values += 1
            self.points = 0
        elif token == ".":
            self.points += 1
            self.values += 1
        self.begins_line = False


def _line_of(message: str, text: str) -> int:
    """Line of a TOML error; it names the place or the end of the document."""
    place = re.search(r"at line (\d+)", message)
    return int(place[1]) if place else text.rstrip().count("\n") + 1


def _reason(message: str) -> str:
    return re.sub(r" \(at [^)]*\)$", "", message)
