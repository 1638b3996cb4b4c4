"""Problems of a scenario file: collected while reading goes on, then reported all at once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

Place = tuple[str | int, ...]  # ("stock", 2, "length"): where a value stands in the file

LONGEST_SHOWN = 60  # characters of a found value that a message repeats


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong.

    Attributes
    ----------
    line : int or None
        Line of the file, from 1; None when the whole file is meant.
    key : str
        What it is about: ``"tank.length"``, or ``'column 4 "size"'`` of a stock list.
    found, allowed : str
    nearest : str
        The nearest valid name or value; empty when there is none.
    file : str
        Name of the stock list when the problem lies there; empty for the scenario file.
    place : tuple
        Where the value stands in the scenario file, ("stock", 2, "length"); empty when that is not known.
    """

    line: int | None
    key: str
    found: str
    allowed: str
    nearest: str = ""
    file: str = ""
    place: Place = ()

    def __str__(self) -> str:
        place = [self.file, f"line {self.line}" if self.line is not None else "", self.key]
        text = f"{', '.join(part for part in place if part)}: found {self.found}; allowed: {self.allowed}"
        return f"{text}; nearest: {self.nearest}" if self.nearest else text


class ScenarioError(ValueError):
    """A scenario that cannot be run.

    Attributes
    ----------
    name : of the file.
    problems : everything that is wrong with it: line, key, what was found, what is allowed, the nearest.

    Source
    ------
    The project's own.
    """

    def __init__(self, name: str, problems: Iterable[Problem]) -> None:
        self.name = name
        self.problems = sorted(problems, key=lambda one: (one.file, one.line or 0))
        super().__init__(name, self.problems)

    def __str__(self) -> str:
        count = len(self.problems)
        head = f"{self.name}: {count} problem{'' if count == 1 else 's'}"
        return "\n".join([head, *(f"  {one}" for one in self.problems)])


@dataclass
class Book:
    """Collects problems and knows on which line each place of the file stands."""

    lines: Mapping[Place, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def add(self, place: Place, *, found: object, allowed: str, nearest: str = "") -> None:
        """Note a problem; ``found`` is shown as :func:`show` shows it unless it is :class:`Said`."""
        key = _printable(".".join(part for part in place if isinstance(part, str)))
        self.problems.append(Problem(self.line(place), key, show(found), allowed, nearest, place=place))

    def line(self, place: Place) -> int | None:
        """Line of a place, or of the innermost table around it that is in the file."""
        for length in range(len(place), 0, -1):
            if place[:length] in self.lines:
                return self.lines[place[:length]]
        return None


class Said(str):
    """Words of the program's own, shown without quotation marks."""


NOTHING = Said("nothing")


def show(value: object) -> str:
    """A found value in a message: text in quotation marks, long things shortened."""
    if isinstance(value, Said):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if len(value) > 2 else f"[{', '.join(show(one) for one in value)}]"
    try:
        text = str(value)
    except ValueError:  # Python refuses to write out integers of many thousand digits
        return "a number of many thousand digits"
    text = _printable(text)
    return f'"{text}"' if isinstance(value, str) else text


def _printable(text: str) -> str:
    """Shortened, and without signs that would move the cursor of a terminal."""
    short = text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "..."
    return "".join(sign if sign.isprintable() else " " for sign in short)


def nearest(word: str, names: Iterable[str]) -> str:
    """The valid name most like ``word``, letter case ignored; empty when none is near."""
    by_lower = {name.lower(): name for name in names}
    close = difflib.get_close_matches(word.lower()[:LONGEST_SHOWN], list(by_lower), n=1)
    return by_lower[close[0]] if close else ""
