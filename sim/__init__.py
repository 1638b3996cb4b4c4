"""The simulator: from a scenario to the Trials table. Prints nothing, draws no picture, writes no file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .model import TankModel
    from .reading import ScenarioError, load, parse
    from .rule_set import Rules
    from .scenario import Scenario
    from .table import Trials
    from .trials import each_trial, run_trials

__all__ = [
    "Rules",
    "Scenario",
    "ScenarioError",
    "TankModel",
    "Trials",
    "each_trial",
    "load",
    "parse",
    "run_trials",
]

_WHERE = {
    "Rules": "rule_set",
    "Scenario": "scenario",
    "ScenarioError": "reading",
    "TankModel": "model",
    "Trials": "table",
    "each_trial": "trials",
    "load": "reading",
    "parse": "reading",
    "run_trials": "trials",
}


def __getattr__(name: str) -> Any:
    """Import on first use, so that a command that needs no model starts at once."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f".{_WHERE[name]}", __name__), name)
