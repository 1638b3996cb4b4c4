"""Problems of a scenario file: collected while reading goes on, then reported all at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..hints import NOTHING as NOTHING
from ..hints import Hint, Hinted, wrong
from ..hints import OwnWords as OwnWords
from ..hints import Shown as Shown
from ..hints import nearest as nearest

Place = tuple[str | int, ...]  # ("stock", 2, "length"): where a value stands in the file

LONGEST_SHOWN = 60  # characters of a found value that a message repeats
MOST_SHOWN = 20  # problems of a file, or names of a list, that a message repeats


@dataclass(frozen=True)
class Problem(Hinted):
    """One thing that is wrong.

    Attributes
    ----------
    line : int or None
        Line of the file, from 1; None when the whole file is meant.
    key : str
        What it is about: ``"tank.length"``, or ``'column 4 "size"'`` of a stock list.
    found, allowed : str
    hint : Hint
        The nearest valid name or value, which ``nearest`` gives in words; empty when there is none.
    file : str
        Name of the stock list when the problem lies there; empty for the scenario file.
    place : tuple
        Where the value stands in the scenario file, ("stock", 2, "length"); empty when that is not known.
    """

    line: int | None
    key: str
    found: str
    allowed: str
    hint: Hint = ""
    file: str = ""
    place: Place = ()

    @property
    def where(self) -> str:
        """What it is about, with the number of the row: ``"stock 2, length"``."""
        text = ""
        for part in self.place:
            if isinstance(part, int):
                text += f" {part + 1}"
            elif text:
                text += f", {part}" if text[-1].isdigit() else f".{part}"
            else:
                text = part
        return _short(text) if text else self.key

    @property
    def said(self) -> str:
        """What is wrong, without the place."""
        return printable(self.hinted(wrong(self.found, self.allowed)))

    def __str__(self) -> str:
        place = [self.file, f"line {self.line}" if self.line is not None else "", self.where]
        text = wrong(self.found, self.allowed, place=", ".join(part for part in place if part))
        return printable(self.hinted(text))


class ScenarioError(ValueError):
    """A file that cannot be used.

    Attributes
    ----------
    name : what messages call the file.
    count : how many things are wrong with it.
    problems : the first of them, at most MOST_SHOWN, in the order of their lines: line, key, what was
        found, what is allowed, the nearest.

    Source
    ------
    The project's own.
    """

    def __init__(self, name: str, problems: Iterable[Problem]) -> None:
        every = sorted(problems, key=lambda one: (one.file, one.line or 0))
        self.name = name
        self.count = len(every)
        self.problems = [replace(one, hint=one.nearest) for one in every[:MOST_SHOWN]]
        super().__init__(name, self.problems)

    @property
    def more(self) -> str:
        """How many problems there are beside ``problems``, in words; empty when there are none."""
        left = self.count - len(self.problems)
        return f"and {left} more problem{'' if left == 1 else 's'}" if left else ""

    def sentences(self) -> list[str]:
        """Each problem, and how many more there are."""
        return [*map(str, self.problems), *filter(None, [self.more])]

    def __str__(self) -> str:
        head = f"{printable(self.name)}: {self.count} problem{'' if self.count == 1 else 's'}"
        return "\n".join([head, *(f"  {one}" for one in self.sentences())])


@dataclass
class Book:
    """Collects problems and knows on which line each place of the file stands."""

    lines: Mapping[Place, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def add(self, place: Place, *, found: object, allowed: str, nearest: Hint = "") -> None:
        """Note a problem; ``found`` is shown as :func:`show` shows it unless it is :class:`OwnWords`."""
        key = _short(".".join(part for part in place if isinstance(part, str)))
        self.problems.append(Problem(self.line(place), key, show(found), allowed, nearest, place=place))

    def line(self, place: Place) -> int | None:
        """Line of a place, or of the innermost table around it that is in the file."""
        for length in range(len(place), 0, -1):
            if place[:length] in self.lines:
                return self.lines[place[:length]]
        return None


def show(value: object) -> OwnWords:
    """A found value in a message: text in quotation marks, long things shortened."""
    if isinstance(value, OwnWords):
        return value
    return Shown(_shown(value))


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if len(value) > 2 else f"[{', '.join(_shown(one) for one in value)}]"
    try:
        text = str(value)
    except ValueError:  # Python refuses to write out integers of many thousand digits
        return "a number of many thousand digits"
    text = _short(text)
    return f'"{text}"' if isinstance(value, str) else text


def listed(names: Sequence[str]) -> str:
    """Names in a message: the first of them, and how many more there are."""
    more = len(names) - MOST_SHOWN
    return ", ".join(names[:MOST_SHOWN]) + (f" and {more} more" if more > 0 else "")


def printable(text: str) -> str:
    """Text from outside, fit for a terminal: signs that could move its cursor are spelled out."""
    return text if text.isprintable() else "".join(map(_sign, text))


def _sign(sign: str) -> str:
    if sign.isprintable():
        return sign
    return " " if sign.isspace() else sign.encode("unicode_escape").decode("ascii")


def _short(text: str) -> str:
    return printable(text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "...")
