"""The handout: one sheet, black and white; in front the talk, on its back a watch of one's own tank."""

from __future__ import annotations

from pathlib import Path

from ..document.cautions import cautions
from ..questions.watching.ethogram import ACTS, HIDE, HOW_TO_WATCH, PLACES, PROTOCOL_SOURCE, WARNING_SIGNS
from ..questions.watching.sheet import Line, sheet_of
from ..talk.facts import SetUp
from ..talk.lines import LOST_IS, PINNED_IS, SHORT_WAYS, caveats, hidden, verdict_line
from ..talk.plain import TEN, of_twenty, tenths, times
from ..talk.slides import Deck
from .look import species_looks
from .paper import (
    EDGE,
    GREY,
    LEAST,
    Sheet,
    block,
    frame,
    line_height,
    lines_of,
    new_sheet,
    rule,
    save_pdf,
    say,
    wide,
)

TITLE, HEAD, BODY = 16.0, 11.0, 9.0  # points
SET_UPS = 6  # rows of the table; of more the first ones
ROWS = 14  # of the grids on the back
_COLUMNS = (0.35, 0.22, 0.14, 0.16)  # of the room: name, free hours lost, pinned, chased; then hidden


def handout_pages(deck: Deck, *, paper: str) -> list[Sheet]:
    """Front and back of the sheet, on "a4" or "letter" paper."""
    return [_front(deck, paper), _back(deck, paper)]


def save_handout(deck: Deck, path: Path, *, paper: str) -> Path:
    """Write it as PDF.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    subject = (
        "A handout: question, set-ups, result and caveats; on its back a sheet for a watch of ten minutes"
    )
    save_pdf(handout_pages(deck, paper=paper), path, title=deck.facts.scenario.title, subject=subject)
    return path


# ---- the front


def _front(deck: Deck, paper: str) -> Sheet:
    page, scenario = new_sheet(paper), deck.facts.scenario
    top = page.height - EDGE
    for line in lines_of(scenario.title, size=TITLE, room=page.room / 1.12)[:2]:
        say(page, line, x=EDGE, y=top - 15, size=TITLE, weight="bold", room=page.room)
        top -= line_height(TITLE)
    question = scenario.question or f"How do {deck.mild} fare in this tank?"
    top = _few(page, question, top=top - 4, size=HEAD, most=3)
    top = _heading(
        page, top - 10, f"How {deck.facts.watch} fared, of {min(deck.facts.tanks, 20)} simulated tanks"
    )
    top = _table(page, deck, top)
    words = f"{LOST_IS[:1].upper()}{LOST_IS[1:]}. {PINNED_IS[:1].upper()}{PINNED_IS[1:]}."
    top = _few(page, words, top=top - 4, size=LEAST, most=4)
    top = _set_ups(page, deck, top - 8)
    top = _argument(page, deck, top - 8)
    top = _heading(page, top - 8, "Three caveats")
    for k, text in enumerate(caveats(scenario, deck.rests), 1):
        say(page, f"{k}", x=EDGE, y=top - 0.8 * line_height(BODY), size=BODY, weight="bold")
        top = block(page, text, x=EDGE + 14, top=top, size=BODY, room=page.room - 14) - 3
    _notes(page, _cautions(page, deck, top - 8), low=EDGE + 10, words="Notes")
    say(
        page, "Turn over: ten minutes before your own tank.", x=page.width - EDGE, y=24, size=BODY, ha="right"
    )
    keys = f"Rests on {len(deck.rests.keys)} publications; rockshy sources lists them."
    say(page, keys, x=EDGE, y=24, size=LEAST)
    return page


def _few(
    page: Sheet, text: str, *, top: float, size: float, most: int, x: float = EDGE, room: float = 0.0
) -> float:
    """A paragraph of at most so many lines, the last one cut where there would be more."""
    wide_enough = room or page.room
    lines = lines_of(text, size=size, room=wide_enough)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    for k, line in enumerate(lines):
        say(page, line, x=x, y=top - (k + 0.8) * line_height(size), size=size, room=wide_enough)
    return top - len(lines) * line_height(size)


def _heading(page: Sheet, top: float, text: str) -> float:
    say(page, text, x=EDGE, y=top - 12, size=HEAD, weight="bold", room=page.room)
    return top - 18


def _table(page: Sheet, deck: Deck, top: float) -> float:
    starts = [EDGE + page.room * sum(_COLUMNS[:k]) for k in range(len(_COLUMNS) + 1)]
    heads = ("set-up", "of 10 free hours lost", "pinned", "chased an hour", "hides, of 10 h")
    for x, text in zip(starts, heads, strict=True):
        say(page, text, x=x, y=top - 9, size=LEAST, weight="bold")
    top -= 14
    rule(page, x=(EDGE, page.width - EDGE), y=(top, top), width=1.0)
    setups = deck.facts.setups[:SET_UPS]
    for k, one in enumerate(setups):
        top = _table_row(page, one, top, starts, is_base=k == 0)
    if len(deck.facts.setups) > SET_UPS:
        more = f"and {len(deck.facts.setups) - SET_UPS} set-ups more"
        say(page, more, x=EDGE, y=top - 10, size=LEAST)
        top -= 14
    return top


def _table_row(page: Sheet, one: SetUp, top: float, starts: list[float], *, is_base: bool) -> float:
    lost = f"{tenths(one.lost)}" + (f", give or take {TEN * one.half:.1f}" if one.half == one.half else "")
    cells = (
        lost,
        of_twenty(one.pinned, one.tanks) if one.tanks else "cannot be judged",
        times(one.chased),
        hidden(one).removesuffix(" of 10 hours"),
    )
    names = lines_of(one.name, size=BODY, room=starts[1] - EDGE - 8)[:2]
    below = [] if is_base else [SHORT_WAYS[one.way]]
    for k, text in enumerate(names):
        say(page, text, x=EDGE, y=top - 11 - k * line_height(BODY), size=BODY, room=starts[1] - EDGE - 8)
    for k, text in enumerate(below, len(names)):
        say(page, text, x=EDGE + 8, y=top - 11 - k * line_height(BODY), size=LEAST)
    for x, text, end in zip(starts[1:], cells, [*starts[2:], page.width - EDGE], strict=True):
        say(page, text, x=x, y=top - 11, size=BODY, room=end - x - 4)
    top -= (len(names) + len(below)) * line_height(BODY) + 5
    rule(page, x=(EDGE, page.width - EDGE), y=(top, top), width=0.4)
    return top


def _set_ups(page: Sheet, deck: Deck, top: float) -> float:
    """What was changed, where something was."""
    others = deck.facts.setups[1:SET_UPS]
    if not others:
        return top + 8
    top = _heading(page, top, "What was changed")
    for one in others:
        words = f"{one.name}: {'; '.join(one.changes) if one.changes else 'see the scenario file'}"
        top = _few(page, words, top=top, size=BODY, most=2) - 2
    return top


def _argument(page: Sheet, deck: Deck, top: float) -> float:
    argument, verdict = deck.facts.scenario.argument, deck.facts.verdict
    if argument is None:
        return top + 8
    top = _heading(page, top, "Two camps")
    for head, claim in zip(("The first camp: ", "The second camp: "), argument, strict=True):
        top = _few(page, head + claim, top=top, size=BODY, most=3) - 2
    if verdict is None:
        return top
    return _few(page, f"{verdict_line(verdict)} {verdict.because}", top=top - 2, size=BODY, most=3)


def _cautions(page: Sheet, deck: Deck, top: float) -> float:
    """In a black frame; in smaller letters where they would run off the page."""
    texts = [one.text for one in cautions(deck.facts.scenario)]
    inner = page.room - 16
    size = next((s for s in (BODY, LEAST) if top - _tall(texts, s, inner) > 40), LEAST)
    height = _tall(texts, size, inner)
    frame(page, x=EDGE, y=top - height, width=page.room, height=height, linewidth=1.6)
    low = top - 5
    for text in texts:
        low = block(page, text, x=EDGE + 8, top=low, size=size, room=inner) - 2
    return top - height


def _notes(page: Sheet, top: float, *, low: float, words: str) -> None:
    """Lines to write on, where there is room for three or more."""
    if top - low < 90:
        return
    say(page, words, x=EDGE, y=top - 24, size=BODY, weight="bold")
    y = top - 50
    while y > low:
        rule(page, x=(EDGE, page.width - EDGE), y=(y, y), width=0.4)
        y -= 24


def _tall(texts: list[str], size: float, room: float) -> float:
    return sum(len(lines_of(text, size=size, room=room)) * line_height(size) + 2 for text in texts) + 10


# ---- the back


def _back(deck: Deck, paper: str) -> Sheet:
    page, content = new_sheet(paper), sheet_of(deck.facts.scenario)
    lines = _merged(content.lines)
    top = page.height - EDGE
    say(page, "Ten minutes before your own tank", x=EDGE, y=top - 14, size=TITLE, weight="bold")
    top = _framed(page, WARNING_SIGNS, top - 24)
    top = _gaps(page, top - 8)
    for text in HOW_TO_WATCH[:3]:
        top = block(page, text, x=EDGE, top=top - 1, size=LEAST, room=page.room)
    acts = "; ".join(f"{one.name}: {one.meaning}" for one in ACTS if one.name in ("chase", "bite"))
    top = _heading(page, top - 4, "Who chases whom: a stroke for each chase, B for a bite")
    top = block(page, f"{acts}. Hide: {HIDE}.", x=EDGE, top=top, size=LEAST, room=page.room)
    high = min(26.0, (top - EDGE - 120) / (2 * len(lines)))
    top = _grid(page, lines, top - 4, high=high)
    places = ", ".join(f"{one.code} {one.name}" for one in PLACES)
    top = _heading(page, top - 6, "Where they are, once a minute")
    top = block(
        page, f"{places}. Of several alike: how many are out.", x=EDGE, top=top, size=LEAST, room=page.room
    )
    top = _places(page, lines, top - 16, high=high)
    _notes(page, top, low=EDGE + 24, words="What else you saw")
    block(page, PROTOCOL_SOURCE, x=EDGE, top=EDGE + 16, size=LEAST, room=page.room)
    return page


def _merged(lines: tuple[Line, ...]) -> list[Line]:
    """The rows of the sheet; by species where there are too many, and the last ones together."""
    if len(lines) <= ROWS:
        return list(lines)
    names = list(dict.fromkeys(one.species for one in lines))
    merged = [Line(name, name, "", sum(one.fish for one in lines if one.species == name)) for name in names]
    if len(merged) <= ROWS:
        return merged
    rest = sum(one.fish for one in merged[ROWS - 1 :])
    return [*merged[: ROWS - 1], Line("others", "", "others", rest)]


def _framed(page: Sheet, text: str, top: float) -> float:
    lines = lines_of(text, size=BODY, room=page.room - 16)
    height = len(lines) * line_height(BODY) + 10
    frame(page, x=EDGE, y=top - height, width=page.room, height=height, linewidth=1.6)
    block(page, text, x=EDGE + 8, top=top - 4, size=BODY, room=page.room - 16)
    return top - height


def _gaps(page: Sheet, top: float) -> float:
    names = ("date", "began at", "temperature", "last fed at")
    room = page.room / len(names)
    for k, name in enumerate(names):
        x = EDGE + k * room
        say(page, name, x=x, y=top - 12, size=BODY)
        rule(page, x=(x + wide(name, size=BODY) + 4, x + room - 8), y=(top - 14, top - 14))
    return top - 20


def _label(lines: list[Line], line: Line) -> str:
    looks = species_looks(one.species for one in lines if one.species)
    short = looks[line.species].short if line.species in looks else ""
    many = f" ({line.fish})" if line.fish > 1 else ""
    return f"{short} {line.rest}".strip() + many


def _grid(page: Sheet, lines: list[Line], top: float, *, high: float) -> float:
    """Rows chase, columns are chased; numbers of the rows stand over the columns."""
    names = 150.0
    count = len(lines)
    cell = min(60.0, (page.room - names) / count)
    left, upper = EDGE + names, top - 14
    for k, line in enumerate(lines):
        y = upper - (k + 1) * high
        say(page, f"{k + 1}  {_label(lines, line)}", x=EDGE, y=y + high / 2, size=LEAST, room=names - 6,
            va="center_baseline")  # fmt: skip
        say(page, f"{k + 1}", x=left + (k + 0.5) * cell, y=upper + 4, size=LEAST, ha="center")
        for c in range(count):
            itself = c == k and line.fish == 1
            frame(page, x=left + c * cell, y=y, width=cell, height=high, facecolor=GREY if itself else "none")
    return upper - count * high


def _places(page: Sheet, lines: list[Line], top: float, *, high: float) -> float:
    names, minutes = 150.0, 10
    cell = (page.room - names) / minutes
    for m in range(minutes):
        say(page, f"{m + 1}", x=EDGE + names + (m + 0.5) * cell, y=top + 3, size=LEAST, ha="center")
    for k, line in enumerate(lines):
        y = top - (k + 1) * high
        say(page, f"{k + 1}  {_label(lines, line)}", x=EDGE, y=y + high / 2, size=LEAST, room=names - 6,
            va="center_baseline")  # fmt: skip
        for m in range(minutes):
            frame(page, x=EDGE + names + m * cell, y=y, width=cell, height=high)
    return top - len(lines) * high
