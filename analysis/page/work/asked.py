"""What a page asks of a piece of work, checked; and when a newer result is worth working out."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Iterator
from typing import Any, NoReturn

from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import Found
from ...film.making import BASE
from ..task import Task

REST = 3.0  # times as long as the last result took, until the next one is begun


def refused(where: str, found: object, allowed: str) -> NoReturn:
    """Refuse a value that a page sent."""
    said = "nothing" if found is None else show(found)
    raise RefusedError(f"what.{where}: found {said}; allowed: {allowed}")


def only(task: Task, *names: str) -> None:
    """Refuse names in what was asked that mean nothing here."""
    for name in task.what:
        if name not in ("kind", *names):
            raise RefusedError(f"what: found {show(name)}; allowed: {', '.join(('kind', *names))}")


def which_of(task: Task) -> tuple[int, str, Scenario]:
    """Number, name and scenario of the tank that is asked about: the tank as it is, or a copy."""
    which = task.what.get("which", 0)
    return (which, *scenario_of(task.scenario, which))


def scenario_of(base: Scenario, which: Any, *, where: str = "what.which") -> tuple[str, Scenario]:
    """Name and scenario of the tank as it is (0) or of a copy.

    Raises
    ------
    RefusedError
        When there is no such copy.
    """
    most = len(base.alternatives)
    if type(which) is not int or not 0 <= which <= most:
        allowed = f"a whole number from 0, the tank as it is, to {most}, its last copy" if most else "0"
        said = "nothing" if which is None else show(which)
        raise RefusedError(f"{where}: found {said}; allowed: {allowed}")
    if which == 0:
        return BASE, base
    other = base.alternatives[which - 1]
    return other.name, other.scenario


def found_of(task: Task, scenario: Scenario, which: int = 0, name: str = "") -> Found:
    """A scenario as the commands know one that was asked for."""
    asked = f'{task.draft.name}: alternative "{name}"' if which else task.draft.name
    return Found(scenario, asked, (), "")


class Pace:
    """When a newer result is worth working out: somebody wants one, and trials have most of the time."""

    def __init__(self, task: Task, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._task, self._clock = task, clock
        self._not_before = clock()

    def is_due(self) -> bool:
        """Whether to work one out now."""
        return self._task.is_due() and self._clock() >= self._not_before

    @contextlib.contextmanager
    def making(self) -> Iterator[None]:
        """A result is worked out inside the block."""
        began = self._clock()
        yield
        now = self._clock()
        self._not_before = now + REST * (now - began)
