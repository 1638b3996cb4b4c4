"""The slide on why: of ten chases, and of ten parts of lost swimming, the reasons as small fish."""

from __future__ import annotations

from ..questions.why.answer import LEFT, Share
from ..talk.deck import Deck, Slide
from ..talk.reasons import WHAT_IS_LEFT, name_of, shown_outcomes
from .look import MARGIN
from .talk_fish import Token, tokens
from .talk_look import CEILING, FLOOR, Canvas
from .why import Panel, kinds_of, side_by_side

NAMES, GAP = 330.0, 40.0  # pixels
HEADS = {"received": "of ten chases", "lost": "of ten lost hours"}


def why_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """Reasons in rows, the two outcomes side by side; told ones filled, doubtful ones pale."""
    why = deck.why
    assert why is not None
    outcomes = shown_outcomes(why)
    rows = (*outcomes[0].ranked, outcomes[0].of(LEFT))
    top, bottom = CEILING - 74, FLOOR + 66
    pitch = min(130.0, (top - bottom) / len(rows))
    middles = {one.code: top - (k + 0.5) * pitch for k, one in enumerate(rows)}
    for one in rows:
        name = name_of(why, one)
        colour = canvas.faint if name == WHAT_IS_LEFT else canvas.ink
        canvas.put(name, MARGIN, middles[one.code], room=NAMES - 16, level=True, color=colour)
    for place in side_by_side(outcomes, NAMES, GAP):
        panel = Panel(*place, counts=130.0, longest=56.0)
        canvas.put(HEADS[panel.shared.goal], panel.left, top + 18, bold=True, room=panel.width)
        if panel.below:
            ends = [top - pitch * len(rows), top]
            canvas.axes.plot([panel.line] * 2, ends, color=canvas.faint, linewidth=2.5)
        for row in rows:
            _share(canvas, panel, panel.shared.of(row.code), middles[row.code])
    _key(canvas, [one for shared in outcomes for one in shared.shares])


def _share(canvas: Canvas, panel: Panel, one: Share, middle: float) -> None:
    number = one.of_ten.tokens
    some = [Token(x, middle, number > 0) for x in panel.places(one)]
    if some:
        tokens(canvas, some, long=0.86 * panel.step, fill="" if one.told else canvas.theme.panel)
    words, right = str(number).replace("-", "\u2212"), panel.left + panel.width - 20
    canvas.put(words, right, middle, ha="right", level=True, bold=one.told)


def _key(canvas: Canvas, shares: list[Share]) -> None:
    """What filled, pale and open fish say, as far as there are any."""
    x, y = MARGIN + 24.0, FLOOR + 28
    key = {"filled": "one of ten", "pale": "perhaps nothing", "open": "one more without it"}
    for kind in kinds_of(shares):
        fill = canvas.theme.panel if kind == "pale" else ""
        tokens(canvas, [Token(x, y, kind != "open")], long=44, fill=fill)
        canvas.put(key[kind], x + 36, y, level=True)
        x += 560
