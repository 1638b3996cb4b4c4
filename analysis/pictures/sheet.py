"""The printed sheet for a watch: what to do and what counts, who chases whom, where each fish is."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from ..questions.watching.ethogram import (
    ACTS,
    HIDE,
    HOW_TO_WATCH,
    PLACES,
    PROTOCOL,
    PROTOCOL_SOURCE,
    SIDES,
    UNSEEN,
    WARNING_SIGNS,
)
from ..questions.watching.sheet import GAPS, Line
from ..questions.watching.sheet import Sheet as Content
from .look import species_looks
from .paper import (
    EDGE,
    GREY,
    LEAST,
    Sheet,
    block,
    frame,
    grid,
    line_height,
    lines_of,
    new_sheet,
    rule,
    save_pdf,
    say,
    wide,
)

Item = TypeVar("Item")

TITLE, HEAD, BODY = 16.0, 11.0, 9.0  # points
SCANS_A_PAGE = 20
LINES_A_PAGE = 20
_GAPS_IN_A_ROW = 3
_NAMES = 132.0  # points for the names of rows
_CELL_MAX = 46.0
_TITLE_LINES = 3  # of a long title; the rest is cut
_OTHER = Line("?", "", "not made out", 0)
_FOLLOWED = 4  # empty lines for fish that are followed, where rows are of several fish


def sheet_pages(content: Content, *, paper: str = "a4") -> list[Sheet]:
    """All pages of a sheet: instructions, then the grids.

    Parameters
    ----------
    content : see :func:`rockshy.analysis.questions.watching.sheet.sheet_of`.
    paper : "a4" or "letter".
    """
    pages = [_instructions(content, paper)]
    blocks = _chunks(list(content.lines), LINES_A_PAGE - 1)
    for rows in blocks:
        pages += [_grid(content, paper, rows, columns) for columns in blocks]
    for scans in _chunks(list(content.scans), SCANS_A_PAGE):
        pages += [_places(content, paper, rows, scans) for rows in _chunks(list(content.lines), LINES_A_PAGE)]
    for k, page in enumerate(pages, 1):
        text = f"page {k} of {len(pages)}"
        say(page, content.title, x=EDGE, y=24, size=LEAST, room=page.room - 80)
        say(page, text, x=page.width - EDGE, y=24, size=LEAST, ha="right")
    return pages


def save_sheet(content: Content, path: str | Path, *, paper: str = "a4") -> int:
    """Write a sheet as PDF; returns the number of pages.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    pages = sheet_pages(content, paper=paper)
    subject = f"A sheet for a watch of {content.minutes} minutes: acts, who chases whom, places"
    save_pdf(pages, path, title=f"Watching your own tank: {content.title}", subject=subject)
    return len(pages)


def _chunks(items: list[Item], size: int) -> list[list[Item]]:
    """Parts of at most a size, as even as can be."""
    many = -(-len(items) // size)
    share = -(-len(items) // many)
    return [items[k : k + share] for k in range(0, len(items), share)]


# --- the first page ---------------------------------------------------------------


def _instructions(content: Content, paper: str) -> Sheet:
    page = new_sheet(paper)
    top = page.height - EDGE
    say(
        page,
        f"Watching your own tank for {content.minutes} minutes",
        x=EDGE,
        y=top - 14,
        size=TITLE,
        weight="bold",
    )
    top -= 20
    for one in lines_of(content.title, size=HEAD, room=page.room)[:_TITLE_LINES]:
        say(page, one, x=EDGE, y=top - 12, size=HEAD, room=page.room)
        top -= line_height(HEAD)
    say(page, content.tank, x=EDGE, y=top - 10, size=BODY, room=page.room)
    top = _warning(page, top - 20)
    top = _gaps(page, top - 8)
    top = _list(page, top - 4, "Before you count", HOW_TO_WATCH)
    top = _list(page, top - 6, "While you count", PROTOCOL)
    top = _acts(page, top - 6)
    top = _place_words(page, top - 6)
    block(page, PROTOCOL_SOURCE, x=EDGE, top=top - 4, size=LEAST, room=page.room)
    return page


def _warning(page: Sheet, top: float) -> float:
    inner = page.room - 16
    lines = lines_of(WARNING_SIGNS, size=BODY, room=inner)
    height = (len(lines) + 1.3) * line_height(BODY) + 6
    frame(page, x=EDGE, y=top - height, width=page.room, height=height, linewidth=1.6)
    say(page, "Before anything else", x=EDGE + 8, y=top - 13, size=BODY, weight="bold")
    block(page, WARNING_SIGNS, x=EDGE + 8, top=top - 17, size=BODY, room=inner)
    return top - height


def _gaps(page: Sheet, top: float) -> float:
    """What to fill in, each with a line to write on."""
    names = ("watch no.", *GAPS)
    room = page.room / _GAPS_IN_A_ROW
    for k, name in enumerate(names):
        x, y = EDGE + (k % _GAPS_IN_A_ROW) * room, top - 16 - (k // _GAPS_IN_A_ROW) * 21
        say(page, name, x=x, y=y, size=BODY)
        begin = x + wide(name, size=BODY) + 4
        rule(page, x=(begin, x + room - 10), y=(y - 2, y - 2))
    return top - 16 - ((len(names) - 1) // _GAPS_IN_A_ROW) * 21 - 8


def _heading(page: Sheet, top: float, text: str) -> float:
    say(page, text, x=EDGE, y=top - 12, size=HEAD, weight="bold")
    return top - 17


def _list(page: Sheet, top: float, title: str, texts: Sequence[str]) -> float:
    top = _heading(page, top, title)
    for k, text in enumerate(texts, 1):
        say(page, f"{k}", x=EDGE, y=top - 0.8 * line_height(BODY), size=BODY)
        top = block(page, text, x=EDGE + 14, top=top, size=BODY, room=page.room - 14) - 1.5
    return top


def _acts(page: Sheet, top: float) -> float:
    top = _heading(page, top, "What counts as what")
    room = max(wide(one.name, size=BODY, bold=True) for one in ACTS) + 12
    for name, meaning in [*((one.name, one.meaning) for one in ACTS), ("hide", HIDE)]:
        say(page, name, x=EDGE, y=top - 0.8 * line_height(BODY), size=BODY, weight="bold")
        top = block(page, meaning, x=EDGE + room, top=top, size=BODY, room=page.room - room) - 1
    return top


def _place_words(page: Sheet, top: float) -> float:
    sides = ", ".join(f"{code} {name}" for name, code in SIDES.items())
    top = _heading(page, top, f"Places: {sides} third of the tank, and one of")
    pitch, room = line_height(BODY) + 1, page.room / 2
    for k, one in enumerate((*PLACES, UNSEEN)):
        x, y = EDGE + (k % 2) * room, top - 0.8 * pitch - (k // 2) * pitch
        say(page, one.code, x=x, y=y, size=BODY, weight="bold")
        say(page, f"{one.name}: {one.meaning}", x=x + 14, y=y, size=BODY, room=room - 18)
    return top - -(-(len(PLACES) + 1) // 2) * pitch


# --- the grids --------------------------------------------------------------------


def _top(page: Sheet, title: str, texts: Sequence[str]) -> float:
    say(page, title, x=EDGE, y=page.height - EDGE - 12, size=HEAD + 2, weight="bold")
    top = page.height - EDGE - 20
    for text in texts:
        top = block(page, text, x=EDGE, top=top, size=BODY, room=page.room)
    for k, name in enumerate(("date", "began at", "watch no.")):
        x = EDGE + k * page.room / 3
        say(page, name, x=x, y=top - 17, size=BODY)
        rule(page, x=(x + wide(name, size=BODY) + 4, x + page.room / 3 - 10), y=(top - 19, top - 19))
    return top - 28


def _names(content: Content, line: Line) -> tuple[str, str]:
    """The two lines a fish is named by: species, and which of it, with how many where several."""
    if line is _OTHER:
        return line.name, line.rest
    short = species_looks(one.species for one in content.lines)[line.species].short
    rest = line.rest or "all"
    return short, rest if content.single else f"{rest} ({line.fish})"


def _grid(content: Content, paper: str, rows: list[Line], columns: list[Line]) -> Sheet:
    """Rows do it, columns have it done to them."""
    page = new_sheet(paper)
    top = _top(
        page,
        "Who chases whom",
        (
            "The fish of the row does it to the fish of the column. One stroke for a chase; B for a bite, "
            "in a "
            "chase too; L and F for a lateral and a frontal display; M for a mouth-fight; A for an approach.",
        ),
    )
    rows, columns = [*rows, _OTHER], [*columns, _OTHER]
    heads = max(wide(text, size=LEAST) for line in columns for text in _names(content, line)) + 10
    heads = min(heads, 130.0)
    cell = min((page.room - _NAMES) / len(columns), _CELL_MAX)
    high = min(cell, (top - heads - EDGE - 10) / len(rows))
    left, upper = EDGE + _NAMES, top - heads
    _column_names(page, content, columns, left=left, upper=upper, cell=cell, room=heads - 8)
    for r, row in enumerate(rows):
        y = upper - (r + 1) * high
        _row_name(page, content, row, y=y, high=high)
        if content.single and row is not _OTHER and row in columns:
            x = left + columns.index(row) * cell
            frame(page, x=x, y=y, width=cell, height=high, facecolor=GREY)
        if r and row.species != rows[r - 1].species:
            rule(page, x=(EDGE, left + len(columns) * cell), y=(y + high, y + high), width=1.4)
    bottom = upper - len(rows) * high
    grid(page, x=left, y=bottom, cell=(cell, high), columns=len(columns), rows=len(rows))
    for c in range(1, len(columns)):
        if columns[c].species != columns[c - 1].species:
            x = left + c * cell
            rule(page, x=(x, x), y=(bottom, upper + heads - 6), width=1.4)
    _notes(page, bottom - 16)
    return page


def _column_names(
    page: Sheet,
    content: Content,
    columns: Sequence[Line],
    *,
    left: float,
    upper: float,
    cell: float,
    room: float,
) -> None:
    for c, column in enumerate(columns):
        middle = left + (c + 0.5) * cell
        for k, text in enumerate(_names(content, column)):
            x = middle + (k - 0.5) * line_height(LEAST)
            say(page, text, x=x, y=upper + 4, size=LEAST, room=room, rotation=90, ha="center", va="bottom")


def _row_name(page: Sheet, content: Content, line: Line, *, y: float, high: float) -> None:
    """Two lines where the row is high enough, else one."""
    first, second = _names(content, line)
    room = _NAMES - 8
    if line is not _OTHER and wide(line.species, size=BODY) <= room:
        first = line.species
    if high >= 2 * line_height(LEAST) + 2:
        say(page, first, x=EDGE, y=y + high / 2 + 2, size=BODY, room=room)
        say(page, second, x=EDGE, y=y + high / 2 - line_height(BODY) + 3, size=BODY, room=room)
        return
    first = _names(content, line)[0]
    say(page, f"{first} {second}", x=EDGE, y=y + high / 2, size=LEAST, room=room, va="center_baseline")


def _notes(page: Sheet, top: float) -> None:
    """Lines to write on as far as the page goes."""
    if top - 40 < EDGE:
        return
    say(page, "Other acts (flee ...), and what else you saw", x=EDGE, y=top - 10, size=BODY, weight="bold")
    y = top - 34
    while y > EDGE + 4:
        rule(page, x=(EDGE, page.width - EDGE), y=(y, y), width=0.4)
        y -= 22


def _minute(minute: float) -> str:
    """``"½"``, ``"1"``, ``"1½"``: short enough for a narrow column."""
    whole = int(minute)
    return f"{whole or ''}½" if minute > whole else str(whole)


def _places(content: Content, paper: str, rows: list[Line], scans: list[float]) -> Sheet:
    page = new_sheet(paper)
    codes = "lH, mO, rC ...: third of the tank and place, as on the first page"
    if content.single:
        told = f"At each moment look over the tank once and write where each fish is then ({codes})."
    else:
        told = (
            "At each moment look over the tank once and write how many of them you see OUT, in neither hole "
            "nor "
            f"corner. In the empty rows: one fish you follow, by its marks, and where it is then ({codes})."
        )
    top = _top(
        page, f"Where they are, every 30 seconds: minute {_minute(scans[0])} to {_minute(scans[-1])}", (told,)
    )
    followed = [Line("", "", "", 0)] * (0 if content.single else _FOLLOWED)
    cell = (page.room - _NAMES) / len(scans)
    high = min(30.0, (top - 20 - EDGE) / (len(rows) + len(followed)))
    left, upper = EDGE + _NAMES, top - 18
    for k, minute in enumerate(scans):
        say(page, _minute(minute), x=left + (k + 0.5) * cell, y=upper + 4, size=LEAST, ha="center")
    for r, row in enumerate([*rows, *followed]):
        y = upper - (r + 1) * high
        if row.species:
            _row_name(page, content, row, y=y, high=high)
        else:
            rule(page, x=(EDGE, left - 6), y=(y + 3, y + 3), width=0.4)
        if r and row.species and row.species != rows[r - 1].species:
            rule(page, x=(EDGE, left + len(scans) * cell), y=(y + high, y + high), width=1.4)
    bottom = upper - (len(rows) + len(followed)) * high
    grid(page, x=left, y=bottom, cell=(cell, high), columns=len(scans), rows=len(rows) + len(followed))
    _notes(page, bottom - 16)
    return page
