"""What every question from Python shares: the scenario it means, and the folder it is kept in."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from dataclasses import replace
from numbers import Integral

from ... import scenarios as ready
from ...sim.rules.support.rule_set import Rules
from ...sim.run.drawing import check_water
from ...sim.scenario.changes import everywhere
from ...sim.scenario.reading.limits import LIMITS
from ...sim.scenario.scenario import Scenario
from .kept import Kept
from .recipe import recipe_of

Asked = Scenario | str | os.PathLike[str]


def scenario_of(
    asked: Asked, *, trials: int | None = None, rules: Rules | None = None, fishless: bool = False
) -> Scenario:
    """The scenario a question is asked of, with its alternatives.

    Parameters
    ----------
    asked : a scenario, the path of a file, or the name of a ready one.
    trials : instead of what it says.
    rules : instead of its own.
    fishless : whether a tank without fish will do.

    Raises
    ------
    ScenarioError, ValueError
        When it cannot be read, ``trials`` is out of range, or the rock leaves too little water.
    """
    found = asked if isinstance(asked, Scenario) else ready.load(asked, fishless=fishless)
    if not (found.stock or fishless):
        raise ValueError("there are no fish; use a scenario with a stock")
    if rules is not None:
        found = found.with_rules(rules)
    if trials is not None:
        limit = LIMITS["run.trials"]
        if not isinstance(trials, Integral) or not limit.holds(trials):
            raise ValueError(f"trials is {trials!r}; use {limit.say()}")
        found = _rerun(found, int(trials))
    for one in (found, *(other.scenario for other in found.alternatives)):
        check_water(one)
    return found


def _rerun(scenario: Scenario, trials: int) -> Scenario:
    """With another number of trials, the alternatives too, all over the same guesses."""
    return everywhere(scenario, lambda one: replace(one, run=replace(one.run, trials=trials)))


def kept_in(
    folder: str | os.PathLike[str] | None,
    command: str,
    scenario: Scenario,
    *,
    others: Mapping[str, Scenario] | None = None,
    options: Mapping[str, object] | None = None,
) -> contextlib.AbstractContextManager[Kept | None]:
    """The folder in which finished trials are kept, to be opened with ``with``; nothing when None.

    Parameters
    ----------
    command, scenario, others, options : see :func:`rockshy.analysis.study.recipe.recipe_of`.
    """
    if folder is None:
        return contextlib.nullcontext()
    return Kept(folder, recipe=recipe_of(command, scenario, others=others, options=options))
