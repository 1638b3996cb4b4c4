"""The printed sheet for a watch: what to do and what counts, who is out and who hidden, who chases whom."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, TypeVar

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
from .paper import EDGE, GREY, HEAD, LEAST, TITLE, Sheet, save_pdf

Item = TypeVar("Item")

SCANS_A_PAGE = 20
LINES_A_PAGE = 20
_GAPS_IN_A_ROW = 3
_NAMES = 132.0  # points for the names of rows
_CELL_MAX = 46.0
_TITLE_LINES = 3  # of a long title; the rest is cut
_OTHER = Line("?", "", "not made out", 0)
_FOLLOWED = 4  # empty lines for fish that are followed, where rows are of several fish


def sheet_pages(content: Content, *, paper: str = "a4") -> list[Sheet]:
    """All pages of a sheet: instructions, the looks, then the chases.

    Parameters
    ----------
    content : see :func:`rockshy.analysis.questions.watching.sheet.sheet_of`.
    paper : "a4" or "letter".
    """
    pages = [_instructions(content, paper)]
    for scans in _chunks(list(content.scans), SCANS_A_PAGE):
        pages += [_places(content, paper, rows, scans) for rows in _chunks(list(content.lines), LINES_A_PAGE)]
    blocks = _chunks(list(content.lines), LINES_A_PAGE - 1)
    for rows in blocks:
        pages += [_grid(content, paper, rows, columns) for columns in blocks]
    for k, page in enumerate(pages, 1):
        page.put(content.title, EDGE, 24, size=LEAST, room=page.room - 80)
        page.put(f"page {k} of {len(pages)}", page.width - EDGE, 24, size=LEAST, ha="right")
    return pages


def save_sheet(content: Content, path: str | Path, *, paper: str = "a4") -> int:
    """Write a sheet as PDF; returns the number of pages.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    pages = sheet_pages(content, paper=paper)
    subject = f"A sheet for a watch of {content.minutes} minutes: who is out and who hidden, who chases whom"
    save_pdf(pages, path, title=f"Watching your own tank: {content.title}", subject=subject)
    return len(pages)


def _chunks(items: list[Item], size: int) -> list[list[Item]]:
    """Parts of at most a size, as even as can be."""
    many = -(-len(items) // size)
    share = -(-len(items) // many)
    return [items[k : k + share] for k in range(0, len(items), share)]


# --- the first page ---------------------------------------------------------------


def _instructions(content: Content, paper: str) -> Sheet:
    page = Sheet(paper)
    top = page.height - EDGE
    title = f"Watching your own tank for {content.minutes} minutes"
    page.put(title, EDGE, top - 14, size=TITLE, bold=True)
    top -= 20
    for one in page.lines(content.title, size=HEAD, room=page.room)[:_TITLE_LINES]:
        page.put(one, EDGE, top - 12, size=HEAD, room=page.room)
        top -= page.pitch(HEAD)
    page.put(content.tank, EDGE, top - 10, room=page.room)
    top = _warning(page, top - 20)
    names = ("watch no.", *GAPS)
    page.gaps(names, top - 24, columns=_GAPS_IN_A_ROW, pitch=21, end=10)
    top -= 32 + ((len(names) - 1) // _GAPS_IN_A_ROW) * 21
    top = _list(page, top - 4, "Before you count", HOW_TO_WATCH)
    top = _list(page, top - 6, "While you count", PROTOCOL)
    top = page.heading(top - 6, "What counts as what", below=17)
    room = max(page.wide(one.name, bold=True) for one in ACTS) + 12
    for name, meaning in [*((one.name, one.meaning) for one in ACTS), ("hide", HIDE)]:
        top = page.listed(name, meaning, top, gap=1, bold=True, aside=room)
    top = _place_words(page, top - 6)
    page.block(PROTOCOL_SOURCE, EDGE, top - 4, size=LEAST, room=page.room)
    return page


def _warning(page: Sheet, top: float) -> float:
    inner = page.room - 16
    height = (len(page.lines(WARNING_SIGNS, room=inner)) + 1.3) * page.pitch() + 6
    page.frame(EDGE, top - height, page.room, height, linewidth=1.6)
    page.put("Before anything else", EDGE + 8, top - 13, bold=True)
    page.block(WARNING_SIGNS, EDGE + 8, top - 17, room=inner)
    return top - height


def _list(page: Sheet, top: float, title: str, texts: Sequence[str]) -> float:
    top = page.heading(top, title, below=17)
    for k, text in enumerate(texts, 1):
        top = page.listed(f"{k}", text, top, gap=1.5)
    return top


def _place_words(page: Sheet, top: float) -> float:
    sides = ", ".join(f"{code} {name}" for name, code in SIDES.items())
    top = page.heading(top, f"Places: {sides} third of the tank, and one of", below=17)
    pitch, room = page.pitch() + 1, page.room / 2
    for k, one in enumerate((*PLACES, UNSEEN)):
        x, y = EDGE + (k % 2) * room, top - 0.8 * pitch - (k // 2) * pitch
        page.put(one.code, x, y, bold=True)
        page.put(f"{one.name}: {one.meaning}", x + 14, y, room=room - 18)
    return top - -(-(len(PLACES) + 1) // 2) * pitch


# --- the grids --------------------------------------------------------------------


def _top(page: Sheet, title: str, text: str) -> float:
    page.put(title, EDGE, page.height - EDGE - 12, size=HEAD + 2, bold=True)
    top = page.block(text, EDGE, page.height - EDGE - 20, room=page.room)
    page.gaps(("date", "began at", "watch no."), top - 17, columns=3, pitch=0, end=10)
    return top - 28


def _names(content: Content, line: Line) -> tuple[str, str]:
    """The two lines a fish is named by: species, and which of it, with how many where several."""
    if line is _OTHER:
        return line.name, line.rest
    short = line.typed or species_looks(one.species for one in content.lines)[line.species].short
    rest = line.rest or "all"
    return short, rest if content.single else f"{rest} ({line.fish})"


def _grid(content: Content, paper: str, rows: list[Line], columns: list[Line]) -> Sheet:
    """Rows do it, columns have it done to them."""
    page = Sheet(paper)
    told = (
        "The fish of the row does it to the fish of the column. One stroke for a chase; B for a bite, in a "
        "chase too; L and F for a lateral and a frontal display; M for a mouth-fight; A for an approach."
    )
    top = _top(page, "Then, if there is time: who chases whom", told)
    rows, columns = [*rows, _OTHER], [*columns, _OTHER]
    widest = max(page.wide(text, size=LEAST) for line in columns for text in _names(content, line))
    heads = min(widest + 10, 130.0)
    cell = min((page.room - _NAMES) / len(columns), _CELL_MAX)
    high = min(cell, (top - heads - EDGE - 10) / len(rows))
    left, upper = EDGE + _NAMES, top - heads
    up: dict[str, Any] = {"size": LEAST, "room": heads - 8, "rotation": 90, "ha": "center", "va": "bottom"}
    for c, column in enumerate(columns):
        for k, text in enumerate(_names(content, column)):
            page.put(text, left + (c + 0.5) * cell + (k - 0.5) * page.pitch(LEAST), upper + 4, **up)
    right, bottom = left + len(columns) * cell, upper - len(rows) * high
    for r, row in enumerate(rows):
        y = upper - (r + 1) * high
        _row_name(page, content, row, y=y, high=high)
        if content.single and row is not _OTHER and row in columns:
            page.frame(left + columns.index(row) * cell, y, cell, high, facecolor=GREY)
        if r and row.species != rows[r - 1].species:
            page.rule((EDGE, right), y + high, width=1.4)
    page.grid(left, bottom, cell=(cell, high), columns=len(columns), rows=len(rows))
    for c in range(1, len(columns)):
        if columns[c].species != columns[c - 1].species:
            x = left + c * cell
            page.rule((x, x), bottom, up=upper + heads - 6 - bottom, width=1.4)
    _notes(page, bottom - 16)
    return page


def _row_name(page: Sheet, content: Content, line: Line, *, y: float, high: float) -> None:
    """Two lines where the row is high enough, else one."""
    first, second = _names(content, line)
    room = _NAMES - 8
    if high < 2 * page.pitch(LEAST) + 2:
        page.put(f"{first} {second}", EDGE, y + high / 2, size=LEAST, room=room, level=True)
        return
    if line is not _OTHER and not line.typed and page.wide(line.species) <= room:
        first = line.species
    page.put(first, EDGE, y + high / 2 + 2, room=room)
    page.put(second, EDGE, y + high / 2 - page.pitch() + 3, room=room)


def _notes(page: Sheet, top: float) -> None:
    """Lines to write on as far as the page goes."""
    if top - 40 >= EDGE:
        words = "Other acts (flee ...), and what else you saw"
        page.notes(words, top - 10, low=EDGE + 4, pitch=22)


def _minute(minute: float) -> str:
    """``"½"``, ``"1"``, ``"1½"``: short enough for a narrow column."""
    whole = int(minute)
    return f"{whole or ''}½" if minute > whole else str(whole)


def _places(content: Content, paper: str, rows: list[Line], scans: list[float]) -> Sheet:
    page = Sheet(paper)
    codes = "lH, mO, rC ...: third of the tank and place, as on the first page"
    look = "At each full minute go over the tank once, group by group, and write"
    if content.single:
        told = (
            f"{look} where each fish is then ({codes}; the last letter alone will do, N for not to be found)."
        )
    else:
        told = (
            f"{look} how many of them you see OUT, in neither hole nor corner. In the empty rows: one fish "
            f"you follow, by its marks, and where it is then ({codes})."
        )
    when = f"minute {_minute(scans[0])} to {_minute(scans[-1])}"
    top = _top(page, f"First: who is out, who is hidden, once a minute ({when})", told)
    every = [*rows, *[Line("", "", "", 0)] * (0 if content.single else _FOLLOWED)]
    cell = (page.room - _NAMES) / len(scans)
    high = min(30.0, (top - 20 - EDGE) / len(every))
    left, upper = EDGE + _NAMES, top - 18
    for k, minute in enumerate(scans):
        page.put(_minute(minute), left + (k + 0.5) * cell, upper + 4, size=LEAST, ha="center")
    for r, row in enumerate(every):
        y = upper - (r + 1) * high
        if row.species:
            _row_name(page, content, row, y=y, high=high)
        else:
            page.rule((EDGE, left - 6), y + 3, width=0.4)
        if r and row.species and row.species != every[r - 1].species:
            page.rule((EDGE, left + len(scans) * cell), y + high, width=1.4)
    bottom = upper - len(every) * high
    page.grid(left, bottom, cell=(cell, high), columns=len(scans), rows=len(every))
    _notes(page, bottom - 16)
    return page
