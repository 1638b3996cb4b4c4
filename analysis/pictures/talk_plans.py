"""Slides of plans: a fish room before and after, and what a wish list allows."""

from __future__ import annotations

from ..questions.best.front import Front
from ..questions.place.rack import Rack
from ..talk.deck import Deck, Slide
from .best import FrontLook, draw_front, front_key
from .look import MARGIN, ROOM
from .rack import RackLook, draw_rack, rack_foot
from .talk_look import CEILING, DARK, FLOOR, LIGHT, Canvas, Theme

_MOST = 3  # lines along the bottom
_FRONTS = {
    LIGHT.name: FrontLook(
        ("#dcefe3", "#eef3dc", "#f7e7d0", "#f1d6d2"),
        ("#0b5563", "#7a3e9d", "#8f4700", "#2f6b2f", "#8c2d4f", "#3d4a8f", "#5a5a56"),
        LIGHT.ink,
        LIGHT.faint,
        LIGHT.paper,
    ),
    DARK.name: FrontLook(
        ("#16352b", "#2b3219", "#3b2b15", "#3f2023"),
        ("#93dbe2", "#d9b3f0", "#ffb870", "#a5d6a0", "#f5a3b8", "#b3c0ff", "#c9c5b8"),
        DARK.ink,
        DARK.faint,
        DARK.paper,
    ),
}


def rack_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The room as it is and by the plan, its moves below."""
    rack = deck.plans[slide.place]
    assert isinstance(rack, Rack)
    low = _below(canvas, rack_foot(rack))
    draw_rack(canvas, rack, _rack_look(canvas.theme), top=CEILING - 46, low=low)


def front_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """All plans that were tried as marks, those that no other beats in words beside them."""
    front = deck.plans[slide.place]
    assert isinstance(front, Front)
    low = _below(canvas, " ".join(filter(None, [front.then, front_key(front)])))
    draw_front(canvas, front, _FRONTS[canvas.theme.name], top=CEILING - 24, low=low)


def _below(canvas: Canvas, words: str) -> float:
    """A paragraph along the bottom; where it begins."""
    told = words.replace(" %", "\u00a0%")
    high = len(canvas.lines(told, room=ROOM, most=_MOST)) * canvas.pitch()
    canvas.block(told, MARGIN, FLOOR + high - 8, room=ROOM, most=_MOST)
    return FLOOR + high + 8


def _rack_look(theme: Theme) -> RackLook:
    return RackLook(theme.water, theme.faint, theme.stone, theme.accent, theme.paper, theme.ink)
