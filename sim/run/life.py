"""A life: weeks and months of one tank as blocks of simulated days, with slow laws alone between them.

In each block some days are simulated second by second from the state that was carried over: first to
settle, then one that is measured. Then time is skipped and only what passes slowly is carried on
(:mod:`.slow`). An event always lies in a simulated day, and blocks stand close together after it; a block
is halved as long as its skip would move the odds of an open pair too far. No rule of a day knows of it.

Source: EEngquist2003 and KevrekidisSamaey2010 (short runs of the fast model, long steps of the slow one);
assumption (the days).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..scenario.scenario import Scenario
from .compact import packed
from .drawing import draw_tank, draw_tanks_before
from .model import HaltedError, TankModel
from .set_ups import draw_of
from .slow import Growing
from .table import AS_STOCKED, LEFT_ALONE
from .trials import Outcome, model_of_trial, outcome_of

DAY, CONDITION = "life_day", "condition"  # further columns of an outcome
WEEK_D = 7
BODIES = ("sex", "adult", "length_cm")  # columns of an outcome that are no amounts
MOST_DAYS = 730  # two years
_NEVER = 2**62  # tick
EVEN = 4.6  # log-odds: the weaker of a pair wins one time in a hundred


@dataclass(frozen=True)
class Pace:
    """Which days are simulated.

    Attributes
    ----------
    settle : days of a block that are run before one is measured.
    blocks : days from the beginning of a block to that of the next: after an event the first of them, then
        the second, at last always the last one.
    most_odds : the skip of a block may move the odds of an open pair so far, log-odds.
    """

    settle: int = 1
    blocks: tuple[int, ...] = (4, 7, 14)
    most_odds: float = 0.5


IN_FULL = Pace(settle=0, blocks=(1,))  # every day is simulated and measured


@dataclass(frozen=True)
class Measured:
    """A measured day of a life, and the day from which on it stands for the time until the next."""

    day: int
    since: int


def blocks(
    model: TankModel, growing: Growing, days: int, *, pace: Pace, halted: Callable[[], bool] | None = None
) -> Iterator[Measured]:
    """Live through some days, and stop after each measured one while its record is in the model's ledger.

    Parameters
    ----------
    model : at its first tick.
    days : length of the life, whole days.
    halted : asked after each simulated day; HaltedError is raised once it says yes.
    """
    for one in _mornings(model, growing, days, pace, halted):
        _measure_day(model, growing, halted)
        yield one


def live_until(
    model: TankModel, growing: Growing, day: int, *, halted: Callable[[], bool] | None = None
) -> None:
    """Live up to the morning of a day, counted from 0, as in a life that ends with it."""
    for one in _mornings(model, growing, day + 1, Pace(), halted):
        if one.day == day:
            return
        _measure_day(model, growing, halted)
    _run_to_day(model, growing, day, halted)


def _mornings(
    model: TankModel, growing: Growing, days: int, pace: Pace, halted: Callable[[], bool] | None
) -> Iterator[Measured]:
    """Stop at the morning of each day that is to be measured; whoever goes on has simulated it."""
    events = sorted({tick / model.lit_ticks for tick in model.due()})
    day, turn = 0, 0
    while day < days:
        start = _measured_from(day, events, pace, days)
        if day == 0 or any(day <= one < start + 1 for one in events):
            turn = 0
        _run_to_day(model, growing, start, halted)
        yield Measured(start, day)
        over = start + 1
        block = pace.blocks[min(turn, len(pace.blocks) - 1)]
        day = _next_block(growing, over, day + block, days, events, pace)
        turn += 1
        if day > over:
            growing.pass_time(day - over, simulated=False)
            model.skip_to(day * model.lit_ticks)
            growing.settle_bodies()


def days_of(
    model: TankModel,
    growing: Growing,
    at: Sequence[Measured],
    *,
    halted: Callable[[], bool] | None = None,
) -> Iterator[Measured]:
    """Measure stated days alone, each from the state skipped to: for fish left alone, who settle nothing."""
    for one in at:
        here = model.tick // model.lit_ticks
        if one.day > here:
            growing.pass_time(one.day - here, simulated=False)
            model.skip_to(one.day * model.lit_ticks)
            growing.settle_bodies()
        _measure_day(model, growing, halted)
        yield one


def _measured_from(day: int, events: Sequence[float], pace: Pace, days: int) -> int:
    """The day of a block that is measured: all that happens before its evening has had time to settle."""
    start = day + pace.settle
    for one in events:
        if day <= one < start + 1 and (one > day or pace.settle):
            start = max(start, math.ceil(one) + pace.settle)
    return max(day, min(start, days - 1))


def _next_block(
    growing: Growing, over: int, wanted: int, days: int, events: Sequence[float], pace: Pace
) -> int:
    """The day on which the next block begins; ``days`` when none does."""
    ends = days - pace.settle - 1  # the last block ends with the life
    if over >= days or over > ends:
        return days
    due = [math.floor(one) for one in events if one >= over]
    day = max(over, min([wanted, ends, *due]))
    while day > over and growing.odds_moved(day - over, even=EVEN) > pace.most_odds:
        day = over + (day - over) // 2
    return day


def _run_to_day(model: TankModel, growing: Growing, day: int, halted: Callable[[], bool] | None) -> None:
    """Lit days, or the rest of one, and their nights, unrecorded; each evening the fish have grown."""
    while (here := model.days.of(model.tick)) < day:
        if halted is not None and halted():
            raise HaltedError("the life was given up")
        model.measure(_NEVER, hours=1)
        _run_to(model, model.days.dawn(here + 1))
        _grow_overnight(model, growing)


def _measure_day(model: TankModel, growing: Growing, halted: Callable[[], bool] | None) -> None:
    """A day whose whole lit hours are recorded; the record is in the model's ledger afterwards."""
    day = model.days.of(model.tick)
    hours = max(1, math.floor(model.days.lit(day) / model.hour_ticks + 1e-9))
    model.measure(model.tick, hours=hours)
    _run_to(model, model.tick + hours * model.hour_ticks)
    growing.note_day()
    kept = model.ledger
    if model.days.of(model.tick) == day:
        _run_to_day(model, growing, day + 1, halted)
    else:
        _grow_overnight(model, growing)
    model.ledger = kept


def _run_to(model: TankModel, tick: int) -> None:
    while model.tick < tick:
        model.advance_to(min(model.next_stop(), tick))


def _grow_overnight(model: TankModel, growing: Growing) -> None:
    growing.pass_time(1, simulated=True)
    model.skip_to(model.tick)
    growing.settle_bodies()


def run_life(
    scenario: Scenario,
    trial: int,
    *,
    days: int,
    arms: Sequence[str] | None = None,
    pace: Pace | None = None,
    halted: Callable[[], bool] | None = None,
) -> tuple[Outcome, ...]:
    """One tank over months as stocked, and the same fish left alone on the same days.

    Parameters
    ----------
    days : length of the life.
    arms : AS_STOCKED alone, or with LEFT_ALONE after it; both when None.
    pace : which days are simulated.
    halted : see :meth:`rockshy.sim.run.model.TankModel.run`.

    Returns
    -------
    Outcomes as of :func:`rockshy.sim.run.trials.run_trial`, every column with a first axis more, of b
    measured days, and with two further columns: :data:`DAY`, [b, 2], the day that was measured, and the day
    from which on it stands; :data:`CONDITION`, [b, n], 0 to 1. :func:`each_day` takes them apart.
    """
    draw = draw_of(scenario, trial)
    tank = draw_tank(scenario, trial=trial, draw=draw)
    before = draw_tanks_before(scenario, trial=trial, draw=draw)
    found: list[Outcome] = []
    at: tuple[Measured, ...] = ()
    for arm in (AS_STOCKED, LEFT_ALONE) if arms is None else arms:
        with model_of_trial(scenario, trial, arm=arm, tank=tank, tanks_before=before) as model:
            growing = Growing(model, draw)
            if arm == AS_STOCKED:
                lived = blocks(model, growing, days, pace=pace or Pace(), halted=halted)
            else:
                lived = days_of(model, growing, at, halted=halted)
            told = [
                (one, outcome_of(model, name=arm, trial=trial, draw=draw), growing.condition) for one in lived
            ]
            most = max(1, math.floor(model.days.hours + 1e-9))
        at = tuple(one for one, *_ in told)
        found.append(_stacked(told, hours=most))
    return tuple(found)


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
    ``since``, in days, are left out, but never the last. Other parameters: see :func:`run_life`.
    """
    lived = run_life(scenario, trial, days=days, arms=arms, halted=halted)
    return tuple(_by_week(one, days, since) for one in lived)


def _by_week(life: Outcome, days: int, since: float) -> Outcome:
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
        else:
            columns[name] = np.sum(values, axis=0)
    return replace(life, columns=packed(columns))


def each_day(outcome: Outcome) -> tuple[tuple[Measured, ...], tuple[Outcome, ...]]:
    """The measured days of one outcome of :func:`run_life`, and the outcome of each as any run has it."""
    columns = dict(outcome.columns.items())
    columns.pop(CONDITION)
    days = tuple(Measured(int(day), int(since)) for day, since in columns.pop(DAY))
    split = ({name: column[k] for name, column in columns.items()} for k in range(len(days)))
    return days, tuple(replace(outcome, columns=own) for own in split)


def _stacked(told: Sequence[tuple[Measured, Outcome, NDArray[np.float64]]], *, hours: int) -> Outcome:
    """Days on top of each other; one that has fewer lit ``hours`` than others ends with hours of no time."""

    def filled(name: str, column: Any) -> Any:
        lacking = hours - column.shape[1] if name.startswith("hour_") else 0
        return np.pad(column, ((0, 0), (0, lacking))) if lacking > 0 else column

    columns = [{name: filled(name, one) for name, one in each.columns.items()} for _, each, _ in told]
    stacked: dict[str, Any] = {name: np.stack([one[name] for one in columns]) for name in columns[0]}
    stacked[DAY] = np.array([(one.day, one.since) for one, *_ in told], np.int64)
    stacked[CONDITION] = np.array([condition for *_, condition in told], np.float64)
    return replace(told[0][1], columns=packed(stacked))
