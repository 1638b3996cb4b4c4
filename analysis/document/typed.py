"""Fish in the first lines of an answer called as the keeper typed them, in place of scientific names."""

from __future__ import annotations

import re
from dataclasses import replace

from ...sim.scenario.called import shown_name
from ...sim.scenario.scenario import Scenario
from .brief import Brief
from .plain import called

_SEX = r"(?:fe)?males?"
_FISH = r"(?:fe)?males\b|(?:(?:fe)?male|unsexed)\b(?: fish\b| \d+\b)?"  # "males 54 %": no fish number 54
UNSEXED = " unsexed fish"
_WHICH = rf"(?P<which> (?:{_FISH}))?(?: \((?P<many>\d+)\))?"
_KIND = r"(?P<kind>(?= with its ))?"  # "with its own kind only": of the species, so in the singular


def as_typed(brief: Brief, scenario: Scenario) -> Brief:
    """The same with the common names that the keeper typed.

    The scientific name stands beside it once, where it comes first: "yellow lab females (Labidochromis
    caeruleus; 6)". A species that was typed by its scientific name keeps that, whole or cut short, and the
    keeper's own question is left as it is.
    """
    typed = {key: shown_name(scenario, key) for key in scenario.species}
    keys = {form: key for key, name in typed.items() if name != key for form in (key, called(key, key))}
    if not keys:
        return brief
    forms = "|".join(map(re.escape, keys))
    pattern = re.compile(rf"(?:(?P<of>{_SEX}) of )?\b(?P<key>{forms})\b{_WHICH}{_KIND}")
    told: set[str] = set()

    def named(fish: re.Match[str]) -> str:
        key = keys[fish["key"]]
        which = f" {fish['of']}" if fish["of"] else fish["which"] or ""
        one = which or fish["kind"] is not None
        beside = "; ".join(filter(None, ("" if key in told else key, fish["many"])))
        told.add(key)
        said = f"{typed[key]}{which}" if one else _plural(typed[key], key)
        if which == UNSEXED:
            said = f"unsexed {_plural(typed[key], key)}"
        return f"{said} ({beside})" if beside else said

    own = {"question"} if brief.question == scenario.question else set()
    parts = {name: pattern.sub(named, text) for name, text in vars(brief).items() if name not in own}
    return replace(brief, **parts)


def _plural(name: str, key: str) -> str:
    """What is Latin, or ends like it, stays as it is: "yellow labs", "rusties", but "demasoni", "kenyi"."""
    if name in key or " of " in name or name[-1] in "is":
        return name
    return f"{name[:-1]}ies" if name[-2:] == "ty" else f"{name}s"
