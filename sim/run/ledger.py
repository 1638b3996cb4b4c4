"""What a run leaves: who chased whom, time budgets, places used, meals; for kept runs every move and event.

Counts are of the measured time alone. Recording never draws a random number and changes no fish.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..fish.records import Records, columns_of, flag, real, records, whole
from ..fish.shoal import BOXED, CHASING, SHELTERED, SWIMMING, Shoal
from ..rules.support.compiled import index, lean, rule, small
from ..tank.water import Water

EVENTS = ("chase", "bite", "display", "attack", "win", "meal")
CHASE, BITE, DISPLAY, ATTACK, WIN, MEAL = range(6)

_FREE = 65536  # a free second and a second of presence in one number: hours are shorter than 65,536 s


class StateRecords(Records):
    """Where the record stands, [1]."""

    measured_from = whole("first measured tick", "ticks", dtype="i8")
    hour = whole("number of the measured hour", dtype="i8")
    keeps = flag("moves and events are kept")
    n_moves = whole("moves kept so far", dtype="i8")
    n_events = whole("events kept so far", dtype="i8")


class PairCounts(Records):
    """Counts between two fish, row to column, [n, n]."""

    chases = whole("row chases column", dtype="i8")
    bites = whole("row bites column", dtype="i8")
    displays = whole("displays without an approach", dtype="i8")
    attacks = whole("approaches to chase or contest, whatever came of them", dtype="i8")
    wins = whole("decided contests won by row", dtype="i8")


class FishCounts(Records):
    """Counts of a fish, [n]."""

    meals = whole("meals offered", dtype="i8")
    missed = whole("meals of which it got nothing", dtype="i8")
    food = real("portions", "eaten")
    held = flag("held eggs when the record began")


class HourRecords(Records):
    """A measured lit hour of a fish, [n, h]."""

    lit = whole("in the tank and in no box", "ticks", dtype="i8")
    hidden = whole("in a shelter, in a corner or under the surface", "ticks", dtype="i8")
    free = whole("swimming free", "ticks", dtype="i8")
    owner = whole("held a territory", "ticks", dtype="i8")
    chased = whole("chases received", dtype="i8")
    share = real("0..1", "largest share of the hour in one place")
    outside = whole("swimming free outside that place", "ticks", dtype="i8")
    fright = real("0..2", "quick and slow fright at the end of the hour")
    centre = whole("territory centre at the end of the hour, -1 none", default=-1)


STATE, PAIR = columns_of(StateRecords), columns_of(PairCounts)
FISH, HOUR = columns_of(FishCounts), columns_of(HourRecords)


class Ledger(NamedTuple):
    """Arrays a run writes to; n fish, h measured lit hours, c cells. Fields as declared above."""

    state: StateRecords  # [1] STATE
    pair: PairCounts  # [n, n] PAIR
    fish: FishCounts  # [n] FISH
    hours: HourRecords  # [n, h] HOUR
    visits: NDArray[np.int32]  # [n, c] ticks in each cell
    place: NDArray[np.int32]  # [n, c] the present hour: ticks, and free ticks x 65536
    moves: NDArray[np.int32]  # [m, 4] tick, sub-step, fish, cell (a sheltered fish: -1 - refuge)
    events: NDArray[np.int32]  # [e, 6] tick, kind, actor, target, cells of both


def new_ledger(
    n: int, *, cells: int, hours: int, measured_from: int, moves: int = 0, events: int = 0
) -> Ledger:
    """An empty ledger; ``moves`` and ``events`` are the places kept for them, 0 keeps none."""
    ledger = Ledger(
        records(StateRecords, (1,)),
        records(PairCounts, (n, n)),
        records(FishCounts, (n,)),
        records(HourRecords, (n, hours)),
        np.zeros((n, cells), np.int32),
        np.zeros((n, cells), np.int32),
        np.zeros((moves, 4), np.int32),
        np.zeros((events, 6), np.int32),
    )
    ledger.state.measured_from[0] = measured_from
    ledger.state.keeps[0] = moves > 0 or events > 0
    return ledger


@small
def is_measured(tick: int, ledger: Ledger) -> bool:
    """Whether a tick counts."""
    return tick >= ledger.state.measured_from[0]


@lean
def note_event(tick: int, kind: int, actor: int, target: int, shoal: Shoal, ledger: Ledger) -> None:
    """Keep an event of a kind (CHASE, BITE, ...) with the cells of both fish, where there is room."""
    k = ledger.state.n_events[0]
    if not ledger.state.keeps[0] or k >= len(ledger.events):
        return
    ledger.events[k, 0] = tick
    ledger.events[k, 1] = kind
    ledger.events[k, 2] = actor
    ledger.events[k, 3] = target
    ledger.events[k, 4] = shoal.fish.cell[actor]
    ledger.events[k, 5] = shoal.fish.cell[target]
    ledger.state.n_events[0] = k + 1


@small
def note_move(tick: int, sub_step: int, i: int, place: int, ledger: Ledger) -> None:
    """Keep where a fish went, cell or shelter (-1 - refuge), where there is room."""
    k = ledger.state.n_moves[0]
    if not ledger.state.keeps[0] or k >= len(ledger.moves):
        return
    ledger.moves[k, 0] = tick
    ledger.moves[k, 1] = sub_step
    ledger.moves[k, 2] = i
    ledger.moves[k, 3] = place
    ledger.state.n_moves[0] = k + 1


@lean
def count_chase(chaser: int, chased: int, tick: int, shoal: Shoal, ledger: Ledger) -> None:
    """A chase begins."""
    note_event(tick, CHASE, chaser, chased, shoal, ledger)
    if is_measured(tick, ledger):
        ledger.pair.chases[chaser, chased] += 1
        ledger.hours.chased[chased, ledger.state.hour[0]] += 1


@lean
def count_win(winner: int, loser: int, tick: int, shoal: Shoal, ledger: Ledger) -> None:
    """A contest is decided."""
    note_event(tick, WIN, winner, loser, shoal, ledger)
    if is_measured(tick, ledger):
        ledger.pair.wins[winner, loser] += 1


@lean
def count_bite(biter: int, bitten: int, tick: int, shoal: Shoal, ledger: Ledger) -> None:
    """A bite."""
    note_event(tick, BITE, biter, bitten, shoal, ledger)
    if is_measured(tick, ledger):
        ledger.pair.bites[biter, bitten] += 1


@lean
def count_display(actor: int, target: int, tick: int, shoal: Shoal, ledger: Ledger) -> None:
    """A display without an approach."""
    note_event(tick, DISPLAY, actor, target, shoal, ledger)
    if is_measured(tick, ledger):
        ledger.pair.displays[actor, target] += 1


@lean
def count_attack(actor: int, target: int, tick: int, shoal: Shoal, ledger: Ledger) -> None:
    """An approach to chase or contest."""
    note_event(tick, ATTACK, actor, target, shoal, ledger)
    if is_measured(tick, ledger):
        ledger.pair.attacks[actor, target] += 1


@small
def record(shoal: Shoal, ledger: Ledger) -> None:
    """Add one measured tick to the time budgets and places of all fish in the tank, but those in a box."""
    hour = ledger.state.hour[0]
    for i in range(len(shoal.fish)):
        doing = shoal.fish.doing[i]
        if not shoal.fish.present[i] or doing == BOXED:
            continue
        now = ledger.hours[i, hour]
        now.lit += 1
        if shoal.fish.centre[i] >= 0:
            now.owner += 1
        if doing == SHELTERED:
            now.hidden += 1
        free = doing == SWIMMING or doing == CHASING
        if free:
            now.free += 1
        ledger.place[i, index(shoal.fish.cell[i])] += 1 + _FREE if free else 1


@rule
def close_hour(tank: Water, shoal: Shoal, ledger: Ledger) -> None:
    """End a measured hour: each fish's largest share in one place, and its free time outside it.

    A place is all water within 15 cm of swimming from one cell; the lowest cell number wins a tie.
    """
    hour = ledger.state.hour[0]
    cells = ledger.place.shape[1]
    held = np.zeros(cells, np.int32)
    for i in range(len(shoal.fish)):
        total = 0
        free = 0
        held[:] = 0
        for cell in range(cells):
            both = ledger.place[i, cell]
            if both == 0:
                continue
            ticks = both % _FREE
            total += ticks
            ledger.visits[i, cell] += ticks
            free += both // _FREE
            for k in range(tank.ball_start[cell], tank.ball_start[cell + 1]):
                held[tank.ball[k]] += ticks
        if total == 0:
            continue
        best = np.argmax(held)
        inside = 0
        for k in range(tank.ball_start[best], tank.ball_start[best + 1]):
            inside += ledger.place[i, tank.ball[k]] // _FREE
        ledger.hours.share[i, hour] = held[best] / total
        ledger.hours.outside[i, hour] = free - inside
        ledger.hours.fright[i, hour] = shoal.fish.fright[i] + shoal.fish.slow_fright[i]
        ledger.hours.centre[i, hour] = shoal.fish.centre[i]
        ledger.place[i, :] = 0
    ledger.state.hour[0] = hour + 1
