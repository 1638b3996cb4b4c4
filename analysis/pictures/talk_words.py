"""Slides of words: both camps, a show of hands, the verdict, the film's cue, caveats, sources."""

from __future__ import annotations

from collections import Counter
from typing import Any

from ...sim.scenario.called import shown_name
from ..talk.deck import Deck, Slide
from ..talk.lines import SHORT_WAYS, caveats, verdict_line
from .look import MARGIN, ROOM, species_looks
from .talk_fish import both_sexes
from .talk_look import BODY, CEILING, FLOOR, HEAD, LARGE, SMALL, Canvas

_INSIDE = 36.0  # pixels from the rim of a box to its words


def short_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The answer in short: the verdict large, the rest below it, one size for all that fits."""
    verdict, *rest = deck.facts.lines
    how = canvas.fitting(verdict, sizes=(HEAD, BODY, SMALL), room=ROOM, height=340, bold=True)
    top = canvas.block(verdict, MARGIN, CEILING - 20, **how) - 24
    pause = 16
    for size in (BODY, SMALL):
        high = sum(
            len(canvas.lines(text, size=size, room=ROOM)) * canvas.pitch(size) + pause for text in rest
        )
        if top - high >= FLOOR:
            break
    for text in rest:
        if top - len(canvas.lines(text, size=size, room=ROOM)) * canvas.pitch(size) < FLOOR:
            break  # what has no room is in the notes
        top = canvas.block(text, MARGIN, top, size=size, room=ROOM) - pause


def camps_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """Both claims side by side, the question and its choices below."""
    argument, question = deck.facts.scenario.argument, slide.question
    assert argument is not None and question is not None
    _claims(canvas, argument, low=430, high=CEILING - 30, sizes=(HEAD, BODY, SMALL))
    canvas.put(question.text, MARGIN, 340, size=HEAD, bold=True, room=ROOM)
    wide = ROOM / 2
    for k, choice in enumerate(question.choices):
        x, y = MARGIN + (k % 2) * wide, 240 - (k // 2) * 90
        _choice(canvas, "ABCD"[k], choice, x=x, y=y, room=wide - 40, size=BODY, height=90)


def _claims(
    canvas: Canvas, argument: tuple[str, str], *, low: float, high: float, sizes: tuple[float, ...]
) -> None:
    wide = (ROOM - 40) / 2
    room, height = wide - 2 * _INSIDE, high - 88 - low - 20
    for k, claim in enumerate(argument):
        x = MARGIN + k * (wide + 40)
        canvas.box(x, low, wide, high - low)
        head = f"The {('first', 'second')[k]} camp says"
        canvas.put(head, x + _INSIDE, high - 62, color=canvas.faint, room=room)
        how = canvas.fitting(claim, sizes=sizes, room=room, height=height)
        canvas.block(claim, x + _INSIDE, high - 88, **how)


def hands_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """A question, and a line for each choice with room for a count."""
    question = slide.question
    assert question is not None
    how = canvas.fitting(question.text, sizes=(LARGE, HEAD, BODY, SMALL), room=ROOM, height=280, bold=True)
    low = canvas.block(question.text, MARGIN, CEILING - 20, **how)
    pitch = min(150.0, (low - 40 - FLOOR) / len(question.choices))
    for k, choice in enumerate(question.choices):
        y = low - 40 - (k + 0.5) * pitch
        _choice(canvas, "ABCD"[k], choice, x=MARGIN, y=y, room=ROOM - 40, size=HEAD, height=pitch)


def _choice(
    canvas: Canvas, letter: str, text: str, *, x: float, y: float, room: float, size: float, height: float
) -> None:
    """A letter and a choice, in smaller letters and more lines where it is long."""
    side = 2.0 * size
    canvas.box(x, y - side / 2, side, side, face=canvas.theme.accent)
    canvas.put(letter, x + side / 2, y, size=size, bold=True, centred=True, color=canvas.theme.paper)
    sizes = [one for one in (HEAD, BODY, SMALL) if one <= size]
    how = canvas.fitting(text, sizes=sizes, room=room - side - 28, height=height)
    lines = canvas.lines(text, **how)
    for line, at in zip(lines, canvas.heights(len(lines), y, size=how["size"]), strict=True):
        canvas.put(line, x + side + 28, at, size=how["size"], level=True)


def answer_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """Both claims again, and what the simulated tanks say of them."""
    argument, verdict = deck.facts.scenario.argument, deck.facts.verdict
    assert argument is not None and verdict is not None
    room = (ROOM - 40) / 2 - 2 * _INSIDE
    longest = max(len(canvas.lines(claim, room=room)) for claim in argument)
    low = CEILING - 26 - max(272.0, 108 + longest * canvas.pitch())
    _claims(canvas, argument, low=low, high=CEILING - 26, sizes=(BODY, SMALL))
    how = canvas.fitting(verdict_line(verdict), sizes=(LARGE, HEAD), room=ROOM, height=120, bold=True)
    top = canvas.block(verdict_line(verdict), MARGIN, low - 30, **how)
    how = canvas.fitting(verdict.because, sizes=(BODY, SMALL), room=ROOM, height=top - 14 - FLOOR)
    top = canvas.block(verdict.because, MARGIN, top - 14, **how)
    others = deck.facts.setups[2:]
    if others and top - 60 > FLOOR:
        ways = Counter(SHORT_WAYS[one.way] for one in others)
        counted = "; ".join(f"{word} ({many})" for word, many in ways.items())
        words = f"The other changes, on an earlier slide: {counted}."
        canvas.block(words, MARGIN, top - 16, room=ROOM, most=2, color=canvas.faint)


def film_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The cue for the film, and who is to be seen in it."""
    facts = deck.facts
    top = canvas.block(f"Open {deck.film}", MARGIN, CEILING - 30, size=LARGE, room=ROOM, most=2, bold=True)
    told = "Shown: the tank as it is"
    if facts.best:
        told = f"On one clock, side by side: the tank as it is and {facts.setups[facts.best].name}"
    low = canvas.block(told, MARGIN, top - 20, size=BODY, room=ROOM, most=3)
    looks = species_looks((row.species for row in facts.scenario.stock), facts.scenario.species)
    rows = list(looks.values())
    columns = 1 if len(rows) < 4 else 2 if len(rows) < 13 else 3
    wide = ROOM / columns
    pitch = min(150.0, (low - 30 - FLOOR) / -(-len(rows) // columns))
    for k, look in enumerate(rows):
        x, y = MARGIN + (k % columns) * wide, low - 30 - (k // columns + 0.5) * pitch
        both_sexes(canvas.axes, look, x=x + 105, y=y, room=210, long=min(200.0, 1.5 * pitch))
        name = shown_name(facts.scenario, look.name)
        how = canvas.fitting(name, sizes=(BODY, SMALL), room=wide - 270, height=pitch)
        lines = canvas.lines(name, **how)
        for line, at in zip(lines, canvas.heights(len(lines), y, size=how["size"]), strict=True):
            canvas.put(line, x + 240, at, size=how["size"], level=True)


def caveats_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The three caveats."""
    pitch = (CEILING - 20 - FLOOR) / 3
    for k, text in enumerate(caveats(deck.facts.scenario, deck.rests)):
        top = CEILING - 20 - k * pitch
        canvas.box(MARGIN, top - pitch + 16, ROOM, pitch - 16)
        number: dict[str, Any] = {
            "size": LARGE,
            "bold": True,
            "color": canvas.theme.accent,
            "ha": "center",
            "va": "center",
        }
        canvas.put(str(k + 1), MARGIN + 70, top - pitch / 2 + 8, **number)
        how = canvas.fitting(text, sizes=(BODY, SMALL), room=ROOM - 180, height=pitch - 56)
        high = len(canvas.lines(text, **how)) * canvas.pitch(how["size"])
        canvas.block(text, MARGIN + 140, top + 8 - (pitch - high) / 2, **how)


def sources_slide(canvas: Canvas, deck: Deck, slide: Slide) -> None:
    """The publications that the numbers rest on, by names and year."""
    rests = deck.rests
    told = (
        f"{rests.numbers} numbers: {rests.published} with a publication behind them, at least in part; the "
        "rest is common practice, memory and assumption."
    )
    low = canvas.block(told, MARGIN, CEILING - 16, room=ROOM, most=3)
    wide, x, top = ROOM / 2, float(MARGIN), low - 24
    y = top
    for name in slide.names:
        lines = len(canvas.lines(name, room=wide - 20))
        if y - lines * canvas.pitch() < FLOOR + 62:
            x, y = x + wide, top
        y = canvas.block(name, x, y, room=wide - 20)
    words = "The notes have each in full; rockshy sources says what it was used for."
    canvas.put(words, MARGIN, FLOOR + 20, room=ROOM, color=canvas.faint)
