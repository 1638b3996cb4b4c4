"""The lit day: the loop that Numba compiles, which calls the rules.

The order of a tick, for all fish together:

1. clock: fright and experience fade, fish get hungry (every few seconds), claims fade, meals begin and end;
2. notice: every few seconds each fish learns its place and takes in who is in view, all on the same picture;
3. decide: eat, attack, hide, take a crevice, come out;
4. contests: those whose time has come are decided;
5. move: sub-steps shared by all fish, one cell at most in each; sight, reach and blocked ways are
   tested again in every one; the order of the fish is reversed from tick to tick;
6. record: places, time budgets; an hour that is full is closed.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import BOXED, CHASING, CONTESTING, FLEEING, RETREATING, SHELTERED, SWIMMING, Shoal
from ..rules.attack import attack, attack_rate
from ..rules.chase import break_off, gives_up, press
from ..rules.claims import fade_claims
from ..rules.contest import decide_contest
from ..rules.feed import draw_to_food, eat, end_meal, get_hungry, give_meal, graze, hunger_share, meal_ticks
from ..rules.flight import arrive, calms_down, come_out, hide
from ..rules.fright import fade
from ..rules.notice import look_home, look_round
from ..rules.support.compiled import rule, small
from ..rules.support.parameter_record import Parameters
from ..rules.swim import choose_step, go, step_towards, turning_table
from ..rules.territory import take_centre
from ..tank.water import Water
from .ledger import Ledger, close_hour, is_measured, note_move, record


@small
def clock(
    tick: int,
    every: int,
    since: int,
    tank: Water,
    shoal: Shoal,
    p: Parameters,
    ledger: Ledger,
    food: NDArray[np.float64],
) -> None:
    """Step 1 of a tick, ``since`` a meal; what fades and grows does so every few seconds, ``every`` ticks."""
    if tick % every == 0:
        seconds = p.tick_s * every
        fade(shoal, p, seconds)
        share = hunger_share(seconds, p)
        for i in range(len(shoal.fish)):
            if shoal.fish.present[i]:
                get_hungry(i, share, shoal)
                graze(i, tank, shoal, p, seconds)
    if tick % 60 == 0:
        fade_claims(shoal, p, 60.0 * p.tick_s)
    if since == 0:
        give_meal(tank, shoal, p, food)
    elif since == int(p.meal_s / p.tick_s):
        end_meal(tick, shoal, ledger, food)


@small
def notice_all(is_meal: bool, tank: Water, shoal: Shoal, p: Parameters, food: NDArray[np.float64]) -> None:
    """Step 2 of a tick."""
    for i in range(len(shoal.fish)):
        if shoal.fish.present[i]:
            look_home(i, tank, shoal, p)
            if is_meal and shoal.fish.doing[i] == SWIMMING:
                draw_to_food(i, tank, shoal, food)
    look_round(tank, shoal, p)


@small
def decide_all(
    tick: int,
    is_meal: bool,
    tank: Water,
    shoal: Shoal,
    p: Parameters,
    ledger: Ledger,
    food: NDArray[np.float64],
) -> None:
    """Step 3 of a tick: what each fish does next."""
    for i in range(len(shoal.fish)):
        if not shoal.fish.present[i]:
            continue
        if shoal.fish.doing[i] == SHELTERED:
            come_out(i, tick, is_meal, shoal, p)
            if shoal.fish.doing[i] == SWIMMING:
                note_move(tick, 0, i, shoal.fish.cell[i], ledger)
        elif shoal.fish.doing[i] == SWIMMING or shoal.fish.doing[i] == BOXED:
            if is_meal and eat(i, tick, tank, shoal, p, ledger, food):
                continue
            if attack(i, tick, tank, shoal, p, ledger, attack_rate(i, shoal, p)):
                continue
            if shoal.fish.doing[i] == BOXED or hide(i, tick, tank, shoal, p):
                continue
            if shoal.fish.ground[i] == i and shoal.fish.centre[i] < 0:
                take_centre(i, tank, shoal)


@small
def contest_all(tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger) -> None:
    """Step 4 of a tick; chasers that give up, fleeing fish that calm down."""
    for i in range(len(shoal.fish)):
        if not shoal.fish.present[i]:
            continue
        if shoal.fish.doing[i] == CONTESTING and shoal.fish.target[i] > i:
            decide_contest(i, shoal.fish.target[i], tick, tank, shoal, p, ledger)
        elif shoal.fish.doing[i] == CHASING and gives_up(i, tick, tank, shoal, p):
            break_off(i, shoal)
        elif shoal.fish.doing[i] == FLEEING and shoal.fish.chaser[i] < 0 and calms_down(i, tick, shoal, p):
            shoal.fish.doing[i] = SWIMMING


@small
def speed_cm_s(i: int, shoal: Shoal, p: Parameters) -> float:
    """How fast fish i swims now; a fleeing fish that nobody follows slows down."""
    doing = shoal.fish.doing[i]
    if doing == SWIMMING:
        return shoal.fish.cruise_cm_s[i] * p.activity
    if doing == CHASING:
        return shoal.fish.burst_cm_s[i]
    if doing == FLEEING and shoal.fish.chaser[i] >= 0:
        return shoal.fish.burst_cm_s[i]
    if doing in (FLEEING, RETREATING):
        return shoal.fish.cruise_cm_s[i]
    return 0.0


@small
def sub_steps(tank: Water, shoal: Shoal, p: Parameters) -> int:
    """Sub-steps of this tick: enough that no fish needs to move more than one cell in one."""
    fastest = 0.0
    for i in range(len(shoal.fish)):
        shoal.fish.stepped[i] = 0
        if shoal.fish.present[i]:
            fastest = max(fastest, speed_cm_s(i, shoal, p))
    return max(1, int(math.ceil(fastest * p.tick_s / tank.edge_cm)))


@small
def move(
    i: int,
    tick: int,
    sub_step: int,
    turning: NDArray[np.float64],
    tank: Water,
    shoal: Shoal,
    p: Parameters,
    ledger: Ledger,
) -> float:
    """One step of fish i to a neighbouring cell; returns its length, cm."""
    doing = shoal.fish.doing[i]
    if doing == SWIMMING:
        number = 64 * shoal.fish.stepped[i]
        shoal.fish.stepped[i] += 1
        length = go(i, choose_step(i, tick, number, turning, tank, shoal, p), tank, shoal)
    else:
        if doing == CHASING:
            k = step_towards(shoal.fish.cell[i], shoal.fish.cell[shoal.fish.target[i]], tank)
        else:
            k = tank.toward[shoal.fish.refuge[i], shoal.fish.cell[i]] if shoal.fish.refuge[i] >= 0 else -1
        length = tank.edge_cm if k < 0 else go(i, k, tank, shoal)
    note_move(tick, sub_step, i, shoal.fish.cell[i], ledger)
    return length


@small
def move_all(
    tick: int, turning: NDArray[np.float64], tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger
) -> None:
    """Step 5 of a tick."""
    n = len(shoal.fish)
    steps = sub_steps(tank, shoal, p)
    seconds = p.tick_s / steps
    for sub_step in range(steps):
        for turn in range(n):
            i = turn if tick % 2 == 0 else n - 1 - turn
            doing = shoal.fish.doing[i]
            if not shoal.fish.present[i] or doing == SHELTERED or doing == CONTESTING:
                continue
            shoal.fish.credit_cm[i] += speed_cm_s(i, shoal, p) * seconds
            if shoal.fish.credit_cm[i] > 0.0:
                shoal.fish.credit_cm[i] -= move(i, tick, sub_step, turning, tank, shoal, p, ledger)
            if shoal.fish.doing[i] == FLEEING or shoal.fish.doing[i] == RETREATING:
                refuge = shoal.fish.refuge[i]
                if refuge < 0:
                    if shoal.fish.chaser[i] < 0:
                        shoal.fish.doing[i] = SWIMMING
                elif shoal.fish.cell[i] == tank.refuges.cell[refuge]:
                    arrive(i, tank, shoal, p)
                    if shoal.fish.doing[i] == SHELTERED:
                        note_move(tick, sub_step, i, -1 - refuge, ledger)
        for i in range(n):
            if shoal.fish.present[i] and shoal.fish.doing[i] == CHASING:
                press(i, tick, sub_step, seconds, tank, shoal, p, ledger)


@rule
def advance(
    tick: int,
    stop: int,
    dawn: int,
    lit_ticks: int,
    meal_at: NDArray[np.int64],
    hour_ticks: int,
    tank: Water,
    shoal: Shoal,
    p: Parameters,
    ledger: Ledger,
    food: NDArray[np.float64],
) -> int:
    """Run lit ticks from ``tick`` up to ``stop``; returns the tick reached.

    The day began at ``dawn`` and has ``lit_ticks``; ``meal_at``: see :func:`meal_ticks`.

    It returns early when the ledger has no room left for the moves of another tick.
    """
    turning = turning_table(tank.edge_cm, p.persistence_cm)
    every = max(1, int(round(p.notice_s / p.tick_s)))
    room = len(ledger.moves) - 16 * len(shoal.fish)
    while tick < stop:
        if ledger.state.keeps[0] and len(ledger.moves) > 0 and ledger.state.n_moves[0] > room:
            return tick
        since = meal_ticks(tick - dawn, lit_ticks, meal_at, p)
        clock(tick, every, since, tank, shoal, p, ledger, food)
        if tick % every == 0:
            is_meal = since >= 0
            notice_all(is_meal, tank, shoal, p, food)
            decide_all(tick, is_meal, tank, shoal, p, ledger, food)
        contest_all(tick, tank, shoal, p, ledger)
        move_all(tick, turning, tank, shoal, p, ledger)
        if is_measured(tick, ledger):
            record(shoal, ledger)
            if (tick + 1 - ledger.state.measured_from[0]) % hour_ticks == 0:
                close_hour(tank, shoal, ledger)
        tick += 1
    return tick
