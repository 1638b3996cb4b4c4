"""Windows of simulated tanks as long as a watch: what somebody with a chair and a clock would have counted.

Each trial is run with every event kept and the tank looked over every 30 s. Every trial is a guess of its own
at what nobody has measured: the real tank is one tank, so tanks, not hours of them, are what differs.
Windows lie in the measured time, end to end, never across a night, and none touches a meal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ....sim.fish.population import individuals
from ....sim.rules.feed import meal_ticks
from ....sim.run.days import TICK_S
from ....sim.run.ledger import BITE, CHASE
from ....sim.run.model import TankModel
from ....sim.run.running import each_done
from ....sim.run.trials import model_of_trial
from ....sim.scenario.scenario import Scenario
from .ethogram import SCAN_S
from .model_places import Codes, codes_of_cells, codes_of_refuges, scan

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Watched:
    """One simulated tank; n fish, s looks over it. Ticks count from the first morning."""

    trial: int
    events: NDArray[np.int32]  # [e, 4] tick, kind (ledger.CHASE or BITE), actor, target; in order of time
    scan_ticks: Ints  # [s]
    scans: Codes  # [s, n] place codes, see model_places; -1 not in the tank
    quiet: tuple[tuple[int, int], ...]  # stretches without night or meal: first tick, and the one after


@dataclass(frozen=True)
class Windows:
    """All windows of one length in one simulated tank; w windows, s looks over the tank in each, n fish."""

    count: int
    chases: Ints  # [e, 3] window, actor, target
    bites: Ints  # [e, 3]
    scans: Codes  # [w, s, n]
    starts: Ints  # [w] ticks


def one_draw_each(scenario: Scenario) -> Scenario:
    """The scenario with as many guesses as trials, and without its controls."""
    return replace(scenario, run=replace(scenario.run, guesses=scenario.run.trials, controls=False))


def watch_trial(scenario: Scenario, trial: int) -> Watched:
    """Run one trial and keep what a watcher could see of its measured time.

    Its outcome is that of any other run of it, bit for bit. For its guess see :func:`one_guess_each`.
    """
    with model_of_trial(scenario, trial, keep=True) as model:
        return watch(model, trial)


def watch(model: TankModel, trial: int) -> Watched:
    """Run a model that keeps what happens, and keep what a watcher could see of its measured time."""
    model.ledger.state.keeps[0] = False
    _go_to(model, model.measured_from)
    model.ledger.state.keeps[0] = True
    cells, refuges = codes_of_cells(model.tank), codes_of_refuges(model.tank)
    every = max(1, round(SCAN_S / TICK_S))
    # The last one is a tick before the light goes.
    looks = np.arange(model.measured_from + every, model.last_tick + 1, every) - 1
    events, scans = [], []
    for tick in looks:
        _go_to(model, int(tick))
        events.append(_emptied(model))
        scans.append(scan(model.shoal.fish, cells, refuges))
    _go_to(model, model.last_tick)
    events.append(_emptied(model))
    every_event = np.concatenate(events)
    kept = np.isin(every_event[:, 1], (CHASE, BITE))
    return Watched(trial, every_event[kept], looks, np.stack(scans), _quiet(model))


def _go_to(model: TankModel, tick: int) -> None:
    """Run up to a tick; dated events on the way happen when they should."""
    while model.tick < tick:
        model.advance_to(min(model.next_stop(), tick))


def _emptied(model: TankModel) -> NDArray[np.int32]:
    """Events since the last call; the ledger then has room again, for moves too, which nobody needs."""
    state, held = model.ledger.state, int(model.ledger.state.n_events[0])
    if held >= len(model.ledger.events):
        raise RuntimeError("the ledger was too small for half a minute of a kept run")
    events = model.ledger.events[:held, :4].copy()
    state.n_events[0] = state.n_moves[0] = 0
    return events


def _quiet(model: TankModel) -> tuple[tuple[int, int], ...]:
    """Stretches of the measured time that hold no nightfall and no meal."""
    ticks = np.arange(model.measured_from, model.last_tick)
    day = ticks % model.lit_ticks
    # The meals of one lit day by the rule itself; they come at the same hours every day.
    p, lit = model.parameters, model.days.planned(model.days.of(model.measured_from))
    plain: Any = SimpleNamespace(**{name: float(p[name]) for name in ("meals_a_day", "meal_s", "tick_s")})
    rule = getattr(meal_ticks, "py_func", meal_ticks)  # a compiled call for each tick unpacks p each time
    feeding = np.array([rule(tick, lit, model.meal_at, plain) >= 0 for tick in range(lit)])
    quiet = (day < lit) & ~feeding[np.minimum(day, lit - 1)]
    morning = day == 0
    begins = quiet & (morning | ~np.concatenate([[False], quiet[:-1]]))
    ends = quiet & ~np.concatenate([quiet[1:] & ~morning[1:], [False]])
    return tuple(
        (int(ticks[first]), int(ticks[last]) + 1)
        for first, last in zip(np.flatnonzero(begins), np.flatnonzero(ends), strict=True)
    )


def watch_trials(
    scenario: Scenario,
    *,
    executor: Executor,
    progress: Callable[[int, int], None] | None = None,
    trials: Iterable[int] | None = None,
) -> list[Watched]:
    """Run and watch the trials of a scenario (:func:`one_guess_each`), or those of ``trials``.

    In order of their numbers, fewer than asked for after Ctrl-C; KeyboardInterrupt when none was done.
    """
    numbers = list(range(scenario.run.trials)) if trials is None else list(trials)
    done: list[Watched] = []
    calls = ((trial, partial(watch_trial, scenario, trial)) for trial in numbers)
    try:
        for _, watched in each_done(calls, executor=executor):
            done.append(watched)
            if progress is not None:
                progress(len(done), len(numbers))
    except KeyboardInterrupt:
        if not done:
            raise
    return sorted(done, key=lambda one: one.trial)


def windows_of(watched: Watched, *, minutes: float) -> Windows:
    """The windows of so many minutes in a simulated tank, end to end in each quiet stretch, in whole ticks.

    An event at a tick belongs to the window that the tick lies in, a look over the tank at its end too.
    """
    length = round(minutes * 60 / TICK_S)
    every = [range(first, end - length + 1, length) for first, end in watched.quiet]
    starts = np.concatenate([np.zeros(0, np.int64), *every]).astype(np.int64)
    tick, kind = watched.events[:, 0], watched.events[:, 1]
    window = np.searchsorted(starts, tick, side="right") - 1
    inside = (window >= 0) & (tick < starts[window] + length) if len(starts) else np.zeros(len(tick), bool)
    rows = np.column_stack([window, watched.events[:, 2:]]).astype(np.int64)
    at = watched.scan_ticks
    looks = [watched.scans[(at >= start) & (at < start + length)] for start in starts]
    fewest = min((len(one) for one in looks), default=0)
    scans = np.zeros((len(looks), fewest, watched.scans.shape[1]), np.int8)
    for k, one in enumerate(looks):
        scans[k] = one[:fewest]
    chases, bites = (rows[inside & (kind == one)] for one in (CHASE, BITE))
    return Windows(len(starts), chases, bites, scans, starts)


def labels_of(scenario: Scenario) -> tuple[str, ...]:
    """Labels of the fish in the order of the numbers in events and scans, [n]."""
    return tuple(one.label for one in individuals(scenario.stock))


def longest_quiet_minutes(watched: Sequence[Watched]) -> float:
    """Length of the longest stretch without night or meal, min; 0 without any."""
    ticks = [end - first for one in watched for first, end in one.quiet]
    return max(ticks, default=0) * TICK_S / 60
