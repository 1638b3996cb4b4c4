"""What is said of a scenario before anything is run: what was understood, what to judge, cautions."""

from __future__ import annotations

import re

from ..sim.scenario import Scenario
from ..sim.sources import bibliography
from .cautions import cautions
from .drawn import draw_few
from .flags import Flag, flags
from .plain import section
from .understood import understood


def checked(scenario: Scenario) -> str:
    """The whole text of ``rockshy check``."""
    drawn = draw_few(scenario)
    found = flags(scenario, drawn)
    parts = [understood(scenario, drawn)]
    lines = [part for flag in found for part in (flag.text, f"  Rests on: {flag.rests_on}.")]
    if not lines:
        lines = ["Nothing of what is looked at here. That is no verdict on the fish."]
    parts.append(section("For you to judge, since the model does not", lines))
    if cited := citations(found):
        parts.append(section("Sources", cited))
    parts.append(section("Cautions", [one.text for one in cautions(scenario)]))
    return "\n\n".join(parts)


def citations(found: tuple[Flag, ...]) -> list[str]:
    """The bibliography of the keys that flags rest on."""
    known = bibliography()
    words = {word: None for flag in found for word in re.findall(r"\w+", flag.rests_on)}
    return [f"{key}: {known[key]}" for key in sorted(words) if key in known]
