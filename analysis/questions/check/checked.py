"""What ``rockshy check --full`` says: what was understood, what to judge, cautions."""

from __future__ import annotations

from ....sim.scenario.scenario import Scenario
from ...document import Document, Text, deeper, document, section
from ...document.cautions import cautions
from ..sources.source_counts import cited
from .drawn import draw_few
from .flags import flags
from .understood import understood


def checked(scenario: Scenario) -> Document:
    """The whole of it, below the first lines."""
    drawn = draw_few(scenario)
    found = flags(scenario, drawn)
    judge: list[Text] = [
        text for flag in found for text in (flag.text, deeper(f"Rests on: {flag.rests_on}."))
    ]
    nothing = "Nothing of what is looked at here. That is no verdict on the fish."
    sources = cited(flag.rests_on for flag in found)
    return document(
        *understood(scenario, drawn).sections,
        section("For you to judge", *(judge or [nothing])),
        section("Sources", *sources) if sources else None,
        section("Cautions", *(one.text for one in cautions(scenario))),
    )
