"""Whom a keeper's question names."""

from __future__ import annotations

import re

from ...sim.scenario.called import shown_name
from ...sim.scenario.scenario import Scenario
from ...sim.species.names import find
from ..document.typed import plural_of

_MOST_WORDS = 3  # of a name: "blue dolphin cichlid"


def hint_of(scenario: Scenario, first: str, *, way: str = "") -> str:
    """What to type for fish that the question names and an answer's first lines do not; "" without any.

    ``way``: what shows how they fare; the option that asks about one species where it is left out.
    """
    asked = _words(scenario.question)
    named = named_in(scenario, asked)
    told = named_in(scenario, _words(first).replace(asked, ""))
    if not named or any(key in named or _is_meant(asked, scenario, key) for key in told):
        return ""
    name = shown_name(scenario, named[0])
    shown_by = way or f'--for "{name}"'
    return f"Your question names {plural_of(name, named[0])}: for how they fare add {shown_by}."


def named_in(scenario: Scenario, text: str) -> list[str]:
    """Species of the stock by any name that could be typed for them, in the order of the text."""
    words = text.split()
    spans = (words[k : k + n] for k in range(len(words)) for n in range(_MOST_WORDS, 0, -1))
    said = {" ".join(span) for span in spans if all(len(one) > 1 for one in span[1:])}
    stock = {row.species: scenario.species[row.species] for row in scenario.stock}
    found = {name: kind for name in said if (kind := find(name, among=stock)) is not None}
    return list(dict.fromkeys(found[name].key for name in sorted(found, key=text.find)))


def _is_meant(words: str, scenario: Scenario, key: str) -> bool:
    """Whether a species may be meant: by a word of its names or nearly so, "gobies" by "goby cichlid"."""
    parts = _words(f"{key} {shown_name(scenario, key)}").split()
    return any(f" {part[: max(3, len(part) - 1)]}" in f" {words}" for part in parts if len(part) > 2)


def _words(text: str) -> str:
    """The words alone, a space between each two."""
    return " ".join(re.findall(r"[^\W\d_]+", text.lower()))
