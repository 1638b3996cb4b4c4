"""What finished trials depend on, as names and values, so that a folder of other work can be told apart."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from ...sim.identity import release, sources
from ...sim.scenario import Scenario
from ...sim.timeline import Event

_NO_MATTER = ("title", "question", "text", "stock_list_text", "alternatives")  # changes no trial
_SHOWN = 3  # differences that a message names
_LONG = 40  # signs of a value that a message shows


def recipe_of(
    command: str,
    scenario: Scenario,
    *,
    others: Mapping[str, Scenario] | None = None,
    options: Mapping[str, object] | None = None,
) -> dict[str, Any]:
    """Everything that the finished trials of a command depend on.

    How many trials are asked for is left out, so that more of them go on from fewer; the number of
    guesses they take turns over is in, since it decides what each trial is. So title, question and
    comments of a scenario file may change, nothing else may.

    Parameters
    ----------
    command : "run", "compare", ...
    scenario : the base.
    others : further scenarios by name, such as the alternatives, in the order of their numbers in jobs.
    options : whatever else decides which scenario a number stands for; values that JSON can say.

    Returns
    -------
    dict
        Name to value, flat: "run.seed", "stock 2.males", "more rock: rock.cover". JSON says it exactly.
    """
    told: dict[str, object] = {"version": release(), "sources": sources(), "command": command}
    told |= {f"option {name}": value for name, value in (options or {}).items()}
    told |= _contents(scenario)
    for name, other in (others or {}).items():
        told |= {f"{name}: {key}": value for key, value in _contents(other).items()}
    return {name: json.loads(canonical(value)) for name, value in told.items()}  # in this order


def scenario_digest(scenario: Scenario) -> str:
    """Hash of all that the trials of a scenario depend on (64 hexadecimal digits)."""
    return digest(_contents(scenario))


def digest(told: Mapping[str, object]) -> str:
    """Hash of names and values, whatever their order (64 hexadecimal digits)."""
    return hashlib.sha256(canonical(told).encode()).hexdigest()


def canonical(told: object) -> str:
    """JSON with sorted names; numbers in full."""
    return json.dumps(told, sort_keys=True, ensure_ascii=True, default=lambda number: number.item())


def differences(there: Mapping[str, object], here: Mapping[str, object]) -> str:
    """What differs between two recipes, in words; "" when nothing does."""
    names = [*here, *(name for name in there if name not in here)]
    found = [
        f"{_spoken(name)} is {_value(there, name)} there and {_value(here, name)} here"
        for name in names
        if name not in here or name not in there or there[name] != here[name]
    ]
    more = f"; and {len(found) - _SHOWN} more" if len(found) > _SHOWN else ""
    return "; ".join(found[:_SHOWN]) + more


def _spoken(name: str) -> str:
    if name.endswith("run.guesses"):
        return f"{name} (no more than the trials asked for)"
    return {"sources": "the hash of the simulator's sources"}.get(name, name)


def _value(told: Mapping[str, object], name: str) -> str:
    if told.get(name) is None:
        return "not set"
    text = json.dumps(told[name], ensure_ascii=False)
    return text if len(text) <= _LONG else text[:_LONG] + "..."


def _contents(scenario: Scenario) -> dict[str, object]:
    parts = {
        part.name: getattr(scenario, part.name) for part in fields(scenario) if part.name not in _NO_MATTER
    }
    flat = dict(_flat("", parts))
    run = scenario.run
    flat["run.guesses"] = 1 if run.fixed else min(run.guesses, run.trials)
    del flat["run.trials"]
    return flat


def _flat(name: str, value: object) -> list[tuple[str, object]]:
    """Names and values of everything inside; lists count from 1."""
    if is_dataclass(value) and not isinstance(value, type):
        inside = {part.name: getattr(value, part.name) for part in fields(value) if part.compare}
        if isinstance(value, Event):
            inside["event"] = type(value).__name__
    elif isinstance(value, Mapping):
        inside = {str(key): value[key] for key in sorted(value)}
    elif isinstance(value, tuple | list) and value and not isinstance(value[0], str | int | float):
        return [pair for k, one in enumerate(value, 1) for pair in _flat(f"{name} {k}", one)]
    else:
        return [(name, _plain(value))]
    return [pair for key, one in inside.items() for pair in _flat(f"{name}.{key}" if name else key, one)]


def _plain(value: object) -> object:
    """The same number in the same words, whether it was given as 2 or 2.0."""
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
