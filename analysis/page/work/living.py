"""The living tank: some minutes of a simulated day, of one tank or of several side by side on one clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from ....sim.run.days import TICK_S, Days, lit_days
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...film.data import FilmTexts, film_data
from ...film.recording import Recording, WindowError, record
from ...questions.life.reach import months_in, shown_days
from .asked import scenario_of

MINUTES = 8.0  # assumption: what is watched before the next day is wanted
MOST_BESIDE = 4  # tanks that are told apart on a screen
SPEED = 8.0  # times as fast as the tank: assumption, what an eye can follow
_LATER_S = 120  # after lights on, so that what happens to the tank in the morning is over


def living(
    scenario: Scenario,
    shown: Sequence[int],
    *,
    trial: int = 0,
    day: int = 1,
    halted: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """The first minutes of a day of a simulated tank, as the film player has them.

    Parameters
    ----------
    shown : numbers of the tanks: 0 the tank as it is, k its k-th copy.
    trial : which simulated tank.
    day : from 1; a tank whose run is shorter shows its last day.

    Returns plain values: "film" (see :mod:`rockshy.analysis.film.data`) and the "day" of the first tank.
    Raises RefusedError when there is no such tank, HaltedError when ``halted`` said yes.
    """
    if not 0 < len(shown) <= MOST_BESIDE:
        raise RefusedError(f"shown has {len(shown)} tanks; use 1 to {MOST_BESIDE}")
    tanks = [scenario_of(scenario, which, where="shown") for which in shown]
    days = [min(day, shown_days(one)) for _, one in tanks]
    ticks = min(_ticks(one, own) for (_, one), own in zip(tanks, days, strict=True))
    recordings = [
        (name, _recorded(one, trial, own, ticks, halted))
        for (name, one), own in zip(tanks, days, strict=True)
    ]
    told = FilmTexts(scenario.title, scenario.question, (), scenario.run.trials, "", SPEED)
    return {"film": film_data(recordings, told), "day": days[0]}


def _later(day: int) -> int:
    return round(_LATER_S / TICK_S) if day > 1 else 0


def _ticks(scenario: Scenario, day: int) -> int:
    """How long can be watched of a day, in ticks: the last day may be a short one."""
    lit, run = _lit_days(scenario), scenario.run
    hours = max(1, int((run.days - run.settle_days) * scenario.lit_hours + 1e-9))
    last = lit.after(lit.tick_of(scenario.measured_days[0]), hours * round(3600 / TICK_S))
    end = lit.nightfall(day - 1) if months_in(scenario) is not None else min(last, lit.nightfall(day - 1))
    return max(1, min(round(MINUTES * 60 / TICK_S), end - lit.dawn(day - 1) - _later(day)))


def _lit_days(scenario: Scenario) -> Days:
    return lit_days(scenario.run.lit_hours, scenario.timeline.events, tick_s=TICK_S)


def _recorded(
    scenario: Scenario, trial: int, day: int, ticks: int, halted: Callable[[], bool] | None
) -> Recording:
    start = _lit_days(scenario).dawn(day - 1) + _later(day)
    try:
        lived = months_in(scenario) is not None
        return record(scenario, trial=trial, start=start, ticks=ticks, lived=lived, halted=halted)
    except WindowError as problem:
        raise RefusedError(f"day {day}: {problem}") from problem
