"""``rockshy check``: what was understood, what the model does not judge, which cautions apply."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from .errors import DONE
from .finding import Found, find, first_tank
from .options import add_file
from .progress import OF_A_TANK

if TYPE_CHECKING:
    from ...sim.scenario import Scenario
    from ..flags import Flag


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    add_file(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Say it; nothing is run and nothing written.

    Raises
    ------
    RefusedError, ScenarioError
    """
    scenario = find(line.file)
    first_tank(Found(scenario, line.file, (), ""), then=OF_A_TANK)
    print(report(scenario))
    return DONE


def report(scenario: Scenario) -> str:
    """The whole text."""
    from ..cautions import cautions
    from ..drawn import draw_few
    from ..flags import flags
    from ..plain import section
    from ..understood import understood

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
    from ...sim.sources import bibliography

    known = bibliography()
    words = {word: None for flag in found for word in re.findall(r"\w+", flag.rests_on)}
    return [f"{key}: {known[key]}" for key in sorted(words) if key in known]
