"""Swimming: a step-selection walk, following another fish, and following a path to shelter."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import FOR_SWIM, Shoal
from ..tank.paths import DIRECTIONS, STEP_CM
from ..tank.water import Water
from .claims import claim_at
from .fright import fear
from .support.compiled import index, lean, rule, small
from .support.parameter_record import Parameters
from .support.random_numbers import uniform

TRIES = 12  # proposals before the weights of all steps are added up; the choice is the same either way
_N = len(DIRECTIONS)
_UNIT = DIRECTIONS / STEP_CM[:, None]
COSINE = _UNIT @ _UNIT.T  # [26, 26] cosine of the turn from one direction to another
_C2, _C3, _C4, _C5, _C6, _C7, _C8 = (1.0 / math.factorial(n) for n in range(2, 9))
OPPOSITE = np.array([np.argmin(row) for row in COSINE])


@lean
def concentration(mean_cosine: float) -> float:
    """Concentration of a von Mises-Fisher distribution in space with a given mean cosine, by bisection.

    Source: computed (the mean is coth k - 1/k, a closed form).
    """
    low, high = 1e-6, 200.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if 1.0 / math.tanh(middle) - 1.0 / middle < mean_cosine:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@rule
def turning_table(edge_cm: float, persistence_cm: float) -> NDArray[np.float64]:
    """Chance of each next direction after each last one: [4, 26, 26].

    Directions are kept over a length, not over a number of steps, so the cell size is no
    parameter of behaviour: the mean cosine of a turn after one mean step s is exp(-s / length).
    Page 0 holds the chances, pages 1 and 2 the same as an alias table (Walker1977): the share of
    a slot that is its own, and the direction that has the rest. Page 3 is room to work in.

    Source: KareivaShigesada1983 (correlated walk); Walker1977; assumption (the length).
    """
    table = np.zeros((4, _N, _N))
    k = concentration(math.exp(-edge_cm * STEP_CM.mean() / persistence_cm))
    for a in range(_N):
        total = 0.0
        for b in range(_N):
            table[0, a, b] = math.exp(k * (COSINE[a, b] - 1.0))
            total += table[0, a, b]
        for b in range(_N):
            table[0, a, b] /= total
            table[1, a, b] = table[0, a, b] * _N
            table[2, a, b] = b
        _fill_slots(table, a)
    return table


@lean
def _fill_slots(table: NDArray[np.float64], a: int) -> None:
    """Give what slots with too little lack from those with too much, until all are full."""
    for _ in range(_N):
        poor, rich = -1, -1
        for b in range(_N):
            if table[1, a, b] < 1.0 - 1e-12 and table[2, a, b] == b and poor < 0:
                poor = b
            elif table[1, a, b] > 1.0 + 1e-12 and rich < 0:
                rich = b
        if poor < 0 or rich < 0:
            return
        table[2, a, poor] = rich
        table[1, a, rich] -= 1.0 - table[1, a, poor]


@small
def _pick(turning: NDArray[np.float64], last: int, u: float) -> int:
    slot = int(u * _N)
    row, column = index(last), index(slot)
    other = int(turning[2, row, column])  # read at once: which of the two it is, is anybody's guess
    return other if u * _N - slot >= turning[1, row, column] else slot


@small
def home_pull(i: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """Pull towards home in log-weight per cm: food draws the hungry, fright shortens the leash.

    Source: assumption.
    """
    if shoal.fish.home[i] < 0:
        return 0.0
    if shoal.fish.home[i] >= len(tank.refuges.cell):
        return p.food_pull_cm * shoal.fish.hunger[i] * max(0.0, 1.0 - fear(i, shoal))
    return p.fear_leash_cm * min(1.0, fear(i, shoal))


@small
def step_preference(
    i: int, k: int, pull: float, timid: float, tank: Water, shoal: Shoal, p: Parameters
) -> float:
    """Log-weight of a step besides its direction; 0 for a blocked one, which turns the fish round.

    Source: assumption.
    """
    me = shoal.fish[i]
    to = tank.neighbour[index(me.cell), index(k)]
    if to < 0:
        return 0.0
    here, there = tank.cells[index(me.cell)], tank.cells[index(to)]
    weight = timid * (there.cover - here.cover)
    weight += p.graze_pull * me.grazer * (there.graze - here.graze)
    if pull > 0.0:
        home = index(me.home)
        nearer = float(tank.path[home, index(me.cell)]) - float(tank.path[home, index(to)])
        weight += nearer * (pull * tank.edge_cm / 3.0)
    if me.ground >= 0:
        ground = index(me.ground)
        weight += p.claim_pull * (
            shoal.claims[ground, index(there.block)] - shoal.claims[ground, index(here.block)]
        )
    if me.company > 0.0:
        way = index(k)
        weight += _UNIT[way, 0] * me.pull_x + _UNIT[way, 1] * me.pull_y + _UNIT[way, 2] * me.pull_z
    return weight


@small
def above_exp(x: float) -> float:
    """A little more than exp(x), x at most 0 but for rounding, without working out the exponential.

    Source: computed (the series cut after the fourth power is never under exp; the eighth power for x / 8).
    """
    y = max(x, -12.0) / 8.0
    above = 1.0 + y * (1.0 + y * (_C2 + y * (_C3 + y * _C4)))
    above *= above
    above *= above
    return above * above * (1.0 + 1e-9)


@small
def is_under_exp(u: float, x: float) -> bool:
    """Whether u < exp(x), x at most 0 but for rounding; where a bound tells, the exponential is spared.

    Source: computed (the exponential is never under one plus its exponent).
    """
    return u < 1.0 + x or (u < above_exp(x) and u < math.exp(x))


@small
def decay(x: float) -> float:
    """exp(x) of a number at most 0 by sums and products alone, to 1e-12 of it down to x = -60.

    Source: computed (the series for a 1024th of x, ten times squared).
    """
    r = max(x, -700.0) / 1024.0
    y = 1.0 + r * (1.0 + r * (_C2 + r * (_C3 + r * (_C4 + r * (_C5 + r * (_C6 + r * (_C7 + r * _C8)))))))
    for _ in range(10):
        y *= y
    return y


@small
def _bounds(
    i: int, pull: float, timid: float, tank: Water, shoal: Shoal, p: Parameters
) -> tuple[float, float]:
    """What no step of fish i is preferred above: anywhere in the tank, and from where it is."""
    me = shoal.fish[i]
    cell = index(me.cell)
    grazes = p.graze_pull * me.grazer
    drawn = pull * tank.edge_cm * (5.0 / 3.0)
    if me.ground >= 0:
        drawn += p.claim_pull * (1.0 - claim_at(i, me.cell, tank, shoal))
    anywhere = timid * tank.steepest_cover + grazes * tank.steepest_graze + drawn
    here = timid * tank.rise[cell, 0] + grazes * tank.rise[cell, 1] + drawn
    if me.company > 0.0:
        anywhere += p.company_pull * me.company
        if me.pull_x != 0.0 or me.pull_y != 0.0 or me.pull_z != 0.0:
            here += p.company_pull * me.company
    return anywhere, here


@small
def choose_step(
    i: int, tick: int, number: int, turning: NDArray[np.float64], tank: Water, shoal: Shoal, p: Parameters
) -> int:
    """Direction of the next step of a free-swimming fish: persistence times preference.

    Proposals come from the turning table and are accepted by preference, so most steps cost
    one or two looks; after ``TRIES`` of them the weights of all 26 are added up.

    Source: assumption (step selection with home, cover, surface to graze, company).
    """
    last = shoal.fish.heading[i]
    pull = home_pull(i, tank, shoal, p)
    timid = p.cover_pull * min(1.0, fear(i, shoal))
    highest, here = _bounds(i, pull, timid, tank, shoal, p)
    hopeless = above_exp(here - highest)
    stream = shoal.streams[i, FOR_SWIM]
    for attempt in range(TRIES):
        u = uniform(stream, tick, number + 2 * attempt + 1)
        if u >= hopeless:
            continue  # refused whichever direction it is
        k = _pick(turning, last, uniform(stream, tick, number + 2 * attempt))
        if is_under_exp(u, step_preference(i, k, pull, timid, tank, shoal, p) - highest):
            return k
    highest = -np.inf
    for k in range(_N):
        preference = step_preference(i, k, pull, timid, tank, shoal, p)
        turning[3, 0, k] = preference
        highest = max(highest, preference)
    return _choose_of_all(turning, last, highest, stream, tick, number + 2 * TRIES)


@small
def _choose_of_all(
    turning: NDArray[np.float64], last: int, highest: float, stream: np.uint64, tick: int, number: int
) -> int:
    """One of all directions by its chance times the exponential of its preference, page 3 of the table.

    Each step of it goes through the whole row, so that the processor takes several directions at once.
    """
    for k in range(_N):
        turning[3, 0, k] = decay(turning[3, 0, k] - highest)
    for k in range(_N):
        turning[3, 1, k] = uniform(stream, tick, number + k)
    total = 0.0
    chosen = 0
    for k in range(_N):
        weight = turning[0, last, k] * turning[3, 0, k]
        total += weight
        if turning[3, 1, k] * total < weight:
            chosen = k
    return chosen


@small
def go(i: int, k: int, tank: Water, shoal: Shoal) -> float:
    """Take a step and return its length, cm; a blocked step is spent turning round.

    That a blocked step is spent, and reverses the direction, leaves a blind swimmer equally often
    in every cell, glass or no glass.

    Source: assumption.
    """
    there = tank.neighbour[shoal.fish.cell[i], k]
    if there < 0:
        shoal.fish.heading[i] = OPPOSITE[k]
    else:
        shoal.fish.cell[i] = there
        shoal.fish.heading[i] = k
    return STEP_CM[k] * tank.edge_cm


@lean
def step_towards(cell: int, goal: int, tank: Water) -> int:
    """Open direction that brings a fish nearest to a cell in a straight line; -1 when none is nearer.

    Source: assumption.
    """
    best = -1
    x = tank.cells.x[goal] - tank.cells.x[cell]
    y = tank.cells.y[goal] - tank.cells.y[cell]
    z = tank.cells.z[goal] - tank.cells.z[cell]
    nearest = x * x + y * y + z * z
    for k in range(_N):
        if tank.neighbour[cell, k] < 0:
            continue
        a, b, c = x - DIRECTIONS[k, 0], y - DIRECTIONS[k, 1], z - DIRECTIONS[k, 2]
        far = a * a + b * b + c * c
        if far < nearest:
            best, nearest = k, far
    return best
