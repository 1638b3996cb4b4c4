"""A run of which every move and event is kept, however long: the ledger is emptied before it is full."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import SHELTERED
from .model import TankModel

_MOVES_A_TICK = 16  # of one fish, as the loop of the day reckons


class KeptRun(NamedTuple):
    """Everything that moved in one run; n fish. Ticks count lit time from the first morning.

    A fish is where its last row in ``moves`` says. Rows are in order of time. Besides every step there
    is a row where a fish comes in and where it wakes in another place than it was at nightfall; such a
    row has sub-step 0 and tells where the fish is as that tick begins. Where the rock is laid anew during
    the run, all this begins with that: cells are those of the tank that is measured.
    """

    moves: NDArray[np.int32]  # [m, 4] tick, sub-step, fish, cell (a sheltered fish: -1 - refuge)
    events: NDArray[np.int32]  # [e, 6] tick, kind, actor, target, cells of both; kinds: ledger.EVENTS
    stays: NDArray[
        np.int32
    ]  # [n, k, 2] first tick in the tank and tick before which it left, stay by stay; -1 where it has fewer


def kept_run(model: TankModel) -> KeptRun:
    """Run a model made with ``keep=True`` to its end and return all of its moves and events.

    The ledger holds a limited number of moves at a time; here it is emptied piece by piece, so nothing
    is lost. What the run comes to is the same as without keeping, bit for bit.

    ``model``: not yet run. Raises ValueError when the model keeps nothing or has been run.
    """
    if not model.ledger.state.keeps[0] or model.tick > 0:
        raise ValueError("the model must be made with keep=True and not have been run")
    keeper = _Keeper(model)
    while model.tick < model.last_tick:
        stop = model.next_stop()
        while model.tick < stop:
            model.advance_to(min(stop, model.tick + keeper.longest_piece))
            keeper.empty_ledger()
        keeper.note_dated_changes()
    model.running = False
    return keeper.all()


class _Keeper:
    """Takes moves and events out of the ledger, and knows where each fish was last said to be."""

    def __init__(self, model: TankModel) -> None:
        n = len(model.people)
        self.model, self.tank = model, model.tank
        self.moves: list[NDArray[np.int32]] = []
        self.events: list[NDArray[np.int32]] = []
        self.place = np.zeros(n, np.int32)
        self.stays: list[list[list[int]]] = [[] for _ in range(n)]
        self.here = np.zeros(n, bool)
        room = len(model.ledger.moves)
        self.longest_piece = max(1, room // (2 * _MOVES_A_TICK * max(n, 1)))  # ticks; fills half at most
        self.note_dated_changes()

    def empty_ledger(self) -> None:
        ledger = self.model.ledger
        moves, events = int(ledger.state.n_moves[0]), int(ledger.state.n_events[0])
        if moves >= len(ledger.moves) or events >= len(ledger.events):
            raise RuntimeError("the ledger was too small for one piece of a kept run")
        self.moves.append(ledger.moves[:moves].copy())
        self.events.append(ledger.events[:events].copy())
        self.place[ledger.moves[:moves, 2]] = ledger.moves[:moves, 3]  # of several the last one stays
        ledger.state.n_moves[0] = ledger.state.n_events[0] = 0

    def note_dated_changes(self) -> None:
        """What happens between two stretches: fish come in, go out, or move to their home for the night."""
        model, fish = self.model, self.model.shoal.fish
        if model.tank is not self.tank:
            self.tank = model.tank
            self.moves, self.events = [], [np.zeros((0, 6), np.int32)]
            self.stays = [[] for _ in self.stays]
            self.here[:] = False
        new = fish.present & ~self.here
        for i in np.flatnonzero(new):
            self.stays[i].append([model.tick, model.tick])
        for i in np.flatnonzero(fish.present | self.here):
            self.stays[i][-1][1] = model.tick
        self.here = fish.present.copy()
        place = np.where(fish.doing == SHELTERED, -1 - fish.refuge, fish.cell).astype(np.int32)
        told = np.flatnonzero(fish.present & (new | (place != self.place)))
        rows = np.zeros((len(told), 4), np.int32)
        rows[:, 0], rows[:, 2], rows[:, 3] = model.tick, told, place[told]
        self.moves.append(rows)
        self.place[told] = place[told]

    def all(self) -> KeptRun:
        moves, events = np.concatenate(self.moves), np.concatenate(self.events)
        stays = np.full((len(self.stays), max(map(len, self.stays), default=0), 2), -1, np.int32)
        for i, own in enumerate(self.stays):
            stays[i, : len(own)] = np.array(own, np.int32).reshape(-1, 2)
        return KeptRun(np.asfortranarray(moves), np.asfortranarray(events), stays)


def places_after(
    run: KeptRun, *, refuge_cell: NDArray[np.integer], ticks: NDArray[np.integer]
) -> NDArray[np.int32]:
    """Cell of every fish at the end of given ticks.

    Parameters
    ----------
    run : see :func:`kept_run`; n fish.
    refuge_cell : [r] the cell of each refuge, as in ``Tank``.
    ticks : [t] any ticks of the run.

    Returns
    -------
    [t, n] numbers of cells; -1 where the fish is not in the tank at that tick.
    """
    cell = run.moves[:, 3].copy()
    sheltered = cell < 0
    cell[sheltered] = np.asarray(refuge_cell)[-1 - cell[sheltered]]
    found = np.full((len(ticks), len(run.stays)), -1, np.int32)
    for i, stays in enumerate(run.stays):
        mine = run.moves[:, 2] == i
        last = np.searchsorted(run.moves[mine, 0], ticks, side="right") - 1
        inside = ((ticks[:, None] >= stays[:, 0]) & (ticks[:, None] < stays[:, 1])).any(axis=1) & (last >= 0)
        found[inside, i] = cell[mine][last[inside]]
    return found
