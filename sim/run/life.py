"""A life: weeks and months of one tank as blocks of simulated days, with slow laws alone between them.

In each block some days are simulated second by second from the state that was carried over: where something
happened one to settle, then one that is measured. Then time is skipped and only what passes slowly is carried
on (:mod:`.slow`). An event always lies in a simulated day, and blocks stand close together after it; a block
is halved as long as its skip would move the odds of an open pair too far. No rule of a day knows of it.

Source: EEngquist2003 and KevrekidisSamaey2010 (short runs of the fast model, long steps of the slow one);
assumption (the days).
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..scenario.scenario import Scenario
from .compact import packed
from .done import Done, column_of, done_in
from .drawing import draw_tank, draw_tanks_before
from .model import HaltedError, TankModel
from .set_ups import draw_of
from .slow import Growing
from .table import AS_STOCKED, LEFT_ALONE
from .thumb import Keeper
from .trials import Outcome, model_of_trial, outcome_of

DAY, CONDITION, DONE = "life_day", "condition", "life_done"  # further columns of an outcome
MOST_DAYS = 730  # two years
_NEVER = 2**62  # tick
EVEN = 4.6  # log-odds: the weaker of a pair wins one time in a hundred


@dataclass(frozen=True)
class Pace:
    """Which days are simulated.

    Attributes
    ----------
    settle : days of a block that are run before one is measured: of the first, and where an event lies in it.
    quiet : the same of any other block.
    blocks : days from the beginning of a block to that of the next: after an event the first of them, then
        the second, at last always the last one.
    most_odds : the skip of a block may move the odds of an open pair so far, log-odds.
    alone : while nothing happens, fish left alone are measured on every so many-th of these days; on those
        between they swim as they did.
    """

    settle: int = 1
    quiet: int = 0
    blocks: tuple[int, ...] = (4, 7, 14)
    most_odds: float = 0.5
    alone: int = 2


IN_FULL = Pace(settle=0, blocks=(1,), alone=1)  # every day is simulated and measured


@dataclass(frozen=True)
class Measured:
    """A measured day of a life, and the day from which on it stands for the time until the next."""

    day: int
    since: int


class Blocks(Iterator[Measured]):
    """Live through some days, and stop after each measured one while its record is in the model's ledger.

    It can be pickled where it stops, with all that lives in it, and gone on with elsewhere: the life is the
    same as one that was not cut.

    Parameters
    ----------
    model : at its first tick.
    days : length of the life, whole days.
    keeper : looks while this stops. What it does is an event as any other; where it wants to see the next
        day as well, that is measured, too.
    halted : asked after each simulated day; HaltedError is raised once it says yes.
    """

    def __init__(
        self,
        model: TankModel,
        growing: Growing,
        days: int,
        *,
        pace: Pace,
        keeper: Keeper | None = None,
        halted: Callable[[], bool] | None = None,
    ) -> None:
        self.model, self.growing, self.days, self.pace = model, growing, days, pace
        self.keeper, self.halted = keeper, halted
        self._met: set[float] = set()  # days of events so far
        self._day, self._turn, self._at_once = 0, 0, False
        self._last: int | None = None  # the last day that was stopped at

    @property
    def has_event(self) -> bool:
        """Whether something happened in the block that is stopped in."""
        return self._turn == 0

    def __next__(self) -> Measured:
        one = self.morning()
        _measure_day(self.model, self.growing, self.halted)
        return one

    def morning(self) -> Measured:
        """Go on to the morning of the next day that is to be measured, which whoever asks simulates."""
        if self._last is not None:
            self._pass_on(self._last + 1)
        if self._day >= self.days:
            raise StopIteration
        events = self._events()
        day = self._day
        self._at_once = self._at_once and not any(day <= one < day + 1 for one in events)
        has_begun = day == 0 or any(day <= one < day + 1 for one in events)
        settle = self.pace.settle if has_begun else self.pace.quiet
        self._last = day if self._at_once else _measured_from(day, events, settle, self.days)
        if day == 0 or any(day <= one < self._last + 1 for one in events):
            self._turn = 0
        _run_to_day(self.model, self.growing, self._last, self.halted)
        return Measured(self._last, day)

    def _events(self) -> list[float]:
        self._met |= {tick / self.model.lit_ticks for tick in self.model.due()}
        self._met |= self.keeper.deeds if self.keeper else set()
        return sorted(self._met)

    def _pass_on(self, over: int) -> None:
        """From the evening of a measured day to the next block."""
        block = self.pace.blocks[min(self._turn, len(self.pace.blocks) - 1)]
        self._at_once = self.keeper is not None and self.keeper.looks_again
        self._met |= self.keeper.deeds if self.keeper else set()
        wanted, events = self._day + block, sorted(self._met)
        at_once = self._at_once
        day = over if at_once else _next_block(self.growing, over, wanted, self.days, events, self.pace)
        self._day, self._turn = day, self._turn + 1
        if day > over:
            self.growing.pass_time(day - over, simulated=False)
            self.model.skip_to(day * self.model.lit_ticks)
            self.growing.settle_bodies()


class Beside:
    """The same fish left alone, beside a life: measured on some of its days, and on others as they were.

    They are measured anew where something happened, where others are in, adult or hold than when they were
    measured last, and after as many days as the pace of the life says.
    """

    def __init__(self, life: Blocks, model: TankModel, growing: Growing) -> None:
        self.life, self.model, self.growing = life, model, growing
        self._like: tuple[NDArray[Any], ...] = ()
        self._repeated = 0

    def follow(self, one: Measured) -> None:
        """Have the record of a day of the life in the model's ledger."""
        like = self._now()
        is_like = bool(self._like) and all(map(np.array_equal, like, self._like))
        if is_like and not self.life.has_event and self._repeated < self.life.pace.alone - 1:
            self._repeated += 1
            return
        (_,) = days_of(self.model, self.growing, [one], halted=self.life.halted)
        self._like, self._repeated = like, 0

    def _now(self) -> tuple[NDArray[Any], ...]:
        """Of the stocked tank: lit ticks of the day that each fish was in, who is adult, who holds."""
        ledger, fish = self.life.model.ledger, self.life.model.shoal.fish
        return ledger.hours.lit.sum(axis=1), fish.adult.copy(), ledger.fish.held | fish.holding


def live_until(
    model: TankModel,
    growing: Growing,
    day: int,
    *,
    alone: tuple[TankModel, Growing] | None = None,
    halted: Callable[[], bool] | None = None,
) -> None:
    """Live up to the morning of a day, counted from 0, as in a life that ends with it.

    ``alone``: the same fish left alone, which go along where rules of thumb judge a day by them.
    """
    keeper = None if alone is None else Keeper(model, alone[0])
    life = Blocks(model, growing, day + 1, pace=Pace(), keeper=keeper, halted=halted)
    beside = None if alone is None else Beside(life, *alone)
    while model.days.of(model.tick) < day and (one := life.morning()).day < day:
        _measure_day(model, growing, halted)
        if beside is not None and keeper is not None:
            beside.follow(one)
            keeper.look(one.day)
    _run_to_day(model, growing, day, halted)


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


def _measured_from(day: int, events: Sequence[float], settle: int, days: int) -> int:
    """The day of a block that is measured: all that happens before its evening has had time to settle."""
    start = day + settle
    for one in events:
        if day <= one < start + 1 and (one > day or settle):
            start = max(start, math.ceil(one) + settle)
    return max(day, min(start, days - 1))


def _next_block(
    growing: Growing, over: int, wanted: int, days: int, events: Sequence[float], pace: Pace
) -> int:
    """The day on which the next block begins; ``days`` when none does."""
    ends = days - pace.quiet - 1  # the last block ends with the life
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
    measured days, and with further columns: :data:`DAY`, [b, 2], the day that was measured, and the day
    from which on it stands; :data:`CONDITION`, [b, n], 0 to 1; :data:`DONE`, [k, 5], what was done or came to
    be that no file dates. :func:`each_day` and :func:`done_of` take them apart.
    """
    draw = draw_of(scenario, trial)
    tank = draw_tank(scenario, trial=trial, draw=draw)
    before = draw_tanks_before(scenario, trial=trial, draw=draw)
    wanted = (AS_STOCKED, LEFT_ALONE) if arms is None else arms
    with contextlib.ExitStack() as stack:
        make = partial(model_of_trial, scenario, trial, tank=tank, tanks_before=before)
        models = {arm: stack.enter_context(make(arm=arm)) for arm in (AS_STOCKED, LEFT_ALONE)}
        keeper = Keeper(models[AS_STOCKED], models[LEFT_ALONE])
        lives = {arm: _Lived(model, arm, trial, draw) for arm, model in models.items()}
        stocked, alone = lives[AS_STOCKED], lives[LEFT_ALONE]
        pace = pace or Pace()
        told = Blocks(stocked.model, stocked.growing, days, pace=pace, keeper=keeper, halted=halted)
        beside = Beside(told, alone.model, alone.growing)
        for one in told:
            stocked.note(one)
            if keeper.rules or LEFT_ALONE in wanted:
                beside.follow(one)
                alone.note(one)
            if keeper.rules:
                keeper.look(one.day)
        return tuple(lives[arm].outcome() for arm in wanted)


class _Lived:
    """One set-up that is lived through, and what was noted of its measured days."""

    def __init__(self, model: TankModel, arm: str, trial: int, draw: int) -> None:
        self.model, self.growing = model, Growing(model, draw)
        self._outcome = partial(outcome_of, model, name=arm, trial=trial, draw=draw)
        self._told: list[tuple[Measured, Outcome, NDArray[np.float64]]] = []

    def note(self, one: Measured) -> None:
        """Note the day that is in the model's ledger."""
        self._told.append((one, self._outcome(), self.growing.condition))

    def outcome(self) -> Outcome:
        """Everything that was noted."""
        done = column_of(self.model.done, [one.label for one in self.model.people])
        return _stacked(self._told, done=done, hours=max(1, math.floor(self.model.days.hours + 1e-9)))


def each_day(outcome: Outcome) -> tuple[tuple[Measured, ...], tuple[Outcome, ...]]:
    """The measured days of one outcome of :func:`run_life`, and the outcome of each as any run has it."""
    columns = dict(outcome.columns.items())
    columns.pop(CONDITION), columns.pop(DONE)
    days = tuple(Measured(int(day), int(since)) for day, since in columns.pop(DAY))
    split = ({name: column[k] for name, column in columns.items()} for k in range(len(days)))
    return days, tuple(replace(outcome, columns=own) for own in split)


def done_of(outcome: Outcome) -> tuple[Done, ...]:
    """What was done by rules of thumb, and which broods there were, in one outcome of :func:`run_life`."""
    return done_in(outcome.columns[DONE], [one.label for one in outcome.people])


def _stacked(
    told: Sequence[tuple[Measured, Outcome, NDArray[np.float64]]], *, done: NDArray[np.float64], hours: int
) -> Outcome:
    """Days on top of each other; one that has fewer lit ``hours`` than others ends with hours of no time."""

    def filled(name: str, column: Any) -> Any:
        lacking = hours - column.shape[1] if name.startswith("hour_") else 0
        return np.pad(column, ((0, 0), (0, lacking))) if lacking > 0 else column

    columns = [{name: filled(name, one) for name, one in each.columns.items()} for _, each, _ in told]
    stacked: dict[str, Any] = {name: np.stack([one[name] for one in columns]) for name in columns[0]}
    stacked[DAY] = np.array([(one.day, one.since) for one, *_ in told], np.int64)
    stacked[DONE] = done
    stacked[CONDITION] = np.array([condition for *_, condition in told], np.float64)
    return replace(told[0][1], columns=packed(stacked))
