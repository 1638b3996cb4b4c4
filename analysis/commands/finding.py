"""The scenario a command line means: a file or a ready scenario, changed as the options say."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ... import scenarios
from ..asking.errors import RefusedError
from ..asking.found import Found
from ..asking.progress import say
from ..asking.units_asked import asked_units

if TYPE_CHECKING:
    from ...sim.scenario.scenario import RunSpec, Scenario


def find(asked: str, *, fishless: bool = False) -> Scenario:
    """A file of that path, else the ready scenario of that name; see :func:`rockshy.scenarios.load`.

    Raises
    ------
    ScenarioError
        When the file has problems.
    RefusedError
        When there is neither.
    """
    try:
        return scenarios.load(asked, fishless=fishless)
    except scenarios.UnknownScenarioError as problem:
        raise RefusedError(str(problem)) from None


def changed(asked: str, line: argparse.Namespace, *, fishless: bool = False) -> Found:
    """The scenario with what the line says instead of the file, and the line's rules.

    ``fishless``: whether a tank without fish will do.

    Raises
    ------
    RefusedError
        When what is left to measure is too short.
    StoreError
        When the fit is of another tank or cannot be read.
    """
    scenario = find(asked, fishless=fishless)
    if line.rules is not None:
        scenario = scenario.with_rules(line.rules)
    run = scenario.run
    given = {
        name: getattr(line, name) for name in ("trials", "days", "seed") if getattr(line, name) is not None
    }
    if "days" in given:
        run = _with_days(run, given["days"])
    run = replace(
        run,
        trials=given.get("trials", run.trials),
        seed=given.get("seed", run.seed),
        fixed=run.fixed or line.fixed,
        wide=run.wide or line.draws is not None,
    )
    typed = [
        part
        for name, value in given.items()
        for part in (f"--{name}", f"{value:.12g}" if name == "days" else str(value))
    ]
    typed += ["--fixed"] if line.fixed else []
    typed += ["--draws", line.draws] if line.draws else []
    said = f"Instead of what the file says: {' '.join(typed)}" if typed else ""
    if run.settle_days != scenario.run.settle_days:
        said += f"; of these, {run.settle_days:g} for settling"
    if units := asked_units(scenario):
        say(f"Units: {units}")
    found = Found(replace(scenario, run=run), asked, tuple(typed), said)
    return found if line.fit is None else _fitted(found, line.fit)


def _fitted(found: Found, folder: str) -> Found:
    """With the draws that a tally of this tank has narrowed; says what they hold for."""
    from ..questions.fit.fitted import with_fit
    from ..questions.fit.words import ONLY_NOW

    scenario = with_fit(found.scenario, folder)
    say(f"With the guesses narrowed by the tally in {folder}. {ONLY_NOW}")
    return replace(found, scenario=scenario, changes=(*found.changes, "--fit", folder))


def _with_days(run: RunSpec, days: float) -> RunSpec:
    from ...sim.scenario.reading.run import of_days
    from ...sim.scenario.stock_changes import ChangeError

    try:
        return of_days(run, days)
    except ChangeError as problem:
        raise RefusedError(f"--{problem}") from problem


def check_writable(folder: str) -> None:
    """Refuse a folder for results that is a file or lies where nothing can be written.

    Raises
    ------
    RefusedError
    """
    above = Path(folder).absolute()
    while not above.exists():
        above = above.parent
    if not above.is_dir():
        raise RefusedError(f"{folder}: {above} is a file; use a folder, new or not")
    if not os.access(above, os.W_OK):
        raise RefusedError(f"{folder}: {above} cannot be written to; use a folder of your own")
