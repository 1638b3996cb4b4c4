"""The text of a tally as cells under known headings, however a spreadsheet has written it.

Understood: comma, semicolon, tab or bar between cells; UTF-8 (with or without byte-order mark), UTF-16 with
one, Windows-1252; a line sep=; on top; headings in many spellings; comment lines that begin with #, also
where a spreadsheet has put quotation marks round them or empty cells after them; blank lines anywhere.
"""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ....sim.scenario.hints import Hint
from ....sim.scenario.reading.limits import MOST_COLUMNS
from ....sim.scenario.reading.problems import NOTHING, OwnWords, Problem, printable, show

COLUMNS = {
    "watch": ("watch", "watch no", "watch number", "session no", "sitting"),
    "row": ("row", "kind", "kind of row", "what"),
    "date": ("date", "day"),
    "start": ("start", "start time", "began", "begin"),
    "minutes": ("minutes", "length", "duration", "min", "mins"),
    "watched": ("watched", "focal", "focal fish", "watched fish"),
    "chaser": ("chaser", "actor", "from", "by", "biter"),
    "chased": ("chased", "receiver", "to", "whom", "bitten"),
    "act": ("act", "behaviour", "behavior"),
    "count": ("count", "number", "times", "n", "how many"),
    "fish": ("fish", "who"),
    "minute": ("minute", "time", "at", "at minute"),
    "place": ("place", "where"),
    "note": ("note", "notes", "remark", "remarks"),
    "noted": ("noted", "noted down", "what was noted"),
    "light": ("light", "light on", "light on at", "light came on", "light came on at"),
}
NEEDED = ("row", "minutes", "chaser", "chased", "act")
MOST_ROWS = 20_000
_FIELD_OF = {heading: name for name, headings in COLUMNS.items() for heading in headings}
_SEPARATORS = (";", "\t", ",", "|")
_HEADER_WITHIN = 60  # lines from the top in which the header is looked for, comments included
_SLIP = 0.8  # likeness from which an unknown heading counts as a misspelled one
_ALLOWED = f"a header line with the columns {', '.join(COLUMNS)}; it needs {', '.join(NEEDED)}"


@dataclass
class Row:
    """One line of the file: the text under each known heading; problems with its cells."""

    line: int
    texts: dict[str, str]
    headings: dict[str, tuple[int, str]]  # field -> number of the column, from 1, and its heading
    problems: list[Problem] = field(default_factory=list)

    def get(self, name: str) -> str:
        """Text of a cell; "" when blank or the column is absent."""
        return self.texts.get(name, "")

    def problem(self, name: str, *, allowed: str, found: object = None, nearest: Hint = "") -> None:
        """Note a problem with one cell; what stands there is shown unless ``found`` is given."""
        number, heading = self.headings.get(name, (0, ""))
        place = f"column {number} {show(heading)}" if number else f"column {name}"
        shown = show(found if found is not None else self.get(name) or NOTHING)
        self.problems.append(Problem(self.line, place, shown, allowed, nearest))


def read_cells(text: str, problems: list[Problem]) -> list[Row]:
    """The rows below the header that are not blank; what is wrong with the file as a whole is noted."""
    split = _split(text, problems)
    if split is None:
        return []
    known = [{_FIELD_OF.get(_plain(cell)) for cell in cells} - {None} for _, cells in split]
    at = next((k for k, fields in enumerate(known) if len(fields) >= 3), None)
    if at is None:
        first = show(split[0][1][0]) if split else "the file is empty"
        problems.append(Problem(split[0][0] if split else None, "header", first, _ALLOWED))
        return []
    line, names = split[at]
    headings = _headings(names, line, problems)
    rows = [_row(line, cells, names, headings, problems) for line, cells in split[at + 1 :]]
    if len(rows) > MOST_ROWS:
        problems.append(Problem(None, "rows", f"there are {len(rows)}", f"at most {MOST_ROWS}"))
        return []
    return rows


def _split(text: str, problems: list[Problem]) -> list[tuple[int, list[str]]] | None:
    """Rows that are neither blank nor a comment, each with the line it begins on."""
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        allowed = "a CSV file: choose CSV when you save the spreadsheet"
        problems.append(Problem(None, "file", "it is not text", allowed))
        return None
    kept = list(_without_comments(text))
    body = "".join(line for _, line in kept)
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=_separator(body), strict=True)
    rows: list[tuple[int, list[str]]] = []
    at = 0
    try:
        for cells in reader:
            tidy = [printable(" ".join(cell.split())) for cell in cells]
            if any(tidy):
                rows.append((kept[at][0], tidy))
            if sum(map(bool, tidy)) > MOST_COLUMNS:
                allowed = f"at most {MOST_COLUMNS} cells that are not blank"
                problems.append(Problem(kept[at][0], "row", f"it has {len(tidy)} cells", allowed))
                return None
            at = min(reader.line_num, len(kept) - 1)
    except csv.Error as error:
        allowed = f"a closing quotation mark for every opening one ({error})"
        problems.append(Problem(kept[at][0], "row", "the row cannot be split into cells", allowed))
        return None
    return rows


def _without_comments(text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        bare = line.lstrip("\"' \t").lower()
        if not bare.startswith("#") and not bare.startswith("sep="):
            yield number, line + "\n"


def _separator(body: str) -> str:
    """The separator that makes most known headings of one line."""

    def known(line: str, sign: str) -> int:
        return sum(_plain(cell) in _FIELD_OF for cell in line.split(sign, MOST_COLUMNS))

    lines = [line for line in body.split("\n") if line.strip()][:_HEADER_WITHIN]
    best = max(
        ((known(line, sign), -k, sign) for line in lines for k, sign in enumerate(_SEPARATORS)),
        default=(0, 0, ","),
    )
    return best[2] if best[0] > 1 else ","


def _plain(heading: str) -> str:
    return " ".join(heading.strip("\"' ").lower().replace("_", " ").split())


def _headings(names: Sequence[str], line: int, problems: list[Problem]) -> dict[str, tuple[int, str]]:
    headings: dict[str, tuple[int, str]] = {}
    for number, heading in enumerate(names, 1):
        name, place = _FIELD_OF.get(_plain(heading), ""), f"column {number} {show(heading)}"
        if not name:
            close = difflib.get_close_matches(_plain(heading)[:40], list(_FIELD_OF), n=1, cutoff=_SLIP)
            if close:  # a column of notes is nobody's business; a misspelled one would lose acts
                allowed = f"one of the columns {', '.join(COLUMNS)}"
                problems.append(Problem(line, place, show(heading), allowed, close[0]))
        elif name in headings:
            first = headings[name]
            allowed = f"one column {name}: column {first[0]} {show(first[1])} already is"
            problems.append(Problem(line, place, show(heading), allowed))
        else:
            headings[name] = (number, heading)
    for name in NEEDED:
        if name not in headings and not any(one.line == line and one.nearest == name for one in problems):
            problems.append(Problem(line, "header", f"there is no column {name}", _ALLOWED))
    return headings


def _row(
    line: int,
    cells: Sequence[str],
    names: Sequence[str],
    headings: dict[str, tuple[int, str]],
    problems: list[Problem],
) -> Row:
    texts = {name: cells[number - 1] for name, (number, _) in headings.items() if number <= len(cells)}
    row = Row(line, texts, headings, problems)
    if any(cells[len(names) :]):
        found = OwnWords(f"the row has {len(cells)} cells")
        allowed = f"{len(names)} cells as in the header, and semicolons between cells if decimals have commas"
        problems.append(Problem(line, f"column {len(names) + 1}", found, allowed))
    return row
