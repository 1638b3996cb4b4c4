"""Slides of words: both camps, a show of hands, the verdict, the film's cue, caveats, sources."""

from __future__ import annotations

from ..talk.lines import SHORT_WAYS, caveats, verdict_line
from ..talk.slides import Deck, Slide
from .look import MARGIN, species_looks
from .talk_fish import pattern_of, species_fish
from .talk_look import (
    BODY,
    CEILING,
    FLOOR,
    HEAD,
    LARGE,
    ROOM,
    SMALL,
    Canvas,
    Theme,
    block,
    box,
    fitting,
    heading,
    line_pitch,
    lines_in,
    new_canvas,
    put,
)

_INSIDE = 36.0  # pixels from the rim of a box to its words


def camps_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """Both claims side by side, the question and its choices below."""
    canvas, argument, question = new_canvas(theme), deck.facts.scenario.argument, slide.question
    assert argument is not None and question is not None
    heading(canvas, slide.title)
    _claims(canvas, argument, low=430, high=CEILING - 30, sizes=(HEAD, BODY, SMALL))
    put(canvas, question.text, x=MARGIN, y=340, size=HEAD, bold=True, room=ROOM)
    wide = ROOM / 2
    for k, choice in enumerate(question.choices):
        x, y = MARGIN + (k % 2) * wide, 240 - (k // 2) * 90
        _choice(canvas, "ABCD"[k], choice, x=x, y=y, room=wide - 40, size=BODY)
    return canvas


def _claims(
    canvas: Canvas, argument: tuple[str, str], *, low: float, high: float, sizes: tuple[float, ...]
) -> None:
    wide = (ROOM - 40) / 2
    for k, (head, claim) in enumerate(
        zip(("The first camp says", "The second camp says"), argument, strict=True)
    ):
        x = MARGIN + k * (wide + 40)
        box(canvas, x=x, y=low, width=wide, height=high - low)
        put(canvas, head, x=x + _INSIDE, y=high - 62, color=canvas.theme.faint, room=wide - 2 * _INSIDE)
        room, height = wide - 2 * _INSIDE, high - 88 - low - 20
        size, most = fitting(claim, sizes=sizes, room=room, height=height)
        block(canvas, claim, x=x + _INSIDE, top=high - 88, size=size, room=room, most=most)


def hands_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """A question, and a line for each choice with room for a count."""
    canvas, question = new_canvas(theme), slide.question
    assert question is not None
    heading(canvas, slide.title)
    size, most = fitting(question.text, sizes=(LARGE, HEAD, BODY), room=ROOM, height=280, bold=True)
    low = block(canvas, question.text, x=MARGIN, top=CEILING - 20, size=size, room=ROOM, most=most, bold=True)
    pitch = min(150.0, (low - 40 - FLOOR) / len(question.choices))
    for k, choice in enumerate(question.choices):
        _choice(
            canvas, "ABCD"[k], choice, x=MARGIN, y=low - 40 - (k + 0.5) * pitch, room=ROOM - 40, size=HEAD
        )
    return canvas


def _choice(canvas: Canvas, letter: str, text: str, *, x: float, y: float, room: float, size: float) -> None:
    side = 2.0 * size
    box(canvas, x=x, y=y - side / 2, width=side, height=side, facecolor=canvas.theme.accent)
    put(canvas, letter, x=x + side / 2, y=y, size=size, bold=True, ha="center", va="center_baseline",
        color=canvas.theme.paper)  # fmt: skip
    put(canvas, text, x=x + side + 28, y=y, size=size, room=room - side - 28, va="center_baseline")


def answer_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """Both claims again, and what the simulated tanks say of them."""
    canvas, facts = new_canvas(theme), deck.facts
    argument, verdict = facts.scenario.argument, facts.verdict
    assert argument is not None and verdict is not None
    heading(canvas, slide.title)
    _claims(canvas, argument, low=650, high=CEILING - 26, sizes=(BODY, SMALL))
    top = block(canvas, verdict_line(verdict), x=MARGIN, top=620, size=LARGE, room=ROOM, most=2, bold=True)
    top = block(canvas, verdict.because, x=MARGIN, top=top - 14, size=BODY, room=ROOM, most=3)
    pitch = line_pitch(SMALL)
    others = facts.setups[2:]
    room = int((top - 20 - FLOOR) // pitch)
    for k, one in enumerate(others[:room]):
        words = f"Beside it, {one.name}: {SHORT_WAYS[one.way]}"
        put(canvas, words, x=MARGIN, y=top - 16 - (k + 0.8) * pitch, room=ROOM, color=theme.faint)
    return canvas


def film_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """The cue for the film, and who is to be seen in it."""
    canvas, facts = new_canvas(theme), deck.facts
    heading(canvas, slide.title)
    block(canvas, f"Open {deck.film}", x=MARGIN, top=CEILING - 30, size=LARGE, room=ROOM, most=2, bold=True)
    names = ["the tank as it is"]
    if facts.best:
        names.append(facts.setups[facts.best].name)
    told = "On one clock, side by side: " + " and ".join(names) if len(names) > 1 else f"Shown: {names[0]}"
    low = block(canvas, told, x=MARGIN, top=770, size=BODY, room=ROOM, most=3)
    looks = species_looks(row.species for row in facts.scenario.stock)
    rows = list(looks.values())[:8]
    columns = 2 if len(rows) > 3 else 1
    wide = ROOM / columns
    pitch = min(150.0, (low - 30 - FLOOR) / -(-len(rows) // columns))
    for k, look in enumerate(rows):
        x, y = MARGIN + (k % columns) * wide, low - 30 - (k // columns + 0.5) * pitch
        species_fish(canvas.page, look, pattern=pattern_of(k), x=x + 105, y=y, long=min(200.0, 1.5 * pitch))
        put(canvas, look.name, x=x + 240, y=y, size=BODY, room=wide - 270, va="center_baseline")
    return canvas


def caveats_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """The three caveats."""
    canvas = new_canvas(theme)
    heading(canvas, slide.title)
    pitch = (CEILING - 20 - FLOOR) / 3
    for k, text in enumerate(caveats(deck.facts.scenario, deck.rests)):
        top = CEILING - 20 - k * pitch
        box(canvas, x=MARGIN, y=top - pitch + 16, width=ROOM, height=pitch - 16)
        put(canvas, str(k + 1), x=MARGIN + 70, y=top - pitch / 2 + 8, size=LARGE, bold=True, ha="center",
            va="center", color=theme.accent)  # fmt: skip
        room = ROOM - 180
        size, most = fitting(text, sizes=(BODY, SMALL), room=room, height=pitch - 56)
        lines = lines_in(text, size=size, room=room, most=most)
        high = len(lines) * line_pitch(size)
        block(canvas, text, x=MARGIN + 140, top=top + 8 - (pitch - high) / 2, size=size, room=room, most=most)
    return canvas


def sources_slide(deck: Deck, slide: Slide, theme: Theme) -> Canvas:
    """The keys of the publications that the numbers rest on."""
    canvas, rests = new_canvas(theme), deck.rests
    heading(canvas, slide.title)
    told = (
        f"{rests.numbers} numbers: {rests.published} with a publication behind them, at least in part; the "
        "rest "
        "is common practice, memory and assumption."
    )
    low = block(canvas, told, x=MARGIN, top=CEILING - 16, size=SMALL, room=ROOM, most=3)
    columns, pitch = 3, line_pitch(SMALL)
    rows = int((low - 30 - FLOOR - pitch) // pitch)
    keys = list(rests.keys)
    fits = rows * columns
    shown = keys if len(keys) <= fits else [*keys[: fits - 1], f"and {len(keys) - fits + 1} more"]
    rows = -(-len(shown) // columns)
    for k, key in enumerate(shown):
        x = MARGIN + (k // rows) * ROOM / columns
        put(canvas, key, x=x, y=low - 24 - (k % rows + 0.8) * pitch, room=ROOM / columns - 20)
    put(canvas, "rockshy sources KEY says in full what each is and what it was used for.", x=MARGIN,
        y=FLOOR + 20, room=ROOM, color=theme.faint)  # fmt: skip
    return canvas
