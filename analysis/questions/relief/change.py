"""A change that a keeper could make, and one that was not tried."""

from __future__ import annotations

from dataclasses import dataclass

from ....sim.scenario.scenario import Scenario
from .costs import Cost


@dataclass(frozen=True)
class Change:
    """A change and the scenario it makes; None where the fish taken out differs from trial to trial."""

    name: str
    scenario: Scenario | None
    cost: Cost
    out: tuple[str, ...] = ()  # labels of the fish taken out
    note: str = ""  # what the model can and cannot say about it


@dataclass(frozen=True)
class LeftOut:
    """A change that was not tried, and why."""

    name: str
    reason: str


class NotApplicableError(Exception):
    """The message is the reason."""
