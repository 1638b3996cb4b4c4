"""The simulator: from a scenario to the Trials table. Prints nothing, draws no picture, writes no file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .rules.support.rule_set import Rules
    from .run.model import TankModel
    from .run.table import Trials
    from .run.trials import each_trial, run_trials
    from .scenario.reading import ScenarioError, load, parse
    from .scenario.scenario import Scenario

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
    "Rules": "rules.support.rule_set",
    "Scenario": "scenario.scenario",
    "ScenarioError": "scenario.reading",
    "TankModel": "run.model",
    "Trials": "run.table",
    "each_trial": "run.trials",
    "load": "scenario.reading",
    "parse": "scenario.reading",
    "run_trials": "run.trials",
}


def __getattr__(name: str) -> Any:
    """Import on first use, so that a command that needs no model starts at once."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f".{_WHERE[name]}", __name__), name)
