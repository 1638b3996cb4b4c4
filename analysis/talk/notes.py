"""The speaker's notes: what to show, what to say, what not to claim, and how many minutes a slide."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ...sim.species.sources import bibliography
from ..document.cautions import cautions
from .deck import Deck, Slide
from .lines import PINNED_IS
from .plain import TWENTY, shown
from .timing import QUESTIONS

NAME = "notes.md"
_MARKS = re.compile(r"([\\`*_\[\]<>#|~$&])")


def text_as(text: str) -> str:
    """A keeper's own words in a file of Markdown: as text, whatever signs are in them."""
    return _MARKS.sub(r"\\\1", text)


def notes_text(deck: Deck, *, command: str) -> str:
    """The whole file; ``command`` makes the same pack again."""
    facts = deck.facts
    more = f"; {facts.tanks} were run, so counts say \u201cabout\u201d" if facts.tanks > TWENTY else ""
    parts = [
        f"# Speaker's notes: {text_as(facts.scenario.title)}",
        f"{len(deck.slides)} slides, {_minutes(sum(one.minutes for one in deck.slides))}, and {QUESTIONS:g} "
        f"minutes for questions. Every count is out of "
        f"{shown(facts.tanks)} simulated tanks of each set-up{more}. {PINNED_IS[:1].upper()}{PINNED_IS[1:]}.",
        _before(deck),
        *(_slide(k, one) for k, one in enumerate(deck.slides, 1)),
        _listed("Left out", map(text_as, deck.left_out)),
        _listed("Cautions", (one.text for one in cautions(facts.scenario))),
        _listed("Sources", sorted(text_as(bibliography()[key]) for key in deck.rests.keys)),
        f"## To make this again\n\n    {command}",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _minutes(number: float) -> str:
    return f"{number:g} minute{'' if number == 1 else 's'}"


def _before(deck: Deck) -> str:
    lines = [
        "Show deck-dark.pdf in a dark room, deck-light.pdf in a bright one; any PDF reader shows it full "
        "screen.",
        "To change a slide, open deck-dark.pptx or deck-light.pptx: its words are text boxes, and these "
        "notes are with the slides.",
        "Print the handout on both sides, one for each listener: handout-a4.pdf or handout-letter.pdf.",
        "The same slides lie beside it as PNG and SVG, each with words for those who cannot see it; a PDF "
        "has no place for such words, so read out what is on the slide.",
    ]
    if deck.film:
        lines.insert(
            1, f"Open {deck.film} in a browser before the talk and leave it paused in a window of its own."
        )
    return _listed("Before the talk", lines)


def _listed(heading: str, lines: Iterable[str]) -> str:
    """A heading with a list; "" where there is nothing in it."""
    said = "\n".join(f"- {line}" for line in lines)
    return f"## {heading}\n\n{said}" if said else ""


def _slide(number: int, one: Slide) -> str:
    said = "\n".join(f"- {text_as(text)}" for text in one.say)
    asked = ""
    if one.question is not None:
        choices = "; ".join(text_as(choice) for choice in one.question.choices)
        asked = f"\n\nAsk: {text_as(one.question.text)} Hands for: {choices}."
    return (
        f"## {number}. {text_as(one.title)} ({_minutes(one.minutes)})\n\n{said}{asked}\n\n"
        f"Do not claim: {text_as(one.never)}\n\nIn words: {text_as(one.alt)}"
    )
