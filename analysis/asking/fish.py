"""Whom an option means; what cannot be is refused with the option's name."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import TYPE_CHECKING

from .errors import RefusedError

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..measures.groups import Group
    from ..measures.whom import FishGroup


def species_of(scenario: Scenario, asked: str, *, option: str) -> str:
    """Key of a stocked species by any of its names; raises RefusedError when it is not in the stock."""
    from ..measures.asked import species_asked

    with refusing(option):
        return species_asked(scenario, asked)


def group_of(scenario: Scenario, asked: str | None) -> Group:
    """What ``--for`` says; see :func:`rockshy.analysis.measures.asked.group_asked`; raises RefusedError."""
    from ..measures.asked import group_asked

    with refusing("--for"):
        return group_asked(scenario, asked)


def whom_of(scenario: Scenario, asked: str | None) -> FishGroup | None:
    """What ``--for`` says; see :func:`rockshy.analysis.measures.asked.whom_asked`; raises RefusedError."""
    from ..measures.asked import whom_asked

    with refusing("--for"):
        return whom_asked(scenario, asked)


@contextlib.contextmanager
def refusing(option: str) -> Iterator[None]:
    """Turn fish that there are not into a refusal that names the option."""
    from ..measures.whom import FishGroupError

    try:
        yield
    except FishGroupError as problem:
        raise RefusedError(f"{option}: {problem}") from problem
