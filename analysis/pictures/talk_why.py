"""The slide on why: of ten chases, and of ten parts of lost swimming, the reasons as small fish."""

from __future__ import annotations

from ..questions.why.answer import LEFT, Share, Shared
from ..talk.reasons import WHAT_IS_LEFT, name_of, reason_lines, shown_outcomes
from ..talk.slides import Deck, Slide
from .look import MARGIN
from .talk_fish import Token, tokens
from .talk_look import BODY, CEILING, FLOOR, ROOM, SMALL, Canvas, Theme, block, cut, heading, new_canvas, put

NAMES, GAP = 330.0, 40.0  # pixels
HEADS = {"received": "of ten chases", "lost": "of ten lost hours"}


def why_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """Reasons in rows, the two outcomes side by side; told ones filled, doubtful ones pale."""
    canvas, why = new_canvas(theme), deck.why
    assert why is not None
    heading(canvas, slide.title)
    if why.nothing:
        block(canvas, reason_lines(why)[0], x=MARGIN, top=700, size=BODY, room=ROOM, most=6)
        return canvas
    outcomes = shown_outcomes(why)
    codes = [one.code for one in (*outcomes[0].ranked, outcomes[0].of(LEFT))]
    top, bottom = CEILING - 74, FLOOR + 66
    pitch = min(130.0, (top - bottom) / len(codes))
    for k, code in enumerate(codes):
        name = cut(name_of(why, outcomes[0].of(code)), size=SMALL, room=NAMES - 16)
        put(canvas, name, x=MARGIN, y=top - (k + 0.5) * pitch, va="center_baseline",
            color=theme.faint if name == WHAT_IS_LEFT else theme.ink)  # fmt: skip
    width = (ROOM - NAMES - GAP * (len(outcomes) - 1)) / len(outcomes)
    for k, shared in enumerate(outcomes):
        _panel(
            canvas, shared, codes, left=MARGIN + NAMES + k * (width + GAP), width=width, top=top, pitch=pitch
        )
    _key(canvas, [one for shared in outcomes for one in shared.shares])
    return canvas


def _panel(
    canvas: Canvas, shared: Shared, codes: list[str], *, left: float, width: float, top: float, pitch: float
) -> None:
    theme, counts = canvas.theme, 130.0
    shares = [shared.of(code) for code in codes]
    below = max(0, -min(one.of_ten.tokens for one in shares))
    most = max(1, max(one.of_ten.tokens for one in shares))
    step = min(56.0, (width - counts) / (most + below))
    line = left + below * step
    put(canvas, HEADS[shared.goal], x=left, y=top + 18, bold=True, room=width)
    if below:
        canvas.page.plot([line, line], [top - pitch * len(codes), top], color=theme.faint, linewidth=2.5)
    for k, one in enumerate(shares):
        middle = top - (k + 0.5) * pitch
        number = one.of_ten.tokens
        turn = 1 if number > 0 else -1
        some = [Token(line + turn * (j + 0.5) * step, middle, number > 0) for j in range(abs(number))]
        if some:
            fill = theme.ink if one.told else theme.panel
            tokens(canvas.page, some, long=0.86 * step, theme=theme, fill=fill)
        put(canvas, str(number).replace("-", "\u2212"), x=left + width - 20, y=middle, ha="right",
            va="center_baseline", bold=one.told)  # fmt: skip


def _key(canvas: Canvas, shares: list[Share]) -> None:
    """What filled, pale and open fish say, as far as there are any."""
    theme = canvas.theme
    entries = [(True, theme.ink, "one of ten")]
    if any(one.of_ten.tokens > 0 and not one.told for one in shares):
        entries.append((True, theme.panel, "perhaps nothing"))
    if any(one.of_ten.tokens < 0 for one in shares):
        entries.append((False, theme.paper, "one more without it"))
    x, y = MARGIN + 24.0, FLOOR + 28
    for filled, fill, words in entries:
        tokens(canvas.page, [Token(x, y, filled)], long=44, theme=theme, fill=fill)
        put(canvas, words, x=x + 36, y=y, va="center_baseline")
        x += 560
