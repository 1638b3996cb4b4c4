"""A life on a slide: what the worst off keep month by month, what is dated, tanks gone wrong."""

from __future__ import annotations

from ..document.plain import many, percent
from ..questions.life.drawn import DrawnLife
from .deck import Slide
from .kinds import LIFE
from .lines import MODEL_FISH

NEVER = "that it goes wrong in that month in anybody's tank: simulated tanks differ."


def life_slide_of(one: DrawnLife, place: int, more: str) -> Slide:
    """Its title, what is on it in words, and what to say."""
    name = next(iter(one.kept))
    kept = ", ".join("-" if share is None else percent(share) for share in one.kept[name])
    dated = f" {'; '.join(one.dated_said)}." if one.dates else ""
    wrong = f"It has gone wrong by the end in {one.wrong[-1]} of {one.tanks} simulated tanks."
    return Slide(
        name=f"life{more}",
        kind=LIFE,
        title=f"{one.title}: {many(one.months, 'month')}" if one.title else one.heading,
        alt=f"{one.heading}. {name} keep, month by month: {kept}. {wrong}{dated} {MODEL_FISH}",
        say=(
            "From left to right the months; the thick line is what those keep that it is about, of the "
            "swimming about they would do if left alone; its bars are the luck of the simulated tanks.",
            one.said,
            *one.lines,
        ),
        never=NEVER,
        place=place,
    )
