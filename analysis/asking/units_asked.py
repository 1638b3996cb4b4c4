"""Sizes without a unit in a file whose tank is in inches: what a keeper is asked about them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from ...sim.scenario.reading.tank import SIDES
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.units import is_bare, is_imperial
from ..document.plain import listed

_ROCK = ("height", "piece_size")


def asked_units(scenario: Scenario) -> str:
    """A sentence on bare sizes of fish and rock, which are read as cm; "" where there are none."""
    told = tomllib.loads(scenario.text)
    sides = told.get("tank", {})
    if not any(is_imperial(sides[side]) for side in SIDES if side in sides):
        return ""
    found = list(dict.fromkeys(_bare(told)))
    if not found:
        return ""
    sizes = listed([f"{number} ({of})" for of, number in found])
    verb = "is" if len(found) == 1 else "are"
    return f'{sizes} {verb} read as cm, but the tank is in inches; for inches write "{found[0][1]} in".'


def _bare(told: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """What is written without a unit, and its number."""
    rows = told.get("stock", [])
    sizes = [(str(row.get("species", "")), row.get("length")) for row in rows if isinstance(row, dict)]
    sizes += [(f"rock {key.replace('_', ' ')}", told.get("rock", {}).get(key)) for key in _ROCK]
    for of, value in sizes:
        ends = value if isinstance(value, list) else [value]
        if all(one is not None and is_bare(one) for one in ends):
            number = "-".join(str(one) for one in ends)
            yield of, number
