"""A fish room before and after: the tanks as on a rack, who is in each and how they fare.

How much of its day a group keeps is the length of a bar and a number; the worst off of each side has a dark
bar and a star, so that nothing hangs on colour.
"""

from __future__ import annotations

from typing import NamedTuple

from matplotlib.figure import Figure

from ..document.plain import many, percent
from ..questions.place.answer import Placing
from ..questions.place.files import whole_json
from ..questions.place.rack import HEADING, Rack, Row, Shelf, rack_of
from .look import INK, MARGIN, PAPER, ROOM, Page
from .projector import NOT_YOURS, ProjectorPage
from .save import Place, SavedPicture, save_figure

STAR, ARROW = "\u2605 ", "\u2192 "
GAP = 50.0  # pixels between the two sides
TOP = 892.0  # of the heads
HEAD, ROW, LEAST_ROW, NAMED = (
    22.0,
    56.0,
    50.0,
    1.35,
)  # below a head; from group to group; rows of a tank's name
FEW = 2  # groups of a tank that are shown at least
BARS = 130.0  # pixels of a bar that is full


class RackLook(NamedTuple):
    """Colours of a rack."""

    water: str
    glass: str
    bar: str
    worst: str
    paper: str
    ink: str


PLAIN = RackLook("#edf3f5", "#44525a", "#a9bcc4", "#1c3b4a", PAPER, INK)


def save_rack(found: Placing, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    rack = rack_of(whole_json(found))
    return save_figure(rack_picture(rack), path, title=HEADING, caption=rack_caption(rack))


def rack_caption(rack: Rack) -> str:
    """What the picture shows, in words."""
    return f"{HEADING} {rack.said} {NOT_YOURS}"


def rack_picture(rack: Rack) -> Figure:
    """The picture."""
    page = ProjectorPage(rack.question, HEADING, below=rack.title, below_y=956)
    words = f"{rack_foot(rack)} {NOT_YOURS}".replace(" %", "\u00a0%")
    foot = page.foot(page.lines(words, room=ROOM, most=3)) + 10
    draw_rack(page, rack, PLAIN, top=TOP, low=foot)
    return page.figure


def rack_foot(rack: Rack) -> str:
    """The moves, and what the marks mean."""
    steps = f"Moves: {'; '.join(rack.steps)}. " if rack.steps else ""
    key = f"Bars: what they keep of the swimming about they would do if left alone; {STAR}the worst off"
    return f"{steps}{key}{f'; {ARROW}moved' if len(rack.sides) > 1 else ''}."


def draw_rack(page: Page, rack: Rack, look: RackLook, *, top: float, low: float) -> None:
    """Both sides beside one another between two heights, each with its head."""
    width = (ROOM - GAP * (len(rack.sides) - 1)) / len(rack.sides)
    shown, rows = _shown(rack, (top - HEAD - low) / LEAST_ROW)
    left_out = len(rack.sides[0].shelves) - len(shown)
    unit = min(ROW, (top - HEAD - low) / (sum(NAMED + many_rows for many_rows in rows) + (left_out > 0)))
    for k, side in enumerate(rack.sides):
        left = MARGIN + k * (width + GAP)
        page.put(side.head, left, top, room=width, bold=True)
        y = top - HEAD
        for number, many_rows in zip(shown, rows, strict=True):
            high = (NAMED + many_rows) * unit
            box = (left, y - high, width, high)
            _shelf(page, side.shelves[number], look, box, unit, _told(rack, side.shelves[number], many_rows))
            y -= high
        if left_out:
            page.put(f"and {many(left_out, 'tank')} more", left, y - 0.6 * unit, level=True)


def _shown(rack: Rack, room: float) -> tuple[list[int], list[int]]:
    """Numbers of the shelves there is room for, and rows of each: what changes first, then the worst off."""
    shelves = list(zip(*(side.shelves for side in rack.sides), strict=True))
    rows = [max(1, *(len(one.rows) for one in both), 0) for both in shelves]

    def turn(number: int) -> tuple[bool, bool, int]:
        both = shelves[number]
        worst = any(row.is_worst for one in both for row in one.rows)
        return not both[0].changed, not worst, number

    turns, shown = sorted(range(len(shelves)), key=turn), dict[int, int]()

    def left() -> int:
        beside = len(shown) < len(shelves)  # a line for those that are left out
        return int(room - beside - sum(NAMED + many_rows for many_rows in shown.values()))

    for number in turns:  # a few rows of each that matters before all of any
        shown[number] = min(rows[number], FEW)
        if left() < 0 and len(shown) > 1:
            del shown[number]
            break
    for number in turns:
        if number in shown:
            shown[number] += max(0, min(rows[number] - shown[number], left()))
    return sorted(shown), [shown[number] for number in sorted(shown)]


def _told(rack: Rack, one: Shelf, most: int) -> list[Row]:
    """As many of the groups of a tank, in their order: the worst off and those moved before others."""
    moved = {row.name for side in rack.sides for shelf in side.shelves for row in shelf.rows if row.came}
    first = sorted(one.rows, key=lambda row: not (row.is_worst or row.name in moved))[:most]
    return [row for row in one.rows if row in first]


def _shelf(
    page: Page, one: Shelf, look: RackLook, box: tuple[float, float, float, float], unit: float,
    rows: list[Row],
) -> None:  # fmt: skip
    """One tank with its groups; those there is no room for are counted in its name."""
    left, low, width, high = box
    top = low + high
    page.rect(left, low + 6, width, high - 12, facecolor=look.water, edgecolor=look.glass, linewidth=3)
    left_out = len(one.rows) - len(rows)
    name = f"{one.name} (and {many(left_out, 'group')} more)" if left_out > 0 else one.name
    page.put(name, left + 14, top - 0.66 * unit, room=width - 28, bold=True, level=True)
    if not one.rows:
        page.put("empty", left + 14, top - (NAMED + 0.36) * unit, level=True)
    for k, row in enumerate(rows):
        _group(page, row, look, (left + 14, top - (NAMED + 0.36 + k) * unit), width - 28, unit)


def _group(page: Page, row: Row, look: RackLook, at: tuple[float, float], width: float, unit: float) -> None:
    """Name, bar and number of one group."""
    x, y = at
    number = page.wide("100 %", bold=True) + 10
    bar = min(BARS, 0.3 * width)
    name = f"{STAR if row.is_worst else ''}{ARROW if row.came else ''}{row.name}"
    page.put(name, x, y, room=width - bar - number - 20, bold=row.is_worst, level=True)
    start, high = x + width - bar - number, 0.45 * unit
    page.rect(start, y - high / 2, bar, high, facecolor=look.paper, edgecolor=look.glass, linewidth=1.5)
    kept = max(0.0, min(1.0, row.kept)) * bar
    shade = look.worst if row.is_worst else look.bar
    page.rect(start, y - high / 2, kept, high, facecolor=shade, edgecolor=look.ink, linewidth=0.5)
    page.put(percent(row.kept), start + bar + 10, y, bold=row.is_worst, level=True)
