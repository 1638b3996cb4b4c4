"""A stock list without columns, as keepers type it: "1m3f yellow lab", "6 acei", "demasoni x 12, 2 in".

A line may hold several entries with commas or "and" between them. How many, of which sex, how long and the
name stand in any order; what is left of an entry without the others is the name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from ..hints import Hint, Refusal
from . import counts, limits
from .problems import OwnWords, printable, show
from .stock import Asked, read_length

if TYPE_CHECKING:
    from .stocklist import Notes

LONGEST_LINE = 200  # signs; longer is no line of a stock list and is not searched
_HOW_MANY = (
    'how many and the name, "6 acei", "1m3f yellow lab" or "demasoni x 12", with a length "6 acei 3 in"; or '
    'put a header line above all rows, such as "species, males, females"'
)
_PLAIN = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "–": "-", "—": "-", "−": "-", "×": "x", "’": "'", "\t": ";", "½": " 1/2"}
)
_BULLET = re.compile(r"^[\s*•·>-]+")
_BETWEEN = re.compile(r"\s*[;|]\s*|\s*,(?!\d)\s*|\s+(?:\+|and)\s+", re.IGNORECASE)
_AMOUNT = r"(?:\d{1,3}(?:[.,]\d+)?(?: \d/\d)?|\d/\d)"
_UNIT = r"(?:cm|mm|inch(?:es)?|in\.?|\")"
_SIZE = re.compile(
    rf"(?:\b(?:at|about|around)\b|[@~])?\s*(?<![\w./,])"
    rf"((?P<low>{_AMOUNT})\s*{_UNIT}?\s*(?:-|to)\s*(?P<high>{_AMOUNT}\s*{_UNIT})|(?P<only>{_AMOUNT}\s*{_UNIT}))"
    r"(?![a-z])\s*(?P<standard>sl\b)?(?:tl\b)?",
    re.IGNORECASE,
)
_GENERATION = re.compile(r"\b(?:f[0-4]|wc|wild|caught)\b", re.IGNORECASE)
_GROUP = re.compile(r"\b(?:a\s+)?(pair|trio)s?\b", re.IGNORECASE)
_SPLIT = re.compile(r"(?<![\w.,/:-])(\d{1,6})([./:])(\d{1,6})(?:\2(\d{1,6}))?(?![\w.,/:-])")
_NUMBER = re.compile(r"(?<![\w.,/-])(?:x ?)?(\d{1,6})(?: ?x(?![a-z]))?(?![\w.,/-])", re.IGNORECASE)
_SEX = re.compile(
    r"\b(males?|females?|unsexed|juveniles?|juvs?|young|fry|(?:sub-?)?adults?)\b", re.IGNORECASE
)
_NO_NAME = re.compile(r"^(?:(?:a|of|with|group|colony)\s+)+", re.IGNORECASE)
_SIGNS = " -:,;&/().=@~*"


class _WrongError(Refusal):
    """An entry that cannot be read."""


class Entry(NamedTuple):
    """One entry of a line: the name as typed, how many of which sex, and the length as typed, "" without."""

    name: str
    fish: counts.Fish
    size: str


class _Line(NamedTuple):
    """What a message says of a line; ``text`` is what it repeats."""

    number: int
    text: str
    notes: Notes

    def problem(self, key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        key = key if key in ("species", "length") else "row"
        self.notes.add(self.number, key, show(self.text if found is None else found), allowed, nearest)


def read_lines(text: str, notes: Notes) -> list[Asked]:
    """The rows of a list without a header; a line that ends in ":" and has no number is a title."""
    found: list[Asked] = []
    lines = text.splitlines()
    if len(lines) > limits.MOST_ROWS:
        notes.add(None, "rows", f"{len(lines)} rows", f"at most {limits.MOST_ROWS} rows")
        return []
    for number, raw in enumerate(lines, start=1):
        tidy = _BULLET.sub("", " ".join(printable(raw.translate(_PLAIN)).split()))
        is_title = tidy.endswith(":") and not re.search(r"\d", tidy)
        if tidy and not tidy.startswith("#") and not is_title:
            found += _read_line(_Line(number, tidy, notes))
    return found


def _read_line(line: _Line) -> list[Asked]:
    if len(line.text) > LONGEST_LINE:
        line.problem("row", allowed=f"at most {LONGEST_LINE} characters in a line")
        return []
    try:
        return [_asked(entry, line) for entry in entries_of(line.text) if any(entry.fish)]
    except _WrongError as wrong:
        line.problem(wrong.key, found=OwnWords(f"{show(line.text)} has {wrong.found}"), allowed=wrong.allowed)
        return []


def _asked(entry: Entry, line: _Line) -> Asked:
    before = len(line.notes.problems)
    length = read_length(entry.size, line._replace(text=entry.size).problem) if entry.size else None
    asked = Asked(entry.name, *entry.fish, length_cm=length, report=line._replace(text=entry.name).problem)
    return replace(asked, good=len(line.notes.problems) == before)


def entries_of(text: str) -> list[Entry]:
    """Every entry of a line; where the parts between its commas are no entries, the whole line is one.

    Raises Refusal when that is none either.
    """
    try:
        return [_entry(part) for part in _BETWEEN.split(text) if part.strip(_SIGNS)]
    except _WrongError:
        return [_entry(_BETWEEN.sub(" ", text))]


def _entry(text: str) -> Entry:
    size, rest = _taken_size(text)
    fish, rest = _taken_fish(_GENERATION.sub(" ", rest))
    outside = re.sub(r"\([^()]*\)", " ", rest)
    name = " ".join((outside if outside.strip(_SIGNS) else rest).split()).strip(_SIGNS)
    name = _NO_NAME.sub("", name.removesuffix(" x").removeprefix("x ")).strip(_SIGNS)
    if not name or len(name) > limits.LONGEST_NAME:
        raise _WrongError("no name of a fish", _HOW_MANY)
    return Entry(name, fish, size)


def _taken_size(text: str) -> tuple[str, str]:
    """The length as typed, and the text without it."""
    sizes = list(_SIZE.finditer(text))
    if not sizes:
        return "", text
    one = sizes[0]
    if len(sizes) > 1 or one["standard"]:
        allowed = "one total length (TL), of which standard length (SL) is about 0.8 (from memory)"
        raise _WrongError("a standard length" if one["standard"] else "two lengths", allowed, key="length")
    return one["only"] or f"{one['low']}-{one['high']}", f"{text[: one.start()]} {text[one.end() :]}"


def _taken_fish(text: str) -> tuple[counts.Fish, str]:
    """How many of which sex, and the text without it."""
    fish, text = counts.lettered(text)
    groups, text = _GROUP.findall(text), _GROUP.sub(" ", text)
    split = _SPLIT.search(text)
    if split is not None and fish is None:
        fish = counts.Fish(int(split[1]), int(split[3]), int(split[4] or 0))
        text = f"{text[: split.start()]} {text[split.end() :]}"
    sexes, text = {word.lower().rstrip("s") for word in _SEX.findall(text)}, _SEX.sub(" ", text)
    numbers, text = [int(one) for one in _NUMBER.findall(text)], _NUMBER.sub(" ", text)
    if groups and fish is None:
        times, numbers = (numbers[0], []) if len(numbers) == 1 else (1, numbers)
        fish = counts.Fish(*(times * one for one in counts.NAMED[groups[0].lower()]))
    fish = _together(fish, numbers, sexes & {"male", "female"})
    if max(fish) > counts.MOST.high:
        raise _WrongError("too many fish", counts.MOST.say())
    return fish, text


def _together(fish: counts.Fish | None, numbers: Sequence[int], sexes: set[str]) -> counts.Fish:
    """Numbers by sex, a number of all, and words for a sex, taken together."""
    if len(numbers) > 1:
        found = f"{len(numbers)} numbers without a unit"
        raise _WrongError(found, 'one number of fish, and a unit with the length: "6 acei 3 in"')
    if fish is None:
        if not numbers:
            raise _WrongError("no number of fish", _HOW_MANY)
        if len(sexes) > 1:
            raise _WrongError("one number for males and females", _HOW_MANY)
        return counts.of_sex(f"{sexes.pop()}s" if sexes else "unsexed", numbers[0])
    unsaid = numbers[0] - sum(fish) if numbers else 0
    if unsaid < 0 or sexes:
        raise _WrongError("numbers that do not agree", _HOW_MANY)
    return fish._replace(unsexed=fish.unsexed + unsaid)
