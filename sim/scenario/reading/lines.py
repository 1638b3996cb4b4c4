"""On which line of a TOML text each key stands. The text has passed tomllib, so only valid TOML is met."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

from .problems import Place

_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\])*"'
    r"|'[^']*'",
    re.DOTALL,
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}\n#]+")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")


def line_numbers(text: str) -> dict[Place, int]:
    """Map every table, key and array item of a valid TOML text to its line, counted from 1.

    ``[[stock]]`` rows and array items appear with their index: ``("stock", 0, "species")``.
    """
    return Scanner(text).scan()


class Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.starts = [0] + [found.end() for found in re.finditer("\n", text)]
        self.lines: dict[Place, int] = {}
        self.rows: dict[Place, int] = {}  # how many rows each [[table]] has so far

    def scan(self) -> dict[Place, int]:
        table: Place = ()
        self.blank()
        while self.at < len(self.text):
            if self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table)
            self.blank()
        return self.lines

    def header(self) -> Place:
        line = self.line()
        is_row = self.text.startswith("[[", self.at)
        self.at += 2 if is_row else 1
        parts = self.key()
        self.at += 2 if is_row else 1
        for depth in range(len(parts)):
            place = self.inside((), parts[:depth]) + (parts[depth],)
            self.lines.setdefault(place, line)
        if is_row:
            self.rows[place] = self.rows.get(place, 0) + 1
        place = self.inside((), parts)
        self.lines.setdefault(place, line)
        return place

    def inside(self, table: Place, parts: list[str]) -> Place:
        """The place of a dotted name; a name of [[rows]] means the row being written."""
        place = table
        for part in parts:
            place += (part,)
            if place in self.rows:
                place += (self.rows[place] - 1,)
        return place

    def pair(self, table: Place) -> None:
        line = self.line()
        place = table
        for part in self.key():
            place += (part,)
            self.lines.setdefault(place, line)
        self.at += 1  # the equals sign
        self.blank()
        self.value(place)

    def key(self) -> list[str]:
        parts: list[str] = []
        while True:
            self.blank()
            quoted = _STRING.match(self.text, self.at)
            bare = quoted or _BARE_KEY.match(self.text, self.at)
            assert bare is not None, "the text has passed tomllib"
            self.at = bare.end()
            parts.append(tomllib.loads(f"k = {quoted[0]}")["k"] if quoted else bare[0])
            self.blank()
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def value(self, place: Place) -> None:
        self.lines.setdefault(place, self.line())
        opening = self.text[self.at]
        if opening == "[":
            self.items(place)
        elif opening == "{":
            self.inline_table(place)
        else:
            found = _STRING.match(self.text, self.at) or _BARE_VALUE.match(self.text, self.at)
            assert found is not None, "the text has passed tomllib"
            self.at = found.end()

    def items(self, place: Place) -> None:
        self.at += 1
        self.blank()
        count = 0
        while self.text[self.at] != "]":
            self.value(place + (count,))
            count += 1
            self.comma()
        self.at += 1

    def inline_table(self, place: Place) -> None:
        self.at += 1
        self.blank()
        while self.text[self.at] != "}":
            self.pair(place)
            self.comma()
        self.at += 1

    def comma(self) -> None:
        self.blank()
        if self.text[self.at] == ",":
            self.at += 1
            self.blank()

    def blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def line(self) -> int:
        return bisect_right(self.starts, self.at)
