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
    from rockshy.analysis.questions.answer.answer import Answer, answer
    from rockshy.analysis.questions.answer.words import words
    from rockshy.scenarios import load
    from rockshy.sim.fish.agent import Fish
    from rockshy.sim.fish.shoal import Shoal
    from rockshy.sim.rules.support.parameter_record import Parameters
    from rockshy.sim.rules.support.rule_set import Rules
    from rockshy.sim.run.model import TankModel
    from rockshy.sim.run.table import Arm, Trials
    from rockshy.sim.run.trials import each_trial, run_trials
    from rockshy.sim.scenario.reading import ScenarioError
    from rockshy.sim.scenario.scenario import Scenario

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
    "Answer": "analysis.questions.answer.answer",
    "Arm": "sim.run.table",
    "Fish": "sim.fish.agent",
    "Parameters": "sim.rules.support.parameter_record",
    "Rules": "sim.rules.support.rule_set",
    "Scenario": "sim.scenario.scenario",
    "ScenarioError": "sim.scenario.reading",
    "Shoal": "sim.fish.shoal",
    "TankModel": "sim.run.model",
    "Trials": "sim.run.table",
    "answer": "analysis.questions.answer.answer",
    "each_trial": "sim.run.trials",
    "load": "scenarios",
    "run_trials": "sim.run.trials",
    "words": "analysis.questions.answer.words",
}


def __getattr__(name: str) -> Any:
    """Import on first use."""
    from importlib import import_module

    if name == "__version__":
        return import_module("rockshy.sim.run.identity").release()
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"rockshy.{_WHERE[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
