"""The handout: one sheet, black and white; in front the talk, on its back a watch of one's own tank."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ..document.cautions import cautions
from ..questions.watching.ethogram import ACTS, HIDE, HOW_TO_WATCH, PLACES, PROTOCOL_SOURCE, WARNING_SIGNS
from ..questions.watching.sheet import Line, sheet_of
from ..talk.deck import Deck
from ..talk.facts import SetUp
from ..talk.lines import LOST_IS, PINNED_IS, SHORT_WAYS, caveats, hidden, verdict_line
from ..talk.plain import TEN, of_twenty, tenths, times
from .look import species_looks
from .paper import BODY, EDGE, GREY, HEAD, LEAST, TITLE, Sheet, save_pdf

SET_UPS = 6  # rows of the table; of more the first ones
ROWS = 14  # of the grids on the back
_NAMES = 150.0  # points for the names of rows
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
    about = "question, set-ups, result and caveats; on its back a sheet for a watch of ten minutes"
    title, subject = deck.facts.scenario.title, f"A handout: {about}"
    save_pdf(handout_pages(deck, paper=paper), path, title=title, subject=subject)
    return path


# ---- the front


def _front(deck: Deck, paper: str) -> Sheet:
    page, scenario = Sheet(paper), deck.facts.scenario
    top = page.height - EDGE
    for line in page.lines(scenario.title, size=TITLE, room=page.room, bold=True, most=2):
        page.put(line, EDGE, top - 15, size=TITLE, bold=True, room=page.room)
        top -= page.pitch(TITLE)
    question = scenario.question or f"How do {deck.mild} fare in this tank?"
    top = page.block(question, EDGE, top - 4, size=HEAD, room=page.room, most=3)
    heading = f"How {deck.facts.watch} fared, of {min(deck.facts.tanks, 20)} simulated tanks"
    top = _table(page, deck, page.heading(top - 10, heading, below=18))
    words = f"{LOST_IS[:1].upper()}{LOST_IS[1:]}. {PINNED_IS[:1].upper()}{PINNED_IS[1:]}."
    top = page.block(words, EDGE, top - 4, size=LEAST, room=page.room, most=4)
    top = _set_ups(page, deck, top - 8)
    top = _argument(page, deck, top - 8)
    top = page.heading(top - 8, "Three caveats", below=18)
    for k, text in enumerate(caveats(scenario, deck.rests), 1):
        top = page.listed(f"{k}", text, top, gap=3, bold=True)
    _notes(page, _cautions(page, deck, top - 8), low=EDGE + 10, words="Notes")
    page.put("Turn over: ten minutes before your own tank.", page.width - EDGE, 24, ha="right")
    keys = f"Rests on {len(deck.rests.keys)} publications; rockshy sources lists them."
    page.put(keys, EDGE, 24, size=LEAST)
    return page


def _table(page: Sheet, deck: Deck, top: float) -> float:
    starts = [EDGE + page.room * sum(_COLUMNS[:k]) for k in range(len(_COLUMNS) + 1)]
    heads = ("set-up", "of 10 free hours lost", "pinned", "chased an hour", "hides, of 10 h")
    for x, text in zip(starts, heads, strict=True):
        page.put(text, x, top - 9, size=LEAST, bold=True)
    top -= 14
    page.rule((EDGE, page.width - EDGE), top, width=1.0)
    setups = deck.facts.setups
    for k, one in enumerate(setups[:SET_UPS]):
        top = _table_row(page, one, top, starts, is_base=k == 0)
    if len(setups) > SET_UPS:
        page.put(f"and {len(setups) - SET_UPS} set-ups more, on the slides", EDGE, top - 10, size=LEAST)
        top -= 14
    return top


def _table_row(page: Sheet, one: SetUp, top: float, starts: list[float], *, is_base: bool) -> float:
    cells = (
        f"{tenths(one.lost)}" + (f", give or take {TEN * one.half:.1f}" if one.half == one.half else ""),
        of_twenty(one.pinned, one.tanks) if one.tanks else "cannot be judged",
        times(one.chased),
        hidden(one).removesuffix(" of 10 hours"),
    )
    room, pitch = starts[1] - EDGE - 8, page.pitch()
    names = page.lines(one.name, room=room)[:2]
    for k, text in enumerate(names):
        page.put(text, EDGE, top - 11 - k * pitch, room=room)
    if not is_base:
        page.put(SHORT_WAYS[one.way], EDGE + 8, top - 11 - len(names) * pitch, size=LEAST)
    for x, text, end in zip(starts[1:], cells, [*starts[2:], page.width - EDGE], strict=True):
        page.put(text, x, top - 11, room=end - x - 4)
    top -= (len(names) + (not is_base)) * pitch + 5
    page.rule((EDGE, page.width - EDGE), top, width=0.4)
    return top


def _set_ups(page: Sheet, deck: Deck, top: float) -> float:
    """What was changed, where something was."""
    others = deck.facts.setups[1:SET_UPS]
    if not others:
        return top + 8
    top = page.heading(top, "What was changed", below=18)
    for one in others:
        words = f"{one.name}: {'; '.join(one.changes) if one.changes else 'see the scenario file'}"
        top = page.block(words, EDGE, top, room=page.room, most=2) - 2
    return top


def _argument(page: Sheet, deck: Deck, top: float) -> float:
    argument, verdict = deck.facts.scenario.argument, deck.facts.verdict
    if argument is None:
        return top + 8
    top = page.heading(top, "Two camps", below=18)
    for head, claim in zip(("The first camp: ", "The second camp: "), argument, strict=True):
        top = page.block(head + claim, EDGE, top, room=page.room, most=3) - 2
    if verdict is None:
        return top
    return page.block(f"{verdict_line(verdict)} {verdict.because}", EDGE, top - 2, room=page.room, most=3)


def _cautions(page: Sheet, deck: Deck, top: float) -> float:
    """In a black frame; in smaller letters where they would run off the page."""
    texts, inner = [one.text for one in cautions(deck.facts.scenario)], page.room - 16

    def tall(size: float) -> float:
        return sum(len(page.lines(text, size=size, room=inner)) * page.pitch(size) + 2 for text in texts) + 10

    size = BODY if top - tall(BODY) > 40 else LEAST
    page.frame(EDGE, top - tall(size), page.room, tall(size), linewidth=1.6)
    low = top - 5
    for text in texts:
        low = page.block(text, EDGE + 8, low, size=size, room=inner) - 2
    return top - tall(size)


def _notes(page: Sheet, top: float, *, low: float, words: str) -> None:
    """Lines to write on, where there is room for three or more."""
    if top - low >= 90:
        page.notes(words, top - 24, low=low, pitch=24)


# ---- the back


def _back(deck: Deck, paper: str) -> Sheet:
    page, content = Sheet(paper), sheet_of(deck.facts.scenario)
    lines = _merged(content.lines)
    top = page.height - EDGE
    page.put("Ten minutes before your own tank", EDGE, top - 14, size=TITLE, bold=True)
    top -= 24
    height = len(page.lines(WARNING_SIGNS, room=page.room - 16)) * page.pitch() + 10
    page.frame(EDGE, top - height, page.room, height, linewidth=1.6)
    page.block(WARNING_SIGNS, EDGE + 8, top - 4, room=page.room - 16)
    names = ("date", "began at", "temperature", "last fed at")
    page.gaps(names, top - height - 20, columns=len(names), pitch=0, end=8)
    top -= height + 28
    small: dict[str, Any] = {"size": LEAST, "room": page.room}
    for text in HOW_TO_WATCH[:3]:
        top = page.block(text, EDGE, top - 1, **small)
    acts = "; ".join(f"{one.name}: {one.meaning}" for one in ACTS if one.name in ("chase", "bite"))
    top = page.heading(top - 4, "Who chases whom: a stroke for each chase, B for a bite", below=18)
    top = page.block(f"{acts}. Hide: {HIDE}.", EDGE, top, **small)
    high = min(26.0, (top - EDGE - 120) / (2 * len(lines)))
    top = _grid(page, lines, top - 4, high=high)
    places = ", ".join(f"{one.code} {one.name}" for one in PLACES)
    top = page.heading(top - 6, "Where they are, once a minute", below=18)
    top = page.block(f"{places}. Of several alike: how many are out.", EDGE, top, **small)
    top = _places(page, lines, top - 16, high=high)
    _notes(page, top, low=EDGE + 24, words="What else you saw")
    page.block(PROTOCOL_SOURCE, EDGE, EDGE + 16, **small)
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


def _label(lines: list[Line], line: Line) -> str:
    looks = species_looks(one.species for one in lines if one.species)
    short = looks[line.species].short if line.species in looks else ""
    many = f" ({line.fish})" if line.fish > 1 else ""
    return f"{short} {line.rest}".strip() + many


def _grid(page: Sheet, lines: list[Line], top: float, *, high: float) -> float:
    """Rows chase, columns are chased; numbers of the rows stand over the columns."""
    count = len(lines)
    cell = min(60.0, (page.room - _NAMES) / count)
    left, upper = EDGE + _NAMES, top - 14
    for k, line in enumerate(lines):
        y = upper - (k + 1) * high
        _row_name(page, lines, k, y=y + high / 2)
        page.put(f"{k + 1}", left + (k + 0.5) * cell, upper + 4, size=LEAST, ha="center")
        for c in range(count):
            itself = c == k and line.fish == 1
            page.frame(left + c * cell, y, cell, high, facecolor=GREY if itself else "none")
    return upper - count * high


def _row_name(page: Sheet, lines: list[Line], k: int, *, y: float) -> None:
    page.put(f"{k + 1}  {_label(lines, lines[k])}", EDGE, y, size=LEAST, room=_NAMES - 6, level=True)


def _places(page: Sheet, lines: list[Line], top: float, *, high: float) -> float:
    minutes, left = 10, EDGE + _NAMES
    cell = (page.room - _NAMES) / minutes
    for m in range(minutes):
        page.put(f"{m + 1}", left + (m + 0.5) * cell, top + 3, size=LEAST, ha="center")
    for k in range(len(lines)):
        y = top - (k + 1) * high
        _row_name(page, lines, k, y=y + high / 2)
        for m in range(minutes):
            page.frame(left + m * cell, y, cell, high)
    return top - len(lines) * high
