"""An answer on a page for a projector: question, title and foot, no word under a thirtieth of the height."""

from __future__ import annotations

from collections.abc import Sequence

from .look import MARGIN, ROOM, Page

SIZE, HEAD = 26.0, 34.0  # points; 26 are 36 pixels, a thirtieth of the height of the page
PITCH = 46.0  # pixels from line to line
FOOT = 30.0  # pixel of the lowest line
NOT_YOURS = "Fish of the model, not yours."


class ProjectorPage(Page):
    """A page whose words are legible from the back of a room.

    Parameters
    ----------
    questions : the first that fits is the heading, else the last one is cut.
    below : the line under it.
    """

    small = SIZE

    def __init__(self, *questions: str, below: str, below_y: float = 960.0) -> None:
        super().__init__()
        fits = (one for one in questions if self.wide(one, size=HEAD, bold=True) <= ROOM)
        self.put(next(fits, questions[-1]), MARGIN, 1012, size=HEAD, room=ROOM, bold=True)
        self.put(below, MARGIN, below_y, room=ROOM)

    def foot(self, lines: Sequence[str]) -> float:
        """Lines along the bottom; returns the pixel where they begin."""
        return self.upwards(lines, FOOT, pitch=PITCH)

    def foot_of(self, text: str) -> float:
        """A paragraph along the bottom in which no number leaves its per cent sign."""
        return self.foot(self.lines(text.replace(" %", "\u00a0%"), room=ROOM))
