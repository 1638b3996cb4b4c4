"""Readers of a number typed after an option, held against its limits. Imports nothing heavy."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any


def part(low: float, high: float) -> Callable[[str], float]:
    """A reader of a share, typed as 0.1 or 10 %."""

    def read(text: str) -> float:
        from ...sim.scenario.reading.limits import Limit
        from ...sim.scenario.reading.problems import show
        from ...sim.scenario.reading.tables import read_amount
        from ...sim.scenario.units import UnitError, number

        limit = Limit(low, high, "share")
        try:
            part = read_amount(text, limit) if "%" in text else number(text)
        except UnitError:
            part = float("nan")
        if not limit.holds(part):
            raise argparse.ArgumentTypeError(f"found {show(text)}; allowed: {limit.say()}")
        return part

    return read


def within(name: str, *, low: float | None = None) -> Callable[[str], Any]:
    """A reader of an option's text that holds it against the limit of a scenario file's key."""

    def read(text: str) -> float | int:
        from ...sim.scenario.reading.limits import LIMITS
        from ...sim.scenario.reading.problems import show
        from ...sim.scenario.units import UnitError, number

        limit = LIMITS[name] if low is None else LIMITS[name]._replace(low=low)
        try:
            value = number(text)
        except UnitError:
            value = float("nan")
        whole = limit.kind == "whole"
        if not limit.holds(value) or (whole and value != int(value)):
            raise argparse.ArgumentTypeError(f"found {show(text)}; allowed: {limit.say()}")
        return int(value) if whole else value

    return read
