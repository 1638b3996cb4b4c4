"""Why a fish is bullied, for a projector: of ten chases, and of ten parts of lost freedom, the reasons.

Counts are shown as small fish, told apart by being filled, pale or open, not by their colour. All words
are at least a thirtieth of the height of the page.
"""

from __future__ import annotations

import os
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from ..measures.registry import LOST, RECEIVED
from ..questions.why.answer import LEFT, Share, Shared, Why
from ..questions.why.words import in_wholes
from .look import COLOURS, INK, MARGIN, PAPER, WIDTH, cut, new_page, text_width, wrapped, write
from .save import SavedPicture, save_figure

SIZE, HEAD = 26.0, 34.0  # points; 26 are 36 pixels, a thirtieth of the height of the page
PITCH = 46.0  # pixels from line to line
NAMES = 330.0  # pixels for the reasons
COUNTS = 285.0  # pixels for the numbers behind the fish
GAP = 40.0  # between two panels
TOP = 830.0  # of the rows
HEADS = 880.0  # base line of the lower line of the panels' heads
FOOT = 30.0  # pixel of the lowest line
LONGEST = 46.0  # pixels from fish to fish at most
TOLD, PALE = COLOURS[4], "#dfe5ea"
ROOM = WIDTH - 2 * MARGIN
HEADING = {
    RECEIVED: ("of ten chases", "that it gets"),
    LOST: ("of ten parts of the", "free swimming it loses"),
}
WHAT_IS_LEFT = "left anyway"


class _Panel(NamedTuple):
    """Where one outcome stands on the page."""

    shared: Shared
    left: float
    width: float

    @property
    def below(self) -> int:
        """Open fish in the row that has most, left of the line."""
        return max(0, -min(one.of_ten.tokens for one in self.shared.shares))

    @property
    def step(self) -> float:
        """Pixels from fish to fish."""
        most = max(1, max(one.of_ten.tokens for one in self.shared.shares))
        return min(LONGEST, (self.width - COUNTS) / (most + self.below))

    @property
    def line(self) -> float:
        """Where none is."""
        return self.left + self.below * self.step

    @property
    def counts(self) -> float:
        """Where the numbers begin."""
        return self.left + self.width - COUNTS + 14


def save_why(found: Why, path: str | os.PathLike[str]) -> SavedPicture:
    """Write the picture as a PNG of 1920 x 1080 pixels, replacing a file of that name.

    The caption stands in the file's ``Description`` too, for those who have the picture read to them.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    title = f"Why is it bullied: {found.plan.scenario.title}"
    return save_figure(why_picture(found), path, title=title, caption=why_caption(found))


def why_caption(found: Why) -> str:
    """What the picture shows, in words."""
    if found.nothing:
        return f"{_nothing(found)} Fish of the model, not yours."
    said = []
    for shared in _shown(found):
        parts = [f"{_name(found, one)} {_count(one)}" for one in (*shared.ranked, shared.of(LEFT))]
        said.append(f"{' '.join(HEADING[shared.goal]).capitalize()}: {'; '.join(parts)}.")
    return f"{_title(found)} {' '.join(said)} In brackets 95 % intervals. Fish of the model, not yours."


def why_picture(found: Why) -> Figure:
    """The picture."""
    figure, page = new_page()
    title = cut(_title(found), size=HEAD, room=ROOM, bold=True)
    write(page, title, x=MARGIN, y=1012, size=HEAD, weight="bold")
    write(page, cut(found.plan.scenario.title, size=SIZE, room=ROOM), x=MARGIN, y=956, size=SIZE)
    if found.nothing:
        for k, line in enumerate(wrapped(_nothing(found), size=HEAD, room=ROOM)):
            write(page, line, x=MARGIN, y=600 - 60 * k, size=HEAD)
        write(page, "Fish of the model, not yours.", x=MARGIN, y=FOOT, size=SIZE)
        return figure
    bottom = _foot(page, found)
    shown = _shown(found)
    codes = [one.code for one in (*shown[0].ranked, shown[0].of(LEFT))]
    pitch = (TOP - bottom) / len(codes)
    middles = {code: TOP - (k + 0.5) * pitch for k, code in enumerate(codes)}
    for code, middle in middles.items():
        name = cut(_name(found, shown[0].of(code)), size=SIZE, room=NAMES - 10)
        write(page, name, x=MARGIN, y=middle, size=SIZE, va="center_baseline")
    width = (ROOM - NAMES - GAP * (len(shown) - 1)) / len(shown)
    for k, shared in enumerate(shown):
        panel = _Panel(shared, MARGIN + NAMES + k * (width + GAP), width)
        _draw(page, panel, middles, pitch)
    return figure


def _shown(found: Why) -> list[Shared]:
    return [found.shared[goal] for goal in (RECEIVED, LOST) if found.shared[goal].explained]


def _title(found: Why) -> str:
    return f"Why is it bullied? {found.whom.name}"


def _nothing(found: Why) -> str:
    return f"Nothing to explain: {found.whom.name} loses next to no free swimming and is hardly chased here."


def _name(found: Why, one: Share) -> str:
    shown = {each.code: each.shown for each in found.mechanisms}
    return shown.get(one.code, WHAT_IS_LEFT)


def _count(one: Share) -> str:
    """``"4 (3 to 5)"``."""
    return in_wholes(one.of_ten).replace("-", "\u2212")


def _draw(page: Axes, panel: _Panel, middles: dict[str, float], pitch: float) -> None:
    for k, words in enumerate(reversed(HEADING[panel.shared.goal])):
        line = cut(words, size=SIZE, room=panel.width)
        write(page, line, x=panel.left, y=HEADS - 30 + k * 40, size=SIZE, weight="bold")
    if panel.below:
        page.plot([panel.line] * 2, [min(middles.values()) - 0.45 * pitch, TOP - 4], color=INK, linewidth=2)
    high = min(0.36 * pitch, 0.42 * panel.step)
    for one in panel.shared.shares:
        middle, tokens = middles[one.code], one.of_ten.tokens
        for k in range(abs(tokens)):
            x = panel.line + (k + 0.5) * panel.step * (1 if tokens > 0 else -1)
            face = PAPER if tokens < 0 else TOLD if one.told else PALE
            _fish(page, x, middle, 0.44 * panel.step, high, face=face)
        write(page, _count(one), x=panel.counts, y=middle, size=SIZE, va="center_baseline")


def _fish(page: Axes, x: float, y: float, long: float, high: float, *, face: str) -> None:
    """A fish swimming to the left: a body of two arcs and a tail."""
    nose, root, tail = x - long, x + 0.45 * long, x + long
    points = [
        (nose, y),
        (nose + 0.45 * long, y + 1.25 * high),
        (root, y + 0.12 * high),
        (tail, y + 0.75 * high),
        (tail - 0.2 * long, y),
        (tail, y - 0.75 * high),
        (root, y - 0.12 * high),
        (nose + 0.45 * long, y - 1.25 * high),
        (nose, y),
        (nose, y),
    ]
    codes = [
        Outline.MOVETO,
        Outline.CURVE3,
        Outline.CURVE3,
        *(Outline.LINETO for _ in range(4)),
        Outline.CURVE3,
        Outline.CURVE3,
        Outline.CLOSEPOLY,
    ]
    page.add_patch(PathPatch(Outline(points, codes), facecolor=face, edgecolor=INK, linewidth=2.5))


def _foot(page: Axes, found: Why) -> float:
    """Key and what it rests on; returns the pixel where they end."""
    tanks = f"{len(found.rows)} simulated tanks; 95 % in brackets. Fish of the model, not yours."
    write(page, cut(tanks.replace(" %", "\u00a0%"), size=SIZE, room=ROOM), x=MARGIN, y=FOOT, size=SIZE)
    x = float(MARGIN)
    for face, words in _key(found):
        _fish(page, x + 20, FOOT + PITCH + 14, 20, 17, face=face)
        write(page, words, x=x + 56, y=FOOT + PITCH, size=SIZE)
        x += 56 + text_width(words, size=SIZE) + 60
    return FOOT + 2 * PITCH + 20


def _key(found: Why) -> list[tuple[str, str]]:
    """What a filled, a pale and an open fish stand for, as far as there are any."""
    shares = [one for shared in _shown(found) for one in shared.shares]
    key = [(TOLD, "one of ten")]
    if any(one.of_ten.tokens > 0 and not one.told for one in shares):
        key.append((PALE, "perhaps nothing"))
    if any(one.of_ten.tokens < 0 for one in shares):
        key.append((PAPER, "one more without this"))
    return key
