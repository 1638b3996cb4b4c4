"""The weeks of a life as one record with the columns of any run, so that any question can be asked of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from ..scenario.scenario import Scenario
from ..scenario.timeline import WhenSeen
from .compact import packed
from .done import AGAIN, BY_ITSELF, Done
from .life import done_of, each_day, run_life
from .trials import Outcome

NETTED = "netted"  # a further column where rules of thumb are
WEEK_D = 7
BODIES = ("sex", "adult", "length_cm")  # columns of an outcome that are no amounts


def run_weeks(
    scenario: Scenario,
    trial: int,
    *,
    days: int,
    since: float = 0.0,
    arms: Sequence[str] | None = None,
    halted: Callable[[], bool] | None = None,
) -> tuple[Outcome, ...]:
    """A life as one record with the columns of any run, so that any question can be asked of it.

    Each whole week is told by the measured day that stands for its middle. Seconds and counts are summed
    over weeks, hours follow one another, bodies are those of the last week. Weeks whose middle lies before
    ``since``, in days, are left out, but never the last. Other parameters: see :func:`run_life`. Where rules
    of thumb are, :data:`NETTED`, [n, 2], is how often they took each fish out, and put it back, all along.
    """
    lived = run_life(scenario, trial, days=days, arms=arms, halted=halted)
    weeks = (by_week(one, days, since) for one in lived)
    if not scenario.timeline.of(WhenSeen):
        return tuple(weeks)
    return tuple(_with_netted(week, done_of(one)) for week, one in zip(weeks, lived, strict=True))


def _with_netted(weeks: Outcome, done: Sequence[Done]) -> Outcome:
    """With how often rules of thumb took each fish out, and put it back, all along."""
    netted = np.zeros((len(weeks.people), 2), np.int64)
    labels = [one.label for one in weeks.people]
    for one in done:
        if one.by != BY_ITSELF:
            netted[labels.index(one.label), int(one.deed in AGAIN)] += 1
    return replace(weeks, columns=packed({**dict(weeks.columns.items()), NETTED: netted}))


def by_week(life: Outcome, days: int, since: float = 0.0) -> Outcome:
    """The weeks of an outcome of :func:`run_life` as one record; see :func:`run_weeks`."""
    measured, each = each_day(life)
    stands = np.array([one.since for one in measured])
    middles = (np.arange(max(1, days // WEEK_D)) + 0.5) * WEEK_D
    middles = middles[middles >= min(since, middles[-1])]
    weeks = [each[k] for k in np.searchsorted(stands, middles, side="right") - 1]
    columns: dict[str, Any] = {}
    for name in weeks[0].columns:
        values = [np.asarray(one.columns[name]) for one in weeks]
        if name in BODIES:
            columns[name] = values[-1]
        elif name.startswith("hour_"):
            columns[name] = np.concatenate(values, axis=-1)
        elif name == "holding":
            columns[name] = np.mean(values, axis=0) > 0.5  # on most days
        else:
            columns[name] = np.sum(values, axis=0)
    return replace(life, columns=packed(columns))
