"""Readers of a number typed after an option, held against its limits. Imports nothing heavy."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from functools import partial
from typing import Any


def part(low: float, high: float) -> Callable[[str], float]:
    """A reader of a share, typed as 0.1 or 10 %."""

    def read(text: str) -> float:
        from ...sim.scenario.reading.limits import Limit
        from ...sim.scenario.reading.tables import read_amount

        limit = Limit(low, high, "share")
        part = _number(text, partial(read_amount, limit=limit) if "%" in text else None)
        if not limit.holds(part):
            raise refused(text, limit.say())
        return part

    return read


def within(name: str, *, low: float | None = None) -> Callable[[str], Any]:
    """A reader of an option's text that holds it against the limit of a scenario file's key."""

    def read(text: str) -> float | int:
        from ...sim.scenario.reading.limits import LIMITS

        limit = LIMITS[name] if low is None else LIMITS[name]._replace(low=low)
        value = _number(text)
        is_whole = limit.kind == "whole"
        if not limit.holds(value) or (is_whole and value != int(value)):
            raise refused(text, limit.say())
        return int(value) if is_whole else value

    return read


def whole(low: int, high: int, *, allowed: str, zero: bool = False) -> Callable[[str], int]:
    """A reader of a whole number in digits; ``allowed`` says which, ``zero``: that one too."""

    def read(text: str) -> int:
        value = int(text[:9]) if text.isascii() and text.isdigit() else -1
        if low <= value <= high or (zero and value == 0):
            return value
        raise refused(text, allowed)

    return read


def between(low: float, high: float, what: str) -> Callable[[str], float]:
    """A reader of a number of something."""

    def read(text: str) -> float:
        value = _number(text)
        if not low <= value <= high:
            raise refused(text, f"{low:g} to {high:g} {what}")
        return value

    return read


def refused(text: str, allowed: object) -> argparse.ArgumentTypeError:
    """What was found after an option, and what is allowed."""
    from ...sim.scenario.reading.problems import show

    return argparse.ArgumentTypeError(f"is {show(text)}; use {allowed}")


def _number(text: str, read: Callable[[str], float] | None = None) -> float:
    """The number typed, as ``read`` or as a bare number; nan where it is none."""
    from ...sim.scenario.units import UnitError, number

    try:
        return (read or number)(text)
    except UnitError:
        return float("nan")
