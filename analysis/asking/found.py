"""The scenario that is asked for, and what its rock must leave before anything runs."""

from __future__ import annotations

import contextlib
import os
import shlex
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from .errors import RefusedError
from .progress import OF_A_RUN, say_if_preparing

if TYPE_CHECKING:
    from ...sim.scenario.reading.problems import Place
    from ...sim.scenario.scenario import Scenario
    from ...sim.tank.tank import Tank


@dataclass(frozen=True)
class Found:
    """A checked scenario and how it was asked for."""

    scenario: Scenario
    asked: str  # as typed, or the name of the demo
    changes: tuple[str, ...]  # the options as one would type them again: "--days", "1"
    said: str  # what the options changed, in words; "" when nothing


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
    from ...sim.run.set_ups import draw_of

    say_if_preparing(last=then)
    try:
        if trial is None:
            check_every_trial(found.scenario)
        return draw_tank(found.scenario, trial=trial or 0, draw=draw_of(found.scenario, trial or 0))
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


@contextlib.contextmanager
def refusing_rock(asked: str) -> Iterator[None]:
    """Turn rock that leaves no water in some drawn tank into a refusal that names the file."""
    try:
        yield
    except ValueError as problem:
        if not str(problem).startswith("rock:"):
            raise
        raise RefusedError(f"{asked}: in one of the simulated tanks, {problem}") from problem
