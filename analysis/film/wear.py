"""What a fish wears: the words of the library as colours, for every film, slide and picture.

A species is told from another by its sign, its mark and the dashes of its outline as well, so nobody
needs to see colours.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ...sim.species.colours import COLOURS, UNKNOWN, dress_of
from ...sim.species.species import Species, library
from .colour import lightness, mixed

INK, HALO = "#14201f", "#f4f7f2"  # of outlines
_HUES = {
    "black": "#1e1f24", "white": "#f3f2ec", "grey": "#8a8f93", "brown": "#8b6644", "beige": "#d8c49c",
    "yellow": "#f2c416", "orange": "#ee7c20", "red": "#bf3222", "rust": "#a4522d", "olive": "#7d7a3c",
    "green": "#5d8a4b", "blue": "#2a6fc4", "violet": "#7d66ba", UNKNOWN: "#9aa0a0",
}  # fmt: skip
_SHADES = {"pale": ("#ffffff", 0.5), "dark": ("#000000", 0.45)}


class Wear(NamedTuple):
    """Colours of a fish: its body, and its marks in the order in which they are painted."""

    said: str  # as the library says it
    body: str
    marks: tuple[tuple[str, str], ...]  # part and colour

    @property
    def second(self) -> str:
        """The colour of its first mark; that of its body without any."""
        return self.marks[0][1] if self.marks else self.body

    @property
    def rim(self) -> str:
        """Dark or pale, whichever stands out from its body."""
        return INK if lightness(self.body) > 0.45 else HALO


def wear_of(told: str) -> Wear:
    """Colours of the words of an entry such as "blue with black bars"."""
    body, marks = dress_of(told)
    return Wear(told, _colour(body), tuple((mark, _colour(name)) for mark, name in marks))


def wear_of_sexes(name: str, kinds: Mapping[str, Species] | None = None) -> tuple[Wear, Wear]:
    """What females and males of a species wear; neutral grey where nothing is known of it.

    Parameters
    ----------
    kinds : species by name, as a scenario has them; those of the library without.
    """
    species = (library() if kinds is None else kinds).get(name)
    told = [species.words[key].value if species else UNKNOWN for key in COLOURS]
    return wear_of(told[0]), wear_of(told[1])


def said_of(female: Wear, male: Wear) -> str:
    """What both wear, in words: "yellow", "male blue with black bars, female yellow"."""
    return female.said if female.said == male.said else f"male {male.said}, female {female.said}"


def _colour(name: str) -> str:
    shade, _, hue = name.rpartition(" ")
    return mixed(_HUES[hue], *_SHADES[shade]) if shade else _HUES[hue]
