"""The stock list as a CSV file, as keepers and their spreadsheets write it.

Understood: comma, semicolon, tab or bar between cells; UTF-8 (with or without byte-order mark),
UTF-16 with one, Windows-1252; headers in many spellings; numbers in a count or sex column written
"4", "1m3f", "1/3" or "1.3.4" (males.females.unsexed: common practice among breeders, no source).
Where there are a scientific and a common name the scientific one counts; columns with other
headers are left alone unless they look like a slip of the pen. Rows that say 0 are left out.
A list whose first lines have no header of fish is read line by line (:mod:`.typed_lines`).
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from .. import units
from ..hints import Hint
from . import counts, limits
from .limits import LIMITS
from .problems import NOTHING, Problem, printable, show
from .stock import Asked, read_length
from .typed_lines import read_lines

_HEADERS = {
    "species": ("species", "scientific name", "latin name", "scientific", "latin"),
    "name": ("name", "fish", "common name", "common", "trade name", "what"),
    "males": ("males", "male", "m", "♂"),
    "females": ("females", "female", "f", "♀"),
    "unsexed": ("unsexed", "unknown", "juveniles", "juvenile", "juvs", "juv", "j", "u", "?", "young"),
    "holding": ("holding", "holding females", "with eggs"),
    "count": ("count", "qty", "quantity", "number", "no", "no.", "n", "#", "how many", "total"),
    "sex": ("sex", "sexes", "gender", "m/f", "m.f", "m.f.u", "m/f/u", "sex ratio", "ratio"),
    "length": ("length", "size", "tl", "total length"),
    "day": ("day", "added", "day added", "in", "day in"),
    "out": ("out", "removed", "day out", "day removed", "taken out"),
}
_FIELD_OF = {header: name for name, headers in _HEADERS.items() for header in headers}
_STANDARD_LENGTH = ("sl", "standard length")
_UNIT_WORDS = {"cm": "cm", "mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_NEEDS = (
    "a header line with a column species (or fish, or name) and columns for how many: "
    "males, females, unsexed or count"
)
_BLANK = ("", "-", "–", "—", "?", "n/a", "na", "unknown")
_SEPARATORS = (";", "\t", ",", "|")
_HEADER_WITHIN = 10  # rows from the top in which the header is looked for; a title may stand above it
_SLIP = 0.8  # likeness from which an unknown header counts as a misspelled one


class Column(NamedTuple):
    number: int  # from 1
    header: str  # as written
    unit: str  # of bare numbers, "" where the header gives none: cm


class Notes(NamedTuple):
    """What is wrong with a file."""

    file: str
    problems: list[Problem]

    def add(self, line: int | None, key: str, found: str, allowed: str, nearest: Hint = "") -> None:
        self.problems.append(Problem(line, key, found, allowed, nearest, self.file))


class Cells(NamedTuple):
    """One row: the text under each known column."""

    line: int
    texts: dict[str, str]
    columns: dict[str, Column]
    notes: Notes

    def get(self, name: str) -> str:
        """Text of a cell; "" when blank or the column is absent."""
        return self.texts.get(name, "")

    def problem(self, key: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        """Note a problem with one field of the row."""
        column = self.columns.get(key) or (self.columns.get("name") if key == "species" else None)
        place = f"column {column.number} {show(column.header)}" if column else key
        text = self.get(key) or (self.get("name") if key == "species" else "")
        self.notes.add(self.line, place, show(text or NOTHING if found is None else found), allowed, nearest)


def decode(data: bytes) -> str:
    """Text of a stock list file; raises UnicodeError when it is in none of the known encodings."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252")


def read_list(text: str, *, file: str, problems: list[Problem]) -> list[Asked]:
    """The rows of a stock list; what is wrong is added to ``problems``, later by the rows' ``report`` too."""
    notes = Notes(file, problems)
    if text.strip() and "\0" not in text and not _has_header(text):
        return _fish_or_problem(read_lines(text, notes), notes)
    rows = _split(text, notes)
    if rows is None:
        return []
    header = _find_header(rows)
    if header is None:
        first = show(rows[0][1][0]) if rows else "the list is empty"
        notes.add(rows[0][0] if rows else None, "header", first, _NEEDS)
        return []
    line, names = rows[header]
    columns = _columns(names, line, notes)
    cells = [_cells(line, texts, len(names), columns, notes) for line, texts in rows[header + 1 :]]
    read = [_read_row(one) for one in _with_units(cells)]
    return _fish_or_problem([one for one in read if one is not None], notes)


def lengths_of(text: str) -> list[tuple[str, str]]:
    """Name and length of each row of a list that has one, with the unit that the header gives."""
    notes = Notes("", [])
    rows = _split(text, notes) if text and _has_header(text) else None
    header = None if rows is None else _find_header(rows)
    if rows is None or header is None:
        return []
    columns = _columns(rows[header][1], 0, notes)
    cells = [_cells(line, texts, len(rows[header][1]), columns, notes) for line, texts in rows[header + 1 :]]
    return [
        (row.get("species") or row.get("name"), f"{row.get('length')} {row.columns['length'].unit}".strip())
        for row in cells
        if row.get("length").lower() not in _BLANK
    ]


def _fish_or_problem(asked: list[Asked], notes: Notes) -> list[Asked]:
    if not asked and not notes.problems:
        notes.add(None, "rows", "there are no fish", "at least one row with fish")
    if len(asked) > limits.MOST_FISH:
        notes.add(None, "rows", f"{len(asked)} rows have fish", f"at most {limits.MOST_FISH} fish in all")
    return asked[: limits.MOST_FISH]


def _has_header(text: str) -> bool:
    """Whether one of the first lines that are not blank has a cell that heads a column of fish."""
    lines = [line for line in text.splitlines() if line.strip(" ;,\t|")][:_HEADER_WITHIN]
    return any(map(is_header, lines))


def is_header(line: str) -> bool:
    """Whether a line has a cell that heads a column of fish."""
    cells = (cell.strip('\ufeff" ') for cell in re.split(r"[;,\t|]", line))
    return any(_field(cell)[0] in ("species", "name") for cell in cells)


def _split(text: str, notes: Notes) -> list[tuple[int, list[str]]] | None:
    """Rows that are not blank, each with the line it begins on; None after a problem."""
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        notes.add(None, "file", "it is not text", "a CSV file: choose CSV when you save the spreadsheet")
        return None
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=_separator(text), strict=True, skipinitialspace=True
    )
    rows: list[tuple[int, list[str]]] = []
    line = 1
    try:
        for cells in reader:
            tidy = [printable(" ".join(cell.split())) for cell in cells]
            if any(tidy) and not tidy[0].startswith("#") and not tidy[0].lower().startswith("sep="):
                rows.append((line, tidy))
            if sum(map(bool, tidy)) > limits.MOST_COLUMNS:
                allowed = f"at most {limits.MOST_COLUMNS} cells that are not blank"
                notes.add(line, "row", f"it has {len(tidy)} cells", allowed)
                return None
            line = reader.line_num + 1
    except csv.Error as error:
        allowed = f"a closing quotation mark for every opening one ({error})"
        notes.add(line, "row", "the row cannot be split into cells", allowed)
        return None
    if len(rows) > limits.MOST_ROWS:
        notes.add(None, "rows", f"there are {len(rows)} rows", f"at most {limits.MOST_ROWS}")
        return None
    return rows


def _separator(text: str) -> str:
    """The separator that the header line holds most often."""
    for line in text.split("\n")[: 2 * _HEADER_WITHIN]:
        if line.lower().startswith("sep=") and len(line.strip()) == 5 and line[4] in _SEPARATORS:
            return line[4]
        best = max(_SEPARATORS, key=line.count)
        known = {_field(cell.strip('" '))[0] for cell in line.strip().split(best, limits.MOST_COLUMNS)}
        if known & {"species", "name"} and best in line:
            return best
    return ","


def _find_header(rows: Sequence[tuple[int, list[str]]]) -> int | None:
    for number, (_, cells) in enumerate(rows[:_HEADER_WITHIN]):
        known = {_field(cell)[0] for cell in cells}
        if known & {"species", "name"} and known & {"males", "females", "unsexed", "count", "sex"}:
            return number
    return None


def _field(header: str) -> tuple[str, str]:
    """Field that a header names ("" when unknown) and the unit it gives to bare numbers, "" for none."""
    plain = " ".join(re.sub(r"[()\[\],:_]", " ", header.lower()).split())
    if plain in _FIELD_OF:
        return _FIELD_OF[plain], ""
    words = plain.split()
    unit = _UNIT_WORDS.get(words[-1], "") if len(words) > 1 else ""
    if unit:
        words = words[: -2 if len(words) > 2 and words[-2] == "in" else -1]
    if len(words) > 1 and words[-1] == "tl":
        words = words[:-1]
    name = _FIELD_OF.get(" ".join(words), "")
    return name, unit


def _columns(names: Sequence[str], line: int, notes: Notes) -> dict[str, Column]:
    columns: dict[str, Column] = {}
    for number, header in enumerate(names, start=1):
        name, unit = _field(header)
        key = f"column {number} {show(header)}"
        if not name:
            _check_unknown(header, key, line, notes)
        elif name in columns:
            first = columns[name]
            allowed = f"one column for {name}: column {first.number} {show(first.header)} already is"
            notes.add(line, key, show(header), allowed)
        else:
            columns[name] = Column(number, header, unit)
    return columns


def _check_unknown(header: str, key: str, line: int, notes: Notes) -> None:
    """A column of notes is nobody's business; a misspelled one would lose fish."""
    lower = header.lower()
    words = [word for word in _FIELD_OF if len(word) > 2]
    close = difflib.get_close_matches(lower[:40], words, n=1, cutoff=_SLIP) if header else []
    if lower in _STANDARD_LENGTH:
        allowed = "total length (TL), of which standard length (SL) is about 0.8 (from memory)"
        notes.add(line, key, show(header), allowed, "TL")
    elif close:
        notes.add(line, key, show(header), f"one of the columns {', '.join(_HEADERS)}", close[0])


def _cells(line: int, texts: Sequence[str], width: int, columns: dict[str, Column], notes: Notes) -> Cells:
    found = {name: texts[one.number - 1] for name, one in columns.items() if one.number <= len(texts)}
    if any(texts[width:]):
        allowed = f"{width} cells as in the header, and semicolons between cells if decimals have commas"
        notes.add(line, f"column {width + 1}", f"the row has {len(texts)} cells", allowed)
    return Cells(line, found, columns, notes)


def _with_units(rows: Sequence[Cells]) -> list[Cells]:
    """The rows whose length can be read.

    A bare one under a header without a unit is in cm; beside inches in its column it is asked about.
    """
    lengths = [row.get("length") for row in rows]
    inches = next((text for text in lengths if units.is_imperial(text)), None)
    kept = []
    for row, text in zip(rows, lengths, strict=True):
        if inches is not None and units.is_bare(text) and not row.columns["length"].unit:
            allowed = f'a unit, "{text} in" or "{text} cm": the same column has {show(inches)}'
            row.problem("length", allowed=allowed)
        else:
            kept.append(row)
    return kept


def _read_row(cells: Cells) -> Asked | None:
    """One row; None when it says that there are no such fish."""
    before = len(cells.notes.problems)
    species = cells.get("species") or cells.get("name")
    if not species or len(species) > limits.LONGEST_NAME:
        cells.problem("species", allowed=f"the name of a species, at most {limits.LONGEST_NAME} characters")
        species = ""
    fish = counts.read(cells)
    if fish == counts.Fish(0, 0, 0) and len(cells.notes.problems) == before:
        return None
    length = None
    if cells.get("length").lower() not in _BLANK:
        column = cells.columns["length"]
        length = read_length(cells.get("length"), cells.problem, plain=column.unit or "cm")
    day = _day(cells, "day")
    asked = Asked(
        species,
        *(fish or (0, 0, 0)),
        counts.read_holding(cells, fish),
        length,
        0.0 if day is None else day,
        _day(cells, "out"),
        report=cells.problem,
    )
    return replace(asked, good=len(cells.notes.problems) == before)


def _day(cells: Cells, name: str) -> float | None:
    text = cells.get(name).lower()
    if text in _BLANK:
        return None
    limit = LIMITS[f"stock.{name}"]
    try:
        day = units.number(text.removeprefix("day").strip())
    except units.UnitError:
        day = -1.0
    if limit.holds(day):
        return day
    cells.problem(name, allowed=f"a day of the simulation, {limit.say()}")
    return None
