"""Which guesses decide the answer, for a projector: a row a guess, a column an answer.

In each cell a solid bar is what the guess carries by itself and an outlined one what it carries in all, each
with its 95 % interval. Black on white, told apart by filling alone; all words are at least a thirtieth
of the height of the page.
"""

from __future__ import annotations

import math
from typing import Any

from matplotlib.figure import Figure

from ..questions.guesses.answer import Answer, Study
from ..questions.guesses.files import names
from ..questions.guesses.indices import Share
from ..questions.guesses.words import OF, sentences
from .look import FAINT, INK, MARGIN, PAPER, ROOM, casing
from .projector import PITCH, ProjectorPage
from .save import Place, SavedPicture, save_figure

SOLID = "#1f6f78"
GAP = 70.0  # pixels between two columns
TOP = 900.0  # pixel of the heads of the columns
LEAST, MOST = -0.1, 1.2  # shares that a column shows; what lies beyond ends at its rim
KEY = "Solid: by itself. Outlined: in all, with what it does only together with others. Lines: 95 %."


def guesses_picture(found: Study) -> Figure:
    """The picture; answers that could not be shared out are left out."""
    question = f"Which guesses decide the answer for {found.whom.name}?"
    title = found.plan.scenario.title
    page = ProjectorPage(question, "Which guesses decide the answer?", below=title)
    answers = [one for one in found.answers if one.shares is not None]
    bottom = page.foot_of(KEY if answers else "Nothing varies that could be shared out.")
    if answers:
        _table(page, found, answers, bottom=bottom + 70.0)
    return page.figure


def save_guesses(found: Study, path: Place) -> SavedPicture:
    """Write the picture; see :func:`save_figure`."""
    title, caption = f"Which guesses decide: {found.plan.scenario.title}", guesses_caption(found)
    return save_figure(guesses_picture(found), path, title=title, caption=caption)


def guesses_caption(found: Study) -> str:
    """What the picture shows, in words."""
    said = [sentences(found, one)[0] for one in found.answers if one.shares is not None]
    return f"Parts of the spread of the answer for {found.whom.name}. {KEY} {' '.join(said)}"


def _table(page: ProjectorPage, found: Study, answers: list[Answer], *, bottom: float) -> None:
    width = (ROOM - GAP * (len(answers) - 1)) / len(answers)
    rows = sorted(enumerate(names(found)), key=lambda row: _weight(found, answers, row[0]))
    pitch = (TOP - 20.0 - bottom) / len(rows)
    for k, one in enumerate(answers):
        column = _Column(page, MARGIN + k * (width + GAP), width)
        column.head(f"{OF[one.goal]}", bottom=bottom)
        assert one.shares is not None
        for place, (number, _) in enumerate(rows):
            top = TOP - 20.0 - place * pitch - PITCH - 2.0
            column.bar(one.shares.shares[number], top=top, height=min(pitch - PITCH - 10.0, 44.0))
    back = {"facecolor": PAPER, "edgecolor": "none", "pad": 2.0}
    for place, (_, name) in enumerate(rows):
        page.put(name, MARGIN, TOP - 8.0 - place * pitch - PITCH, room=ROOM, zorder=1, bbox=back)


def _weight(found: Study, answers: list[Answer], number: int) -> float:
    """Rows by the largest total of any answer, the lot of all others last."""
    if number >= len(found.kept):
        return math.inf
    return -max(one.shares.shares[number].total for one in answers if one.shares is not None)


class _Column:
    """One answer: where a share lies on the page, and what is drawn there."""

    def __init__(self, page: ProjectorPage, left: float, width: float) -> None:
        self.page, self.left, self.width = page, left, width

    def at(self, share: float) -> float:
        """Pixel of a share, at the rim when it lies beyond."""
        inside = min(max(share, LEAST), MOST)
        return self.left + (inside - LEAST) / (MOST - LEAST) * self.width

    def head(self, name: str, *, bottom: float) -> None:
        """The name of the answer, and lines at nothing, half and all of the spread."""
        self.page.put(name, self.at(0.0), TOP, room=self.width, bold=True)
        for share, text in ((0.0, "0"), (0.5, "half"), (1.0, "all of it")):
            x = self.at(share)
            self.page.axes.plot([x, x], [bottom, TOP - 20.0], color="#c9c9c4", linewidth=1.5, zorder=0)
            self.page.put(text, x, bottom - 42.0, color=FAINT, ha="center")

    def bar(self, share: Share, *, top: float, height: float) -> None:
        """Both bars of a share and their intervals; what comes out below nothing by chance has no bar."""
        inner = 0.5 * height
        for part, ends, low, high, middle, face, order in (
            (share.first, share.first_interval, top - inner - 2.0, inner, top - inner / 2 - 2.0, SOLID, 2),
            (share.total, share.total_interval, top - height, height, top - 0.8 * height, "none", 3),
        ):
            left, right = self.at(0.0), self.at(max(part, 0.0))
            style: dict[str, Any] = {"facecolor": face, "edgecolor": INK, "linewidth": 2.5, "zorder": order}
            self.page.rect(left, low, right - left, high, **style)
            if all(map(math.isfinite, ends)):
                x = [self.at(end) for end in ends]
                casing(self.page.axes, x, [middle] * 2, colour=INK, wide=7.0, width=3.0, zorder=4)
