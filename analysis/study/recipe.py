"""What finished trials depend on, as names and values, so that a folder of other work can be told apart."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from ...sim.run.identity import release, sources
from ...sim.run.set_ups import a_round
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.timeline import Event

_NO_MATTER = ("title", "question", "argument", "text", "stock_list_text", "alternatives", "wanted")
_NONE = object()  # instead of a value that is not there
_SHOWN = 4  # parts that a message names
_LONG = 40  # signs of a value that a message shows
_FILE = {  # what a part of a scenario is called in its file, where that is another name
    "width_cm": "front_to_back",
    "water_cm": "water_level",
    "piece_cm": "piece_size",
    "settle_days": "settle",
    "out_day": "out",
    "x_cm": "from_left",
    "y_cm": "from_front",
    "z_cm": "above_base",
}
_UNIT = re.compile(r"_(cm|c)$")


def recipe_of(
    command: str,
    scenario: Scenario,
    *,
    others: Mapping[str, Scenario] | None = None,
    options: Mapping[str, object] | None = None,
) -> dict[str, Any]:
    """Everything that the finished trials of a command depend on.

    How many trials are asked for is left out, so that more of them go on from fewer; the number of
    guesses they take turns over is in, since it decides what each trial is. So title, question, argument
    and comments of a scenario file and the names of its alternatives may change, nothing else may.

    Parameters
    ----------
    command : "run", "compare", ...
    scenario : the base.
    others : further scenarios by name, such as the alternatives, in the order of their numbers in jobs.
    options : whatever else decides which scenario a number stands for; values that JSON can say.

    Returns
    -------
    dict
        Name to value, flat: "run.seed", "stock 2.males", "alternative 1: rock.cover". JSON says it exactly.
    """
    told: dict[str, object] = {"version": release(), "sources": sources(), "command": command}
    told |= {f"option {name}": value for name, value in (options or {}).items()}
    told |= _contents(scenario)
    for number, other in enumerate((others or {}).values(), 1):
        told |= {f"alternative {number}: {key}": value for key, value in _contents(other).items()}
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
    """What differs between two recipes, in a few plain words; "" when nothing does.

    A part in which one thing differs is told with both values, one in which several do by its name alone.
    What follows from something else is not told: the species of another stock, and in an alternative what
    differs in the tank as it is too.
    """
    names = [name for name in {**here, **there} if there.get(name, _NONE) != here.get(name, _NONE)]
    for first in ("command", "version", "sources"):
        if first in names:
            return _told(first, there, here)
    parts: dict[str, list[str]] = {}
    for name in names:
        if not _follows(name, names, there, here):
            parts.setdefault(_part(name), []).append(name)
    told = [_told(found[0], there, here) for found in parts.values() if len(found) == 1]
    several = {part: found for part, found in parts.items() if len(found) > 1}
    for verb, side in (("new", here), ("gone", there)):
        alone = [part for part, found in several.items() if _is_alone(found, there, here, side)]
        told += [f"{_listed(alone)} {'is' if len(alone) == 1 else 'are'} {verb}"] if alone else []
        several = {part: found for part, found in several.items() if part not in alone}
    told += [f"{_listed(list(several))} differ{'s' if len(several) == 1 else ''}"] if several else []
    return "; ".join(told)


def _is_alone(
    names: Sequence[str], there: Mapping[str, object], here: Mapping[str, object], side: Mapping[str, object]
) -> bool:
    """Whether an alternative is on one side only."""
    other = there if side is here else here
    which = names[0].rpartition(": ")[0]
    return bool(which) and not any(name.startswith(f"{which}: ") for name in other)


def _listed(parts: Sequence[str]) -> str:
    if len(parts) > _SHOWN:
        return f"{', '.join(parts[:_SHOWN])} and more"
    return " and ".join([*([", ".join(parts[:-1])] if len(parts) > 1 else []), *parts[-1:]])


def _follows(
    name: str, names: Sequence[str], there: Mapping[str, object], here: Mapping[str, object]
) -> bool:
    """Whether a difference comes with another one."""
    which, _, what = name.rpartition(": ")
    if which and what in names:
        return all(told.get(name, _NONE) == told.get(what, _NONE) for told in (there, here))
    before = f"{which}: " if which else ""
    is_species = what.startswith("species.") and (name not in there or name not in here)
    return is_species and any(other.startswith(f"{before}stock") for other in names)


def _part(name: str) -> str:
    """What a keeper calls the part of a scenario that holds it."""
    which, _, what = name.rpartition(": ")
    if which:
        return which
    part = re.split(r"[. ]", what)[0]
    if part == "given":
        return "the fit"
    if part == "species":
        return f"what is assumed of {what.split('.')[1]}"
    return {"parameters": "[parameters]", "run": "[run]", "option": "what was asked for"}.get(
        part, f"the {part}"
    )


def _told(name: str, there: Mapping[str, object], here: Mapping[str, object]) -> str:
    if name == "version":
        return f"they were simulated by rockshy {there.get(name)}, and this is rockshy {here.get(name)}"
    if name == "sources":
        return "they were simulated before the simulator was changed"
    if name.startswith("given"):
        return "the fit differs"
    return f"{_spoken(name)} is {_value(there, name)} there and {_value(here, name)} here"


def _spoken(name: str) -> str:
    """The name in the words of the scenario file."""
    if name.endswith("run.guesses"):
        return f"{name} (no more than the trials asked for)"
    before, dot, last = name.rpartition(".")
    return f"{before}{dot}{_FILE.get(last, _UNIT.sub('', last))}"


def _value(told: Mapping[str, object], name: str) -> str:
    if told.get(name) is None:
        return "not set"
    text = json.dumps(told[name], ensure_ascii=False)
    return text if len(text) <= _LONG else text[:_LONG] + "..."


def _contents(scenario: Scenario) -> dict[str, object]:
    parts = {
        part.name: getattr(scenario, part.name) for part in fields(scenario) if part.name not in _NO_MATTER
    }
    parts["rules"] = scenario.rules.texts()
    flat = dict(_flat("", parts))
    run = scenario.run
    drawn_anew = run.guesses is None and not run.fixed
    flat["run.guesses"] = "one for each tank" if drawn_anew else a_round(run)
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
