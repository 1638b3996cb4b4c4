"""Colours of a fish in words, for whatever draws one: its body, then at most two parts of another colour.

No rule of behaviour reads them; what a fish takes for a rival's look is the word of its pattern.
"""

from __future__ import annotations

import re
from typing import NamedTuple

COLOURS = ("colour_female", "colour_male")  # the words of a species that hold them
UNKNOWN = "unknown"
HUES = (
    *("black", "white", "grey", "brown", "beige", "yellow", "orange", "red", "rust", "olive", "green"),
    *("blue", "violet", UNKNOWN),
)
MARKS = (
    *("bars", "stripes", "spots", "blotches", "chequers", "band", "back", "belly", "head", "mask"),
    *("dorsal", "fins"),
)
_COLOUR = f"(?:pale |dark )?(?:{'|'.join(HUES[:-1])})"
_PART = f"({_COLOUR}) ({'|'.join(MARKS)})"
FORM = f"({_COLOUR}|{UNKNOWN})(?: with {_PART}(?: and {_PART})?)?"
ALLOWED = (
    'a colour, then if wanted one or two parts of another, e.g. "blue with black bars and orange dorsal"; '
    f"colours: {', '.join(HUES)}, pale or dark before them; parts: {', '.join(MARKS)}"
)


class Dress(NamedTuple):
    """What a fish wears, in words."""

    body: str  # "pale blue"
    marks: tuple[tuple[str, str], ...]  # part and its colour: ("bars", "black")


def dress_of(told: str) -> Dress:
    """Read the words of a colour entry; raises ValueError where they have another form."""
    found = re.fullmatch(FORM, told)
    if found is None:
        raise ValueError(f"{told!r} is not valid; use {ALLOWED}")
    body, *rest = found.groups()
    pairs = ((rest[0], rest[1]), (rest[2], rest[3]))
    return Dress(body, tuple((mark, colour) for colour, mark in pairs if mark))
