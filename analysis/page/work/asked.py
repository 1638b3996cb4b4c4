"""What a page asks of a piece of work, checked, and how the answer comes back."""

from __future__ import annotations

from typing import Any

from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import Found
from ...document import Document, as_json
from ...document.brief import Brief
from ...document.typed import Typed, as_typed
from ...film.making import BASE
from ..task import Task


def only(task: Task, *names: str) -> None:
    """Refuse names in what was asked that mean nothing here."""
    for name in task.what:
        if name not in ("kind", *names):
            raise RefusedError(f"what has {show(name)}; use {', '.join(('kind', *names))}")


def which_of(task: Task) -> tuple[int, Scenario, Found]:
    """Number and scenario of the tank that is asked about, as it is or a copy; as the commands know it."""
    which = task.what.get("which", 0)
    name, scenario = scenario_of(task.scenario, which)
    return which, scenario, found_of(task, scenario, f': alternative "{name}"' if which else "")


def scenario_of(base: Scenario, which: Any, *, where: str = "what.which") -> tuple[str, Scenario]:
    """Name and scenario of the tank as it is (0) or of a copy; raises RefusedError where there is none."""
    most = len(base.alternatives)
    if type(which) is not int or not 0 <= which <= most:
        allowed = f"a whole number from 0 (the tank as it is) to {most} (its last copy)" if most else "0"
        said = "nothing" if which is None else show(which)
        raise RefusedError(f"{where} is {said}; use {allowed}")
    if which == 0:
        return BASE, base
    other = base.alternatives[which - 1]
    return other.name, other.scenario


def found_of(task: Task, scenario: Scenario, part: str = "") -> Found:
    """A scenario as the commands know one that was asked for; ``part``: of the file, in words."""
    return Found(scenario, task.draft.name + part, (), "")


def pieces(shown: Document, scenario: Scenario) -> list[dict[str, Any]]:
    """An answer for the screen, in the names that the keeper typed."""
    return as_json(Typed(scenario).document(shown))


def headline(brief: Brief, scenario: Scenario) -> list[str]:
    """The first lines of an answer in the names that the keeper typed, below the question."""
    return list(as_typed(brief, scenario).sentences[1:])
