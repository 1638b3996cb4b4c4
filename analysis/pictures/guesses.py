"""Which guesses decide the answer, for a projector: a row a guess, a column an answer.

In each cell a solid bar is what the guess carries by itself and an outlined one what it carries in all, each
with its 95 % interval. Black on white, told apart by filling alone; all words are at least a thirtieth
of the height of the page.
"""

from __future__ import annotations

import math
import os

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from ..questions.guesses.answer import Answer, Study
from ..questions.guesses.files import names
from ..questions.guesses.indices import Share
from ..questions.guesses.words import OF, sentences
from ..statistics.intervals import Interval
from .look import FAINT, INK, MARGIN, PAPER, WIDTH, cut, new_page, text_width, wrapped, write
from .rock_page import FOOT, HEAD, PITCH, SIZE
from .save import SavedPicture, save_figure

SOLID = "#1f6f78"
ROOM = WIDTH - 2 * MARGIN
GAP = 70.0  # pixels between two columns
TOP = 900.0  # pixel of the heads of the columns
LEAST, MOST = -0.1, 1.2  # shares that a column shows; what lies beyond ends at its rim
KEY = "Solid: by itself. Outlined: in all, with what it does only together with others. Lines: 95 %."


def guesses_picture(found: Study) -> Figure:
    """The picture; answers that could not be shared out are left out."""
    figure, page = new_page()
    write(page, _title(found), x=MARGIN, y=1012, size=HEAD, weight="bold")
    write(page, cut(found.plan.scenario.title, size=SIZE, room=ROOM), x=MARGIN, y=960, size=SIZE)
    lines = [one for text in _told(found) for one in wrapped(text, size=SIZE, room=ROOM)]
    for k, text in enumerate(reversed(lines)):
        write(page, text, x=MARGIN, y=FOOT + k * PITCH, size=SIZE)
    answers = [one for one in found.answers if one.shares is not None]
    if answers:
        _table(page, found, answers, bottom=FOOT + len(lines) * PITCH + 70.0)
    return figure


def save_guesses(found: Study, path: str | os.PathLike[str]) -> SavedPicture:
    """Write the picture as a PNG of 1920 x 1080 pixels, replacing a file of that name.

    The caption stands in the file's ``Description`` too, for those who have the picture read to them.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    title = f"Which guesses decide: {found.plan.scenario.title}"
    return save_figure(guesses_picture(found), path, title=title, caption=guesses_caption(found))


def guesses_caption(found: Study) -> str:
    """What the picture shows, in words."""
    said = [sentences(found, one)[0] for one in found.answers if one.shares is not None]
    return f"Parts of the spread of the answer for {found.whom.name}. {KEY} {' '.join(said)}"


def _title(found: Study) -> str:
    words = f"Which guesses decide the answer for {found.whom.name}?"
    if text_width(words, size=HEAD, bold=True) <= ROOM:
        return words
    return cut("Which guesses decide the answer?", size=HEAD, room=ROOM, bold=True)


def _told(found: Study) -> list[str]:
    """The first answer in a sentence, if there is room, and how to read the bars."""
    first = next((one for one in found.answers if one.shares is not None), None)
    if first is None:
        return ["Nothing varies that could be shared out."]
    return [KEY.replace(" %", "\u00a0%")]


def _table(page: Axes, found: Study, answers: list[Answer], *, bottom: float) -> None:
    width = (ROOM - GAP * (len(answers) - 1)) / len(answers)
    rows = sorted(enumerate(names(found)), key=lambda row: _weight(found, answers, row[0]))
    pitch = (TOP - 20.0 - bottom) / len(rows)
    for k, one in enumerate(answers):
        column = _Column(page, MARGIN + k * (width + GAP), width)
        column.head(f"{OF[one.goal]}", top=TOP, bottom=bottom)
        assert one.shares is not None
        for place, (number, _) in enumerate(rows):
            top = TOP - 20.0 - place * pitch
            column.bar(
                one.shares.shares[number], top=top - PITCH - 2.0, height=min(pitch - PITCH - 10.0, 44.0)
            )
    for place, (_, name) in enumerate(rows):
        base = TOP - 20.0 - place * pitch - PITCH + 12.0
        back = {"facecolor": PAPER, "edgecolor": "none", "pad": 2.0}
        write(page, cut(name, size=SIZE, room=ROOM), x=MARGIN, y=base, size=SIZE, zorder=1, bbox=back)


def _weight(found: Study, answers: list[Answer], number: int) -> float:
    """Rows by the largest total of any answer, the lot of all others last."""
    if number >= len(found.kept):
        return math.inf
    return -max(one.shares.shares[number].total for one in answers if one.shares is not None)


class _Column:
    """One answer: where a share lies on the page, and what is drawn there."""

    def __init__(self, page: Axes, left: float, width: float) -> None:
        self.page, self.left, self.width = page, left, width

    def at(self, share: float) -> float:
        """Pixel of a share, at the rim when it lies beyond."""
        inside = min(max(share, LEAST), MOST)
        return self.left + (inside - LEAST) / (MOST - LEAST) * self.width

    def head(self, name: str, *, top: float, bottom: float) -> None:
        """The name of the answer, and lines at nothing, half and all of the spread."""
        write(
            self.page, cut(name, size=SIZE, room=self.width), x=self.at(0.0), y=top, size=SIZE, weight="bold"
        )
        for share, text in ((0.0, "0"), (0.5, "half"), (1.0, "all of it")):
            x = self.at(share)
            self.page.add_line(Line2D([x, x], [bottom, top - 20.0], color="#c9c9c4", linewidth=1.5, zorder=0))
            write(self.page, text, x=x, y=bottom - 42.0, size=SIZE, color=FAINT, ha="center")

    def bar(self, share: Share, *, top: float, height: float) -> None:
        """Both bars of a share and their intervals."""
        inner = 0.5 * height
        self._box(share.first, top - inner - 2.0, inner, face=SOLID, order=2)
        self._box(share.total, top - height, height, face="none", order=3)
        self._line(share.first_interval, top - inner / 2 - 2.0)
        self._line(share.total_interval, top - 0.8 * height)

    def _box(self, share: float, bottom: float, height: float, *, face: str, order: int) -> None:
        """A bar from nothing to a share; what comes out below nothing by chance has none."""
        left, right = self.at(0.0), self.at(max(share, 0.0))
        box = Rectangle((left, bottom), right - left, height, facecolor=face, edgecolor=INK, zorder=order)
        box.set_linewidth(2.5)
        self.page.add_patch(box)

    def _line(self, ends: Interval, y: float) -> None:
        if not all(map(math.isfinite, ends)):
            return
        x = [self.at(end) for end in ends]
        for colour, width in ((PAPER, 7.0), (INK, 3.0)):
            self.page.add_line(Line2D(x, [y, y], color=colour, linewidth=width, zorder=4))
