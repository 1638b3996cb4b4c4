"""Rockshy from Python: who gets chased in a tank of rock-dwelling cichlids, and who ends up pinned.

    import rockshy

    result = rockshy.run("mild-with-hot", trials=16)
    print(result)
    table = result.to_frame()

The other questions are asked the same way: compare, relief, rock, best, why, place, guesses, life, fit.

A tank is a Mesa model, :class:`TankModel`; its fish, :class:`Fish`, are Mesa agents. Rules of behaviour are
a value, :class:`Rules`. Nothing heavy is imported before it is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rockshy.analysis.questions.answer.answer import Answer as Answer
    from rockshy.analysis.questions.answer.answer import answer as answer
    from rockshy.analysis.questions.answer.words import words as words
    from rockshy.analysis.questions.best.call import best as best
    from rockshy.analysis.questions.calls import compare as compare
    from rockshy.analysis.questions.calls import fit as fit
    from rockshy.analysis.questions.calls import guesses as guesses
    from rockshy.analysis.questions.calls import life as life
    from rockshy.analysis.questions.calls import relief as relief
    from rockshy.analysis.questions.calls import rock as rock
    from rockshy.analysis.questions.calls import run as run
    from rockshy.analysis.questions.calls import why as why
    from rockshy.analysis.questions.fit.simulate import Simulator as Simulator
    from rockshy.analysis.questions.place.call import place as place
    from rockshy.analysis.study.layout import StoreError as StoreError
    from rockshy.analysis.study.result import Result as Result
    from rockshy.scenarios import load as load
    from rockshy.sim.fish.agent import Fish as Fish
    from rockshy.sim.fish.shoal import Shoal as Shoal
    from rockshy.sim.rules.support.parameter_record import Parameters as Parameters
    from rockshy.sim.rules.support.rule_set import Rules as Rules
    from rockshy.sim.run.model import TankModel as TankModel
    from rockshy.sim.run.table import Arm as Arm
    from rockshy.sim.run.table import Trials as Trials
    from rockshy.sim.run.trials import each_trial as each_trial
    from rockshy.sim.run.trials import run_trials as run_trials
    from rockshy.sim.scenario.reading import ScenarioError as ScenarioError
    from rockshy.sim.scenario.scenario import Scenario as Scenario

    __version__: str

_WHERE = {
    "Answer": "analysis.questions.answer.answer",
    "Arm": "sim.run.table",
    "Fish": "sim.fish.agent",
    "Parameters": "sim.rules.support.parameter_record",
    "Result": "analysis.study.result",
    "Rules": "sim.rules.support.rule_set",
    "Scenario": "sim.scenario.scenario",
    "ScenarioError": "sim.scenario.reading",
    "Shoal": "sim.fish.shoal",
    "Simulator": "analysis.questions.fit.simulate",
    "StoreError": "analysis.study.layout",
    "TankModel": "sim.run.model",
    "Trials": "sim.run.table",
    "answer": "analysis.questions.answer.answer",
    **dict.fromkeys(
        ("compare", "fit", "guesses", "life", "relief", "rock", "run", "why"),
        "analysis.questions.calls",
    ),
    "each_trial": "sim.run.trials",
    "load": "scenarios",
    "best": "analysis.questions.best.call",
    "place": "analysis.questions.place.call",
    "run_trials": "sim.run.trials",
    "words": "analysis.questions.answer.words",
}
__all__ = ["__version__", *_WHERE]  # noqa: PLE0604


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
