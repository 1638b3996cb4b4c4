"""What work on the server's threads is given, and how it says what it found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from ...sim.scenario.scenario import Scenario

if TYPE_CHECKING:
    from ..study.remembered import Remembered


@dataclass(frozen=True)
class StockList:
    """The stock list that a scenario file names."""

    name: str
    text: str


@dataclass(frozen=True)
class Draft:
    """A scenario file as the page holds it: its text, not yet checked."""

    text: str
    name: str
    stock_list: StockList | None = None


Show = Callable[[str], str]  # keeps a whole HTML document and gives the address it is shown under


class Task(Protocol):
    """One piece of work that a page waits for."""

    draft: Draft
    scenario: Scenario  # the tank as it is, with its alternatives
    what: Mapping[str, Any]  # as the page sent it: {"kind": "try", "which": 0}
    executor: Executor
    remembered: Remembered | None  # trials of earlier work, whoever it was for
    kept: dict[str, Any]  # kept with the finished work: tables to make films of, changes to take

    def show(self, document: str) -> str:
        """Keep a whole HTML document; the address it is shown under."""

    def halted(self) -> bool:
        """Whether the work is to end now."""

    def is_due(self) -> bool:
        """Whether somebody wants a newer result by now."""

    def post(self, result: Mapping[str, Any] | None, *, done: int, asked: int, told: str = "") -> None:
        """Show a result, as :func:`...document.files.plain` takes it; None leaves the last one."""


Work = Callable[[Task], None]
