"""Whom an option means; what cannot be is refused with the option's name."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from .errors import refusing

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..measures.groups import Group
    from ..measures.whom import FishGroup


def species_of(scenario: Scenario, asked: str, *, option: str) -> str:
    """Key of a stocked species by any of its names; raises RefusedError when it is not in the stock."""
    from ..measures.asked import species_asked

    with _refusing_fish(option):
        return species_asked(scenario, asked)


def species_whom_of(scenario: Scenario, asked: str | None, *, option: str) -> FishGroup | None:
    """All fish of such a species; None when None."""
    from ..measures.asked import species_whom

    with _refusing_fish(option):
        return None if asked is None else species_whom(scenario, asked)


def group_of(scenario: Scenario, asked: str | None) -> Group | None:
    """What ``--for`` says; see :func:`rockshy.analysis.measures.asked.group_asked`; raises RefusedError."""
    from ..measures.asked import group_asked

    with _refusing_fish("--for"):
        return group_asked(scenario, asked)


def whom_of(scenario: Scenario, asked: str | None) -> FishGroup | None:
    """What ``--for`` says; see :func:`rockshy.analysis.measures.asked.whom_asked`; raises RefusedError."""
    from ..measures.asked import whom_asked

    with _refusing_fish("--for"):
        return whom_asked(scenario, asked)


def _refusing_fish(option: str) -> AbstractContextManager[None]:
    from ..measures.whom import FishGroupError

    return refusing(option, FishGroupError)
