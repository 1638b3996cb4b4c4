"""Rockshy from Python: who gets chased in a tank of rock-dwelling cichlids, and who ends up pinned.

    import rockshy

    trials = rockshy.run_trials(rockshy.load("mild-with-hot"), trials=16)
    print(rockshy.words(rockshy.answer(trials)))

A tank is a Mesa model, :class:`TankModel`; its fish, :class:`Fish`, are Mesa agents. Rules of behaviour are
a value, :class:`Rules`. Nothing heavy is imported before it is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rockshy.analysis.answer import Answer, answer
    from rockshy.analysis.words import words
    from rockshy.scenarios import load
    from rockshy.sim.fish import Fish
    from rockshy.sim.model import TankModel
    from rockshy.sim.parameter_record import Parameters
    from rockshy.sim.reading import ScenarioError
    from rockshy.sim.rule_set import Rules
    from rockshy.sim.scenario import Scenario
    from rockshy.sim.shoal import Shoal
    from rockshy.sim.table import Arm, Trials
    from rockshy.sim.trials import each_trial, run_trials

    __version__: str

__all__ = [
    "Answer",
    "Arm",
    "Fish",
    "Parameters",
    "Rules",
    "Scenario",
    "ScenarioError",
    "Shoal",
    "TankModel",
    "Trials",
    "__version__",
    "answer",
    "each_trial",
    "load",
    "run_trials",
    "words",
]

_WHERE = {
    "Answer": "analysis.answer",
    "Arm": "sim.table",
    "Fish": "sim.fish",
    "Parameters": "sim.parameter_record",
    "Rules": "sim.rule_set",
    "Scenario": "sim.scenario",
    "ScenarioError": "sim.reading",
    "Shoal": "sim.shoal",
    "TankModel": "sim.model",
    "Trials": "sim.table",
    "answer": "analysis.answer",
    "each_trial": "sim.trials",
    "load": "scenarios",
    "run_trials": "sim.trials",
    "words": "analysis.words",
}


def __getattr__(name: str) -> Any:
    """Import on first use."""
    from importlib import import_module

    if name == "__version__":
        return import_module("rockshy.sim.identity").release()
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"rockshy.{_WHERE[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
