"""Whom a keeper's question names."""

from __future__ import annotations

import re

from ...sim.scenario.called import shown_name
from ...sim.scenario.scenario import Scenario
from ..document.typed import plural_of


def hint_of(scenario: Scenario, first: str) -> str:
    """What to type for fish that the question names and an answer's first lines do not; "" without any."""
    asked = _words(scenario.question)
    said = _words(first).replace(asked.strip(), "")
    stock = dict.fromkeys(row.species for row in scenario.stock)
    named = [key for key in stock if _is_in(asked, scenario, key)]
    told = [key for key in stock if _is_in(said, scenario, key)]
    if not named or any(key in named or _is_meant(asked, scenario, key) for key in told):
        return ""
    name = shown_name(scenario, named[0])
    return f'Your question names {plural_of(name, named[0])}: for how they fare add --for "{name}".'


def _is_meant(words: str, scenario: Scenario, key: str) -> bool:
    """Whether a species may be meant: by a word of its names or nearly so, "gobies" by "goby cichlid"."""
    parts = _words(f"{key} {shown_name(scenario, key)}").split()
    return any(f" {part[: max(3, len(part) - 1)]}" in words for part in parts if len(part) > 2)


def _words(text: str) -> str:
    """The words alone, so that "moorii" is not found within another."""
    return f" {' '.join(re.findall(r'[a-z]+', text.lower()))} "


def _is_in(words: str, scenario: Scenario, key: str) -> bool:
    """Whether a species is named: as it was typed, by its whole name, or by the second part of it."""
    name = shown_name(scenario, key)
    forms = (key, key.partition(" ")[2], name, plural_of(name, key))
    return any(form and _words(form) in words for form in forms)
