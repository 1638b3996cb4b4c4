"""What is said of a scenario before anything is run: what was understood, what to judge, cautions."""

from __future__ import annotations

import re

from ..sim.scenario import Scenario
from ..sim.sources import bibliography
from .cautions import cautions
from .document import Document, Text, deeper, document, section
from .drawn import draw_few
from .flags import Flag, flags
from .understood import understood


def checked(scenario: Scenario) -> Document:
    """The whole of what ``rockshy check`` says."""
    drawn = draw_few(scenario)
    found = flags(scenario, drawn)
    judge: list[Text] = [
        text for flag in found for text in (flag.text, deeper(f"Rests on: {flag.rests_on}."))
    ]
    nothing = "Nothing of what is looked at here. That is no verdict on the fish."
    cited = citations(found)
    return document(
        *understood(scenario, drawn).sections,
        section("For you to judge, since the model does not", *(judge or [nothing])),
        section("Sources", *cited) if cited else None,
        section("Cautions", *(one.text for one in cautions(scenario))),
    )


def citations(found: tuple[Flag, ...]) -> list[str]:
    """The bibliography of the keys that flags rest on."""
    known = bibliography()
    words = {word: None for flag in found for word in re.findall(r"\w+", flag.rests_on)}
    return [f"{key}: {known[key]}" for key in sorted(words) if key in known]
