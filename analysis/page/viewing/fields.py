"""The single fields of a scenario file: what may stand in them, what stands there, what holds without it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ....sim.fish.population import mildest
from ....sim.run.set_ups import draws_in, watched
from ....sim.scenario import units
from ....sim.scenario.reading import limits
from ....sim.scenario.reading.events import EVENT
from ....sim.scenario.reading.limits import LIMITS, Field, Limit
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.rock import RESCAPE
from ....sim.scenario.reading.tables import read_amount
from ....sim.scenario.scenario import RunSpec, Scenario
from ....sim.scenario.timeline import RockAnew

Values = Mapping[str, Any]
Plain = str | int | float | bool | None

SHARED = (
    "title",
    "question",
    "run.trials",
    "run.guesses",
    "run.seed",
    "run.fixed",
    "run.wide",
)  # by tank and copies
NAME = "copy.name"


FIELDS: Mapping[str, Field] = {
    one.name: one
    for one in limits.FIELDS
    if one.table in ("", "tank", "rock", "run") and one.name != "rock.sketch"  # that is drawn
}


def as_written(values: Values, name: str) -> Any:
    """What stands in a field of a file, or of the table of a copy; None without it."""
    table, _, key = name.rpartition(".")
    inside = values.get(table) if table else values
    return inside.get(key) if isinstance(inside, Mapping) else None


def read_written(name: str, written: object) -> Plain:
    """A written value as a plain number, word or switch, cm and C; None where it cannot be read."""
    field = FIELDS[name]
    if field.kind == "yes":
        return written if isinstance(written, bool) else None
    if field.kind in ("text", "word"):
        return written if isinstance(written, str) else None
    return amount(written, LIMITS[name])


def amount(written: object, limit: Limit) -> float | None:
    """A written quantity in the unit of its limit, whether or not it lies within; None without one."""
    if written is None:
        return None
    try:
        value = read_amount(written, limit)
    except (units.UnitError, ArithmeticError):
        return None
    return plain(value) if math.isfinite(value) else None


def plain(value: float) -> float:
    """Without errors of rounding in the last digits, whole where it is whole."""
    short = float(f"{value:.10g}")
    return int(short) if short == int(short) and abs(short) < 2**53 else short


def told(value: object) -> Any:
    """A written value as JSON can hold it."""
    whole = isinstance(value, int) and abs(value) < 2**63
    if value is None or isinstance(value, bool) or whole:
        return value
    if isinstance(value, str):
        return value[: 2 * limits.LONGEST_QUESTION]
    if isinstance(value, float) and math.isfinite(value):
        return value
    if isinstance(value, list) and len(value) <= 2:
        return [told(one) for one in value]
    return show(value)


def standards(values: Values, name: str) -> dict[str, Plain]:
    """What holds in the fields of a file where nothing is written; None where something is needed."""

    def read(field: str) -> float | None:
        value = read_written(field, as_written(values, field))
        return value if isinstance(value, int | float) else None

    height, days, trials = read("tank.height"), read("run.days"), read("run.trials")
    water = read("tank.water_level") or (None if height is None else height - limits.BELOW_RIM_CM)
    declared = {key: None if one.default is limits.NEEDED else one.default for key, one in FIELDS.items()}
    return {
        **{key: plain(one) if isinstance(one, float) else one for key, one in declared.items()},
        "title": Path(name).stem or name,
        "tank.water_level": None if height is None else plain(height - limits.BELOW_RIM_CM),
        "rock.height": None if water is None else plain(water - limits.BELOW_SURFACE_CM),
        "run.settle": min(RunSpec.settle_days, (RunSpec.days if days is None else days) / 2.0),
        "run.guesses": draws_in(RunSpec(trials=RunSpec.trials if trials is None else int(trials))),
    }


def in_scenario(scenario: Scenario, name: str) -> Plain:
    """The value of a field in a checked scenario."""
    field = FIELDS[name]
    if name == f"rock.{RESCAPE}":
        return _laid_anew(scenario)
    part = getattr(scenario, field.table) if field.table else scenario
    value = getattr(part, field.of) if field.of else None
    if value is None and name == "run.guesses":
        return draws_in(RunSpec(trials=scenario.run.trials))
    return plain(value) if isinstance(value, float) else value


def _laid_anew(scenario: Scenario) -> Plain:
    """The day that the rock itself gives for it; those of [[event]] tables are no field."""
    days = (one.day for one in scenario.events if isinstance(one, RockAnew) and EVENT not in one.place)
    return next(days, None)


def field_of(written: object, value: object, standard: object, *, own: bool) -> dict[str, Any]:
    """A field as the page shows it."""
    shown = {"written": written, "value": value, "standard": standard}
    return {**shown, "own": own, "shared": False, "problems": []}


def fields_of(
    values: Values, own: Values, *, name: str, which: int, base: Scenario | None, scenario: Scenario | None
) -> dict[str, dict[str, Any]]:
    """Every field as the page shows it, without problems; ``name`` is that of the file.

    ``values, own``: the file, and the table that is shown; ``base, scenario``: both read, where good.
    """
    normal = standards(values, name)
    found: dict[str, dict[str, Any]] = {}
    for key, field in FIELDS.items():
        shared = which > 0 and key in SHARED
        there = as_written(values if shared else own, key)
        value, below = read_written(key, there), normal[key]
        if which > 0 and not shared:
            there_below = read_written(key, as_written(values, key))
            below = below if there_below is None else there_below
            below = below if base is None else in_scenario(base, key)
        if scenario is not None and field.of and key != "run.watch":
            value = in_scenario(scenario, key)
        elif value is None and which > 0:
            value = below
        found[key] = {
            **field_of(told(there), value, below, own=there is not None and not shared),
            "shared": shared,
            "kind": field.kind,
        }
    _say_watch(found["run.watch"], values, which, base, scenario)
    return found


def _say_watch(
    field: dict[str, Any], values: Values, which: int, base: Scenario | None, scenario: Scenario | None
) -> None:
    """The species to choose from, and the one that is watched where none is named."""
    if scenario is None or base is None:
        stock = values.get("stock")
        rows = stock if isinstance(stock, list) else []
        names = [row.get("species") for row in rows if isinstance(row, Mapping)]
        field["choices"] = list(dict.fromkeys(one for one in names if isinstance(one, str)))
        return
    field["choices"] = list(dict.fromkeys(row.species for row in scenario.stock))
    field["standard"] = mildest(scenario) if which == 0 else watched(base)[0]
    field["value"] = scenario.run.watch or field["standard"]
    if field["written"] is not None:
        field["written"] = scenario.run.watch
