"""Some minutes of one trial: every sub-step move, every event, and what each fish did in every second."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.fish.shoal import SHELTERED
from ...sim.run.drawing import draw_trial_rock
from ...sim.run.keeping import kept_run
from ...sim.run.life import live_until
from ...sim.run.model import HaltedError, TankModel
from ...sim.run.set_ups import draw_of
from ...sim.run.slow import Growing
from ...sim.run.table import LEFT_ALONE
from ...sim.run.trials import model_of_trial
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.timeline import WhenSeen
from ...sim.tank.rockwork import Rock
from ...sim.tank.tank import Tank
from .ground import held_by

Halted = Callable[[], bool]

GROUND_EVERY = 60  # ticks between two looks at who holds what: ground changes within minutes
_LOOK = 100  # ticks of a window between two looks whether it is given up


@dataclass(frozen=True)
class Recording:
    """What happened in a window of ``ticks`` lit ticks; n fish.

    Ticks in ``moves`` and ``events`` count from the start of the window. A row of ``moves`` tells where a
    fish is from that sub-step on; the first row of each fish is where it was when the window began or
    when it came in.
    """

    scenario: Scenario
    trial: int
    start: int  # lit tick of the run at which the window begins
    ticks: int
    tick_s: float
    lit_ticks: int
    tank: Tank
    rock: Rock
    sight_cm: float  # how far a fish sees
    label: tuple[str, ...]
    species: tuple[str, ...]
    male: NDArray[np.bool_]  # [n]
    length_cm: NDArray[np.float64]  # [n] total length
    depth_cm: NDArray[np.float64]  # [n] body depth
    moves: NDArray[np.int32]  # [m, 5] tick, sub-step, sub-steps of it, fish, cell (hidden: -1 - refuge)
    events: NDArray[np.int32]  # [e, 6] as in the ledger
    on_ground: NDArray[np.bool_]  # [e] whether the target was on ground that the actor holds
    present: NDArray[np.bool_]  # [t, n] in the tank during that tick
    doing: NDArray[np.int8]  # [t, n] at the end of that tick; see sim.shoal
    partner: NDArray[np.int32]  # [t, n] whom it chases, contests with or flees from; -1
    fright: NDArray[np.float64]  # [t, n] quick and slow fright, 0..2
    centre: NDArray[np.int32]  # [t, n] refuge at the centre of its territory; -1
    ground: NDArray[np.bool_]  # [m, n, x, y, z] blocks that it holds, at every GROUND_EVERY ticks


class WindowError(ValueError):
    """The window does not lie within the run, or the rock is laid anew in it; the message says which."""


def record(
    scenario: Scenario,
    *,
    trial: int,
    start: int,
    ticks: int,
    lived: bool = False,
    halted: Halted | None = None,
) -> Recording:
    """Run a trial again up to the end of a window and keep what happened in it.

    Parameters
    ----------
    start : lit tick at which the window begins, from the first morning.
    ticks : its length; the window lies within one lit day.
    lived : the fish get to that day as in a life, in blocks of days, however far it is.
    halted : once it says yes, it is given up within a simulated hour.

    Raises
    ------
    WindowError
        When the window is not within the run, or it crosses a night or the rock is laid anew in it.
    HaltedError
        When ``halted`` said yes.
    """
    with model_of_trial(scenario, trial, keep=True, by_rules=not lived) as model:
        if lived:
            _live_to(model, start // model.lit_ticks, scenario, trial, halted)
        return _recorded(model, scenario, trial=trial, start=start, ticks=ticks, halted=halted)


def _recorded(
    model: TankModel, scenario: Scenario, *, trial: int, start: int, ticks: int, halted: Halted | None
) -> Recording:
    stop = start + ticks
    if start < 0 or ticks < 1 or stop > model.last_tick:
        raise WindowError(f"ticks {start} to {stop} are not within a run of {model.last_tick}")
    if stop > model.days.nightfall(model.days.of(start)):
        raise WindowError("a film ends with the lit day")
    _go_to(model, start, halted)
    tank, laying = model.tank, model.laying
    watcher = _Watcher(model, ticks)
    for k in range(ticks):
        watcher.watch(k)
        if k % _LOOK == 0:
            _check(halted)
        if model.tank is not tank and k < ticks - 1:
            raise WindowError("the rock is laid anew within the film; begin later or end earlier")
    fish = model.shoal.fish
    return Recording(
        scenario=scenario,
        trial=trial,
        start=start,
        ticks=ticks,
        tick_s=3600.0 / model.hour_ticks,
        lit_ticks=model.lit_ticks,
        tank=tank,
        rock=draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial), laying=laying),
        sight_cm=float(model.parameters.sight_cm),
        label=tuple(one.label for one in model.people),
        species=tuple(one.species for one in model.people),
        male=np.array(fish.male),
        length_cm=np.array(fish.length_cm),
        depth_cm=np.array(fish.depth_cm),
        **watcher.all(),
    )


def _go_to(model: TankModel, start: int, halted: Halted | None) -> None:
    """Run to a tick without keeping anything."""
    model.ledger.state.keeps[0] = False
    while model.tick < start:
        _check(halted)
        model.advance_to(min(start, model.next_stop(), model.tick + model.hour_ticks))
    model.ledger.state.keeps[0] = True
    model.ledger.state.n_moves[0] = model.ledger.state.n_events[0] = 0


def _live_to(model: TankModel, day: int, scenario: Scenario, trial: int, halted: Halted | None) -> None:
    """Live to the morning of a day without keeping anything, and begin the record of that day.

    Rules of thumb act on the way as they do in a life, by what the same fish would swim if left alone.
    """
    draw = draw_of(scenario, trial)
    growing = Growing(model, draw)
    model.ledger.state.keeps[0] = False
    if scenario.timeline.of(WhenSeen):
        with model_of_trial(scenario, trial, arm=LEFT_ALONE) as alone:
            live_until(model, growing, day, alone=(alone, Growing(alone, draw)), halted=halted)
    else:
        live_until(model, growing, day, halted=halted)
    model.ledger.state.keeps[0] = True
    model.measure(model.tick, hours=max(1, model.lit_ticks // model.hour_ticks))


def _check(halted: Halted | None) -> None:
    if halted is not None and halted():
        raise HaltedError("the film was given up")


class _Watcher:
    """Takes down every tick of a window, and empties the ledger so that it never fills up."""

    def __init__(self, model: TankModel, ticks: int) -> None:
        n = len(model.people)
        self.model, self.begin, self.ticks = model, model.tick, ticks
        self.moves: list[NDArray[np.int32]] = []
        self.events: list[NDArray[np.int32]] = []
        self.on_ground: list[NDArray[np.bool_]] = []
        self.ground: list[NDArray[np.bool_]] = []
        self.here = np.zeros(n, bool)
        self.table: dict[str, NDArray[Any]] = {
            "present": np.zeros((ticks, n), bool),
            "doing": np.zeros((ticks, n), np.int8),
            "partner": np.full((ticks, n), -1, np.int32),
            "fright": np.zeros((ticks, n)),
            "centre": np.full((ticks, n), -1, np.int32),
        }

    def watch(self, k: int) -> None:
        """Run tick k of the window and take down what happened."""
        self._note_new(k)
        self.table["present"][k] = self.model.shoal.fish.present
        self.model.step()
        ledger = self.model.ledger
        moves = ledger.moves[: int(ledger.state.n_moves[0])]
        steps = int(moves[:, 1].max(initial=0)) + 1  # the fastest fish moves in the last sub-step, or nearly
        self.moves.append(_rows(moves[:, 0] - self.begin, moves[:, 1], steps, moves[:, 2], moves[:, 3]))
        self.events.append(ledger.events[: int(ledger.state.n_events[0])].copy())
        self._note_ground(k)
        ledger.state.n_moves[0] = ledger.state.n_events[0] = 0
        self._note_state(k)

    def _note_new(self, k: int) -> None:
        """Where fish are that were not in the tank just before."""
        fish = self.model.shoal.fish
        new = np.flatnonzero(fish.present & ~self.here)
        place = np.where(fish.doing == SHELTERED, -1 - fish.refuge, fish.cell)[new]
        tick = np.full(len(new), k)
        self.moves.append(_rows(tick, 0 * tick, 1, new, place))
        self.here = fish.present.copy()

    def _note_ground(self, k: int) -> None:
        """Who holds what now and then, and whether a target was on the actor's ground."""
        if k % GROUND_EVERY and not len(self.events[-1]):
            return
        held = held_by(self.model)
        if k % GROUND_EVERY == 0:
            self.ground.append(held)
        _, _, actor, target, _, cell = self.events[-1].T
        block = self.model.water.cells.block[np.maximum(cell, 0)]
        there = held.reshape(len(held), -1)[np.maximum(actor, 0), block]
        self.on_ground.append(there & (actor >= 0) & (target >= 0) & (cell >= 0))

    def _note_state(self, k: int) -> None:
        """What each fish does; at nightfall the model has put everybody to bed, so the last tick stays."""
        if self.model.tick % self.model.lit_ticks == 0 and k > 0:
            for told in self.table.values():
                told[k] = told[k - 1]
            return
        fish, table = self.model.shoal.fish, self.table
        table["doing"][k] = fish.doing
        table["partner"][k] = np.where(fish.target >= 0, fish.target, fish.chaser)
        table["fright"][k] = fish.fright + fish.slow_fright
        table["centre"][k] = fish.centre

    def all(self) -> dict[str, Any]:
        events = np.concatenate(self.events) if self.events else np.zeros((0, 6), np.int32)
        events[:, 0] -= self.begin
        told = {"moves": np.concatenate(self.moves), "events": events, "ground": np.array(self.ground)}
        return {**told, "on_ground": np.concatenate([np.zeros(0, bool), *self.on_ground]), **self.table}


def _rows(
    tick: NDArray[Any], sub_step: NDArray[Any], steps: int, fish: NDArray[Any], place: NDArray[Any]
) -> NDArray[np.int32]:
    columns = (tick, sub_step, np.full(len(tick), steps), fish, place)
    return np.column_stack(columns).astype(np.int32)


@dataclass(frozen=True)
class WholeRun:
    """What is needed of a whole trial to pick some minutes of it; n fish."""

    events: NDArray[np.int32]
    species: tuple[str, ...]
    label: tuple[str, ...]
    free_share: NDArray[np.float64]  # [n] of measured lit time swimming free; nan: never in
    chased: NDArray[np.int64]  # [n] chases received in the measured time
    measured_from: int
    last_tick: int
    lit_ticks: int  # from one dawn to the next
    nightfall: int | None = None  # ticks after dawn at which the measured days end; None: at the next dawn


def whole_run(scenario: Scenario, *, trial: int) -> WholeRun:
    """A trial as stocked from beginning to end."""
    with model_of_trial(scenario, trial, keep=True) as model:
        run = kept_run(model)
        return WholeRun(
            events=run.events,
            species=tuple(one.species for one in model.people),
            label=tuple(one.label for one in model.people),
            free_share=free_share(model),
            chased=model.ledger.pair.chases.sum(axis=0),
            measured_from=model.measured_from,
            last_tick=model.last_tick,
            lit_ticks=model.lit_ticks,
            nightfall=model.days.lit(model.days.of(model.last_tick - 1)),
        )


def free_share(model: TankModel) -> NDArray[np.float64]:
    """Share of its measured lit time that each fish swam free, [n]; nan where it was never in."""
    lit = model.ledger.hours.lit.sum(axis=1).astype(float)
    free = model.ledger.hours.free.sum(axis=1)
    return np.divide(free, lit, out=np.full(len(lit), np.nan), where=lit > 0)
