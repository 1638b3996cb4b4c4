"""The scenario a command line means: a file or a ready scenario, changed as the options say."""

from __future__ import annotations

import argparse
import os
import shlex
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ... import scenarios
from .errors import RefusedError
from .progress import OF_A_RUN, say_if_preparing

if TYPE_CHECKING:
    from ...sim.scenario.reading.problems import Place
    from ...sim.scenario.scenario import RunSpec, Scenario
    from ...sim.tank.tank import Tank


@dataclass(frozen=True)
class Found:
    """A checked scenario and how it was asked for."""

    scenario: Scenario
    asked: str  # as typed, or the name of the demo
    changes: tuple[str, ...]  # the options as one would type them again: "--days", "1"
    said: str  # what the options changed, in words; "" when nothing


def find(asked: str) -> Scenario:
    """A file of that path, else the ready scenario of that name; see :func:`rockshy.scenarios.load`.

    Raises
    ------
    ScenarioError
        When the file has problems.
    RefusedError
        When there is neither.
    """
    try:
        return scenarios.load(asked)
    except scenarios.UnknownScenarioError as problem:
        raise RefusedError(str(problem)) from None


def changed(asked: str, line: argparse.Namespace) -> Found:
    """The scenario with ``--trials``, ``--days``, ``--seed`` and ``--fixed`` applied, and the line's rules.

    Raises
    ------
    RefusedError
        When what is left to measure is too short.
    """
    scenario = find(asked)
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
    )
    run = replace(run, guesses=min(run.guesses, run.trials))
    typed = [
        part
        for name, value in given.items()
        for part in (f"--{name}", f"{value:.12g}" if name == "days" else str(value))
    ]
    typed += ["--fixed"] if line.fixed else []
    said = f"In the place of what the file says: {' '.join(typed)}" if typed else ""
    if run.settle_days != scenario.run.settle_days:
        said += f"; of the {run.days:g} days the first {run.settle_days:g} settle"
    return Found(replace(scenario, run=run), asked, tuple(typed), said)


def _with_days(run: RunSpec, days: float) -> RunSpec:
    from ...sim.scenario.reading.run import of_days
    from ...sim.scenario.stock_changes import ChangeError

    try:
        return of_days(run, days)
    except ChangeError as problem:
        raise RefusedError(f"--{problem}") from problem


def command_line(*parts: str) -> str:
    """A command as one would type it here."""
    return subprocess.list2cmdline(parts) if os.name == "nt" else shlex.join(parts)


def first_tank(
    found: Found, *, trial: int | None = None, then: str = OF_A_RUN, at: Place = ("rock",)
) -> Tank:
    """The tank of one trial, so that rock that leaves no water is refused before anything runs.

    Says that it is preparing where rules must be compiled first: for a run, or for ``then``.

    Parameters
    ----------
    trial : the only one that is wanted; None: all of them are looked at, and the first is returned.
    at : where the rock stands in the file.

    Raises
    ------
    RefusedError
        When the rock leaves too little water to swim in.
    """
    from ...sim.run.drawing import check_water as check_every_trial
    from ...sim.run.drawing import draw_tank
    from ...sim.run.set_ups import guess_of

    say_if_preparing(last=then)
    try:
        if trial is None:
            check_every_trial(found.scenario)
        return draw_tank(found.scenario, trial=trial or 0, guess=guess_of(found.scenario, trial or 0))
    except ValueError as problem:
        raise RefusedError(f"{found.asked}{_line(found.scenario, at)}{problem}") from problem


def _line(scenario: Scenario, at: Place) -> str:
    """What parts the file from the problem: the line of the place, or of what is written around it."""
    from ...sim.scenario.reading.lines import line_numbers

    lines = line_numbers(scenario.text)
    known = [at[:k] for k in range(len(at), 0, -1) if at[:k] in lines]
    return f", line {lines[known[0]]}, " if known else ": "


def check_water(found: Found, *, then: str = OF_A_RUN) -> None:
    """Refuse rock that leaves no water in a trial of the scenario or of one of its alternatives.

    Raises
    ------
    RefusedError
        It names the alternative.
    """
    base = found.scenario
    first_tank(found, then=then)
    for k, one in enumerate(base.alternatives):
        other = one.scenario
        if (other.rock, other.tank, other.run) != (base.rock, base.tank, base.run):
            asked = f'{found.asked}: alternative "{one.name}"'
            first_tank(replace(found, scenario=other, asked=asked), then=then, at=("alternative", k, "rock"))


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
        raise RefusedError(f"{folder}: {above} is a file; allowed: a folder, new or not")
    if not os.access(above, os.W_OK):
        raise RefusedError(f"{folder}: nothing can be written in {above}; allowed: a folder of your own")
