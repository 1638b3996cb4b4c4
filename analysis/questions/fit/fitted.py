"""The file of a fit: the moved draws, whose they are, what they rest on; put under a scenario again.

It is JSON, with names that say what they hold: ``draws`` has a list of values for each name, one a draw, in
the unit of the parameter or trait. A trait is called after its species: "Tropheus duboisi: temper".
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from ....sim.run.identity import sources
from ....sim.scenario.given import GivenDraws
from ....sim.scenario.scenario import RunSpec, Scenario
from ...document.files import json_text
from ...study.layout import StoreError
from ...study.recipe import scenario_digest
from ..watching.reading import tank_said
from .answer import Fit
from .draws import inputs_of, named, under

FITTED = "fitted.json"
FORMAT = "rockshy fit 1"
_ABOUT = (
    "What nobody has measured, narrowed by a tally of one tank. Use it with: rockshy run FILE --fit FOLDER. "
    "draws: a list a name, one value a draw, in the unit of the parameter or trait; a trait comes after its "
    "species. tank, digest: whose it is. It belongs to that tank and its fish, and to changes of it."
)
_SLACK = 1e-9  # of a range, for values on its end


def fitted_text(found: Fit) -> str:
    """The text of the file; the fit must have draws to give."""
    given, scenario = found.given, found.plan.scenario
    assert given is not None
    columns = zip(given.names, zip(*given.rows, strict=True), strict=True)
    told = {
        "format": FORMAT,
        "about": _ABOUT,
        "title": scenario.title,
        "tank": tank_said(scenario),
        "digest": tank_digest(scenario),
        "simulator": sources(),
        "seed": scenario.run.seed,
        "tally": found.plan.tally.name,
        "watches": len(found.plan.tally.watches),
        "minutes": found.plan.tally.minutes,
        "simulated_tanks": found.plan.trials,
        "share_of_tanks_as_far_out": found.beyond,
        "draws": {name: list(values) for name, values in columns},
    }
    return json_text(told) + "\n"


def tank_digest(scenario: Scenario) -> str:
    """Hash of glass, rock, fish and rules; not of how long or how often it is run (64 hexadecimal digits)."""
    return scenario_digest(replace(scenario, run=RunSpec(), given=None))


def with_fit(scenario: Scenario, folder: str | os.PathLike[str]) -> Scenario:
    """A scenario and its alternatives under the draws of a fit of this very tank.

    Raises StoreError when there is no whole file, or it is of another tank, of other rules or of another
    version of the simulator.
    """
    place = Path(folder)
    file = place / FITTED if place.is_dir() or not place.suffix else place
    told = _read(file)
    if scenario.run.fixed:
        raise StoreError(f"{file} does not go with --fixed; use one of the two")
    here = tank_said(scenario)
    if told["tank"] != here:
        raise StoreError(f"{file} was fitted to {told['tank']}; use a fit of this tank, {here}")
    if told["digest"] != tank_digest(scenario):
        raise StoreError(
            f"{file} was fitted to this stock and glass, but with other rock, rules or numbers; run rockshy "
            "fit again for the scenario as it is now"
        )
    if told["simulator"] != sources():
        raise StoreError(f"{file} was fitted before the simulator was changed; run rockshy fit again")
    return under(scenario, _draws(file, told["draws"], scenario))


def _read(file: Path) -> Mapping[str, Any]:
    try:
        told = json.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise StoreError(f"there is no {file}; use the folder that rockshy fit wrote") from None
    except (OSError, ValueError) as problem:
        raise StoreError(f"{file} is damaged and cannot be read as JSON in UTF-8 ({problem})") from None
    kinds = {"tank": str, "digest": str, "simulator": str, "draws": dict}
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise StoreError(f'{file} is not a fit of this version ("format": "{FORMAT}"); run rockshy fit again')
    for key, kind in kinds.items():
        if not isinstance(told.get(key), kind):
            raise StoreError(f"{file} is damaged: {key} is missing or of another kind")
    return told


def _draws(file: Path, told: Mapping[str, Any], scenario: Scenario) -> GivenDraws:
    """The table, every value of it within its range."""
    inputs = {named(one): one for one in inputs_of(scenario)}
    lengths = {len(values) if isinstance(values, list) else 0 for values in told.values()}
    if set(told) != set(inputs) or len(lengths) != 1 or not min(lengths):
        raise StoreError(f"{file} is damaged: draws has other names or numbers of values than it should")
    for name, values in told.items():
        one, slack = inputs[name], _SLACK * (inputs[name].high - inputs[name].low)
        for value in values:
            is_number = isinstance(value, int | float) and math.isfinite(value)
            if not is_number or not one.low - slack <= value <= one.high + slack:
                allowed = f"{one.low:g} to {one.high:g}"
                raise StoreError(f"{file}: {name} is {value!r}; use a number from {allowed}")
    names = tuple(inputs)
    rows = zip(*(map(float, told[name]) for name in names), strict=True)
    return GivenDraws(names, tuple(rows))
