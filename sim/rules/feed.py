"""Feeding: a meal at its places, who gets it, and hunger."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import BOXED, FOR_FEED, SWIMMING, Shoal
from ..run.ledger import MEAL, Ledger, is_measured, note_event
from ..tank.water import Water
from .senses import path_cm
from .support.compiled import index, lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform

NEAR_CM = 15.0  # within this swimming distance of the feeding place a fish can take food


@small
def meal_ticks(into_day: int, lit_ticks: int, meal_at: NDArray[np.int64], p: Parameters) -> int:
    """Ticks since the present meal was given, so many ticks into a lit day; -1 when there is none.

    Meals are spread evenly over the day, or given at the ticks of ``meal_at`` where it says any.

    Source: assumption.
    """
    gap = lit_ticks // max(1, int(p.meals_a_day))
    since = into_day % gap - gap // 4
    for k in range(len(meal_at)):
        if k == 0 or into_day >= meal_at[k]:
            since = into_day - meal_at[k]
    return since if 0 <= since <= int(p.meal_s / p.tick_s) else -1


@lean
def give_meal(tank: Water, shoal: Shoal, p: Parameters, food: NDArray[np.float64]) -> None:
    """Food enough for every fish of a part of the tank, shared among the feeding places of that part.

    Source: assumption.
    """
    for i in range(len(shoal.fish)):
        shoal.fish.eaten[i] = 0.0
    for f in range(len(food)):
        fish, places = 0, 0
        for i in range(len(shoal.fish)):
            if shoal.fish.present[i] and shoal.fish.part[i] == tank.feed_part[f]:
                fish += 1
        for other in range(len(food)):
            if tank.feed_part[other] == tank.feed_part[f]:
                places += 1
        food[f] = p.portions * fish / places


@lean
def end_meal(tick: int, shoal: Shoal, ledger: Ledger, food: NDArray[np.float64]) -> None:
    """What is left is gone; a fish that got nothing missed the meal, unless it has its own in a box.

    Source: computed (counting).
    """
    for f in range(len(food)):
        food[f] = 0.0
    if not is_measured(tick, ledger):
        return
    for i in range(len(shoal.fish)):
        if shoal.fish.present[i] and shoal.fish.doing[i] != BOXED:
            ledger.fish.meals[i] += 1
            ledger.fish.food[i] += shoal.fish.eaten[i]
            if shoal.fish.eaten[i] == 0.0:
                ledger.fish.missed[i] += 1


@small
def draw_to_food(i: int, tank: Water, shoal: Shoal, food: NDArray[np.float64]) -> None:
    """A swimming fish makes for the nearest feeding place that has food. Source: assumption."""
    best = -1
    nearest = np.inf
    for f in range(len(food)):
        far = path_cm(tank.feed_source[f], shoal.fish.cell[i], tank)
        if food[f] > 0.0 and far < nearest:
            best, nearest = f, far
    if best >= 0:
        shoal.fish.home[i] = tank.feed_source[best]


@small
def eat(
    i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger, food: NDArray[np.float64]
) -> bool:
    """A hungry fish at a feeding place takes a portion now and then; returns whether it did.

    Source: assumption.
    """
    if shoal.fish.doing[i] != SWIMMING or shoal.fish.hunger[i] <= 0.0:
        return False
    ate = False
    for f in range(len(food)):
        if food[f] <= 0.0 or path_cm(tank.feed_source[f], shoal.fish.cell[i], tank) > NEAR_CM:
            continue
        if happens(uniform(shoal.streams[i, FOR_FEED], tick, f), 1.0 / p.eat_s, p.notice_s):
            portion = min(1.0, food[f])
            food[f] -= portion
            shoal.fish.eaten[i] += portion
            shoal.fish.hunger[i] = max(0.0, shoal.fish.hunger[i] - portion / p.portions)
            note_event(tick, MEAL, i, i, shoal, ledger)
            ate = True
    return ate


@small
def hunger_share(seconds: float, p: Parameters) -> float:
    """Share of the way to wholly hungry that a fish goes in a time, s. Source: assumption."""
    return 1.0 - math.exp(-seconds / (3600.0 * p.hunger_h))


@small
def get_hungry(i: int, share: float, shoal: Shoal) -> None:
    """Hunger grows towards 1 by a share of what is left to it.

    A female holding eggs does not feed and is not driven out by hunger; a fish in a box is fed there.

    Source: assumption.
    """
    if shoal.fish.holding[i] or shoal.fish.doing[i] == BOXED:
        shoal.fish.hunger[i] = 0.0
    else:
        shoal.fish.hunger[i] += (1.0 - shoal.fish.hunger[i]) * share


@small
def graze(i: int, tank: Water, shoal: Shoal, p: Parameters, seconds: float) -> None:
    """In a few seconds, an algae grazer that swims beside a surface stills some of its hunger.

    Source: assumption.
    """
    if shoal.fish.doing[i] == SWIMMING and shoal.fish.grazer[i] > 0.0:
        rate = shoal.fish.grazer[i] * tank.cells.graze[index(shoal.fish.cell[i])] / (3600.0 * p.graze_h)
        shoal.fish.hunger[i] *= math.exp(-rate * seconds)
