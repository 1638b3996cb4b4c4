"""The parameters of the rules: read from parameters.toml, overridden by a scenario, drawn for a draw."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from .draws import placed

HOW_DRAWN = ("fixed", "uniform", "log")


@dataclass(frozen=True)
class Parameter:
    """One number of a rule. ``draw`` says how it is drawn over ``low..high`` for a draw."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    draw: str
    source: str
    meaning: str


def _entry(name: str, entry: Mapping[str, Any], file: str) -> Parameter:
    low, high = entry["range"]
    parameter = Parameter(
        name,
        float(entry["value"]),
        float(low),
        float(high),
        entry["unit"],
        entry["draw"],
        entry["source"],
        entry["meaning"],
    )
    if parameter.draw not in HOW_DRAWN or not low <= parameter.value <= high:
        raise ValueError(f"{file} [{name}]: the value must lie in its range, draw be one of {HOW_DRAWN}")
    return parameter


@cache
def load() -> dict[str, Parameter]:
    """All parameters by name, in the order of the file."""
    return read(__package__.rpartition(".")[0], "parameters.toml")


def read(package: str, file: str) -> dict[str, Parameter]:
    """The parameters of a file of a package by name, in its order."""
    text = files(package).joinpath(file).read_text(encoding="utf-8")
    return {name: _entry(name, entry, file) for name, entry in tomllib.loads(text).items()}


def names() -> list[str]:
    """Fields of the values that rules see: every parameter, and ``tick_s``, the length of a tick."""
    return [*load(), "tick_s"]


def draw_between(low: float, high: float, how: str, uniform: float) -> float:
    """A value between two bounds, uniform or log-uniform, from one uniform number."""
    if low == high:
        return low
    if how == "log":
        return math.exp(math.log(low) + uniform * (math.log(high) - math.log(low)))
    return low + uniform * (high - low)


def resolve(
    overrides: Mapping[str, float],
    *,
    seed: int = 0,
    draw: int = 0,
    fixed: bool = True,
    tick_s: float = 1.0,
    given: Mapping[str, float] | None = None,
) -> Any:
    """The parameter values of one draw.

    Parameters
    ----------
    overrides : values set in the scenario; these are never drawn.
    seed, draw : which draw; each parameter is drawn by its name, so that setting one
        leaves the draws of all others as they were.
    fixed : True takes every default.
    tick_s : length of a tick, s.
    given : values of this draw by name, which are not drawn.

    Returns
    -------
    A record with one field a parameter (``p.attack_rate_s``) and ``tick_s``.
    """
    values: dict[str, float] = {}
    for name, parameter in load().items():
        if name in overrides:
            values[name] = float(overrides[name])
        elif fixed or parameter.draw == "fixed":
            values[name] = parameter.value
        elif given and name in given:
            values[name] = given[name]
        else:
            u = placed(seed, draw, "parameter", name)
            values[name] = draw_between(parameter.low, parameter.high, parameter.draw, u)
    values["tick_s"] = tick_s
    record = np.zeros(1, [(name, "f8") for name in names()]).view(np.recarray)
    for name in names():
        record[name] = values[name]
    return record[0]
