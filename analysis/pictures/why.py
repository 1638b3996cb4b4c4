"""Why a fish is bullied, for a projector: of ten chases, and of ten parts of lost freedom, the reasons.

Counts are shown as small fish, told apart by being filled, pale or open, not by their colour. All words
are at least a thirtieth of the height of the page.
"""

from __future__ import annotations

from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from ..measures.registry import LOST, RECEIVED
from ..questions.why.answer import LEFT, Share, Shared, Why
from ..questions.why.words import in_wholes
from .look import BLUE, INK, MARGIN, PAPER, ROOM
from .projector import FOOT, HEAD, NOT_YOURS, PITCH, ProjectorPage
from .save import Place, SavedPicture, save_figure

NAMES = 330.0  # pixels for the reasons
COUNTS = 285.0  # pixels for the numbers behind the fish
GAP = 40.0  # between two panels
TOP = 830.0  # of the rows
HEADS = 880.0  # base line of the lower line of the panels' heads
TOLD, PALE = BLUE, "#dfe5ea"
HEADING = {
    RECEIVED: ("of ten chases", "that it gets"),
    LOST: ("of ten parts of the", "free swimming it loses"),
}
WHAT_IS_LEFT = "unexplained"


class Panel(NamedTuple):
    """Where one outcome stands on the page, pixels."""

    shared: Shared
    left: float
    width: float
    counts: float = COUNTS  # for the numbers behind the fish
    longest: float = 46.0  # from fish to fish at most

    @property
    def below(self) -> int:
        """Open fish in the row that has most, left of the line."""
        return max(0, -min(one.of_ten.tokens for one in self.shared.shares))

    @property
    def step(self) -> float:
        """Pixels from fish to fish."""
        most = max(1, max(one.of_ten.tokens for one in self.shared.shares))
        return min(self.longest, (self.width - self.counts) / (most + self.below))

    @property
    def line(self) -> float:
        """Where none is."""
        return self.left + self.below * self.step

    def places(self, one: Share) -> list[float]:
        """Middles of the fish of a share."""
        turn = 1 if one.of_ten.tokens > 0 else -1
        return [self.line + turn * (k + 0.5) * self.step for k in range(abs(one.of_ten.tokens))]


def side_by_side(shown: list[Shared], names: float, gap: float) -> list[tuple[Shared, float, float]]:
    """Outcomes right of their names, each with its left end and its width in pixels."""
    width = (ROOM - names - gap * (len(shown) - 1)) / len(shown)
    return [(shared, MARGIN + names + k * (width + gap), width) for k, shared in enumerate(shown)]


def kinds_of(shares: list[Share]) -> list[str]:
    """What fish there are: filled, pale and open."""
    is_pale = any(one.of_ten.tokens > 0 and not one.told for one in shares)
    is_open = any(one.of_ten.tokens < 0 for one in shares)
    return ["filled", *["pale"] * is_pale, *["open"] * is_open]


def save_why(found: Why, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title, caption = f"Why is it bullied: {found.plan.scenario.title}", why_caption(found)
    return save_figure(why_picture(found), path, title=title, caption=caption)


def why_caption(found: Why) -> str:
    """What the picture shows, in words."""
    if found.nothing:
        return f"{_nothing(found)} {NOT_YOURS}"
    said = []
    for shared in _shown(found):
        parts = [f"{_name(found, one)} {_count(one)}" for one in (*shared.ranked, shared.of(LEFT))]
        said.append(f"{' '.join(HEADING[shared.goal]).capitalize()}: {'; '.join(parts)}.")
    return f"{_title(found)} {' '.join(said)} In brackets 95 % intervals. {NOT_YOURS}"


def why_picture(found: Why) -> Figure:
    """The picture."""
    page = ProjectorPage(_title(found), below=found.plan.scenario.title, below_y=956)
    if found.nothing:
        for k, line in enumerate(page.lines(_nothing(found), size=HEAD, room=ROOM)):
            page.put(line, MARGIN, 600 - 60 * k, size=HEAD)
        page.foot([NOT_YOURS])
        return page.figure
    bottom = _foot(page, found)
    shown = _shown(found)
    rows = (*shown[0].ranked, shown[0].of(LEFT))
    pitch = (TOP - bottom) / len(rows)
    middles = {one.code: TOP - (k + 0.5) * pitch for k, one in enumerate(rows)}
    for one in rows:
        page.put(_name(found, one), MARGIN, middles[one.code], room=NAMES - 10, level=True)
    for panel in side_by_side(shown, NAMES, GAP):
        _draw(page, Panel(*panel), middles, pitch)
    return page.figure


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


def _draw(page: ProjectorPage, panel: Panel, middles: dict[str, float], pitch: float) -> None:
    for k, words in enumerate(reversed(HEADING[panel.shared.goal])):
        page.put(words, panel.left, HEADS - 30 + k * 40, room=panel.width, bold=True)
    if panel.below:
        ends = [min(middles.values()) - 0.45 * pitch, TOP - 4]
        page.axes.plot([panel.line] * 2, ends, color=INK, linewidth=2)
    high = min(0.36 * pitch, 0.42 * panel.step)
    for one in panel.shared.shares:
        middle = middles[one.code]
        face = PAPER if one.of_ten.tokens < 0 else TOLD if one.told else PALE
        for x in panel.places(one):
            _fish(page.axes, x, middle, 0.44 * panel.step, high, face=face)
        page.put(_count(one), panel.left + panel.width - COUNTS + 14, middle, level=True)


def _fish(axes: Axes, x: float, y: float, long: float, high: float, *, face: str) -> None:
    """A fish swimming to the left: a body of two arcs and a tail."""
    nose, root, tail = x - long, x + 0.45 * long, x + long
    points = [(nose, y), (nose + 0.45 * long, y + 1.25 * high), (root, y + 0.12 * high)]
    points += [(tail, y + 0.75 * high), (tail - 0.2 * long, y), (tail, y - 0.75 * high)]
    points += [(root, y - 0.12 * high), (nose + 0.45 * long, y - 1.25 * high), (nose, y), (nose, y)]
    curve, line = [Outline.CURVE3] * 2, [Outline.LINETO] * 4
    codes = [Outline.MOVETO, *curve, *line, *curve, Outline.CLOSEPOLY]
    axes.add_patch(PathPatch(Outline(points, codes), facecolor=face, edgecolor=INK, linewidth=2.5))


def _foot(page: ProjectorPage, found: Why) -> float:
    """Key and what it rests on; returns the pixel where they end."""
    tanks = f"{len(found.rows)} simulated tanks; 95\u00a0% in brackets. {NOT_YOURS}"
    page.put(tanks, MARGIN, FOOT, room=ROOM)
    x = float(MARGIN)
    for face, words in _key(found):
        _fish(page.axes, x + 20, FOOT + PITCH + 14, 20, 17, face=face)
        page.put(words, x + 56, FOOT + PITCH)
        x += 56 + page.wide(words) + 60
    return FOOT + 2 * PITCH + 20


def _key(found: Why) -> list[tuple[str, str]]:
    """What a filled, a pale and an open fish stand for, as far as there are any."""
    key = {
        "filled": (TOLD, "one of ten"),
        "pale": (PALE, "perhaps nothing"),
        "open": (PAPER, "one more without this"),
    }
    return [key[kind] for kind in kinds_of([one for shared in _shown(found) for one in shared.shares])]
