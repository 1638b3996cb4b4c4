"""Events that happen again and again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from ..units import say_time_d
from .event import Event

FEW = 2  # days that are each told
END = 730.0  # d; no run and no life is longer


def again(events: Iterable[Event], *, every: float, until: float | None = None) -> tuple[Event, ...]:
    """Some events and the same again and again, written out.

    Parameters
    ----------
    events : such as those of :meth:`rockshy.sim.scenario.timeline.Event.lasting`.
    every : d from one time to the next, above 0.
    until : the last day on which the first of them may happen; as long as anything is simulated when None.

    Raises
    ------
    ValueError
        When it would be done anew at once, or the last day is before the first.
    """
    first = tuple(events)
    start = min(one.day for one in first)
    end = END if until is None else until
    if every <= 0 or end < start:
        raise ValueError(f"again after {every:g} days until day {end:g}; use a time above 0 and a later day")
    times = int((end - start) / every + 1e-9) + 1
    return tuple(
        replace(one, day=one.day + k * every, endless=until is None and k > 0)
        for k in range(times)
        for one in first
    )


def say_days(days: Sequence[float]) -> str:
    """``"day 2"``, ``"day 2 and day 9"``, ``"day 7 and every 2 weeks until day 63"``."""
    first, last, steps = days[0], days[-1], [later - one for one, later in pairwise(days)]
    if len(days) <= FEW:
        return " and ".join(f"day {one:g}" for one in days)
    if max(steps) - min(steps) < 1e-6:
        return f"day {first:g} and every {say_time_d(round(steps[0], 6))} until day {last:g}"
    return f"{len(days)} days from day {first:g} to day {last:g}"
