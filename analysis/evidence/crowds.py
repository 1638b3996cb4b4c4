"""How much is given at all, and what numbers of fish, of competitors and of sites do to it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...sim.run.trials import Outcome
from ...sim.scenario.scenario import CreviceSpec, RockSpec, Scenario, StockRow, TankSpec
from .contests import SMALL, ratio_of_sums
from .found import MILD, ZEBRA, juveniles
from .lab import BARE, Lab, set_up
from .measures import acts, all_acts, chases
from .verdict import Finding, mean_of, statistic_of

FOUR, FIRST_HOURS = 4, 2.0
LIT_H = 10.0  # of the measured day


def _on_others(outcome: Outcome) -> float:
    """Chases of M. zebra on fish of the other species."""
    zebra = np.array([one.species == ZEBRA for one in outcome.people])
    return float(chases(outcome)[np.ix_(zebra, ~zebra)].sum())


def on_another_species(lab: Lab, trials: int) -> dict[str, Finding]:
    """N6."""
    few, many = (
        np.array(
            lab.count(
                set_up(
                    StockRow(ZEBRA, unsexed=fish, length_cm=(7.0, 9.0)),
                    StockRow(MILD, unsexed=5, length_cm=(7.0, 9.0)),
                    tank=TankSpec(200.0, 60.0, 50.0, 47.0),
                    rock=BARE,
                ),
                trials,
                _on_others,
            )
        )
        for fish in (5, 10)
    )
    single = many[few > 0] / few[few > 0]
    ratio = statistic_of(ratio_of_sums, many, few)
    return {"chases on the other species": ratio.counting((single < 0.42) | (single > 1.74))}


def competitors(lab: Lab, trials: int) -> dict[str, Finding]:
    """N7."""
    by_pots = {pots: np.array(lab.count(among_pots(pots), trials, all_acts)) for pots in (10, 5, 2, 1)}
    two_each = by_pots[5]
    rise = statistic_of(ratio_of_sums, two_each, by_pots[10])
    return {
        "rise, 1 to 2": rise.counting(two_each < by_pots[10]),
        **{f"fall, 2 to {10 // pots}": _less(by_pots[pots], two_each) for pots in (2, 1)},
    }


def among_pots(pots: int) -> Scenario:
    """Ten fish and so many pots in a row on the floor."""
    places = np.linspace(15.0, 135.0, pots) if pots > 1 else [75.0]
    holes = (CreviceSpec(x_cm=float(x), y_cm=25.0, z_cm=2.5, mouth_cm=6.0, depth_cm=12.0) for x in places)
    return set_up(
        StockRow(ZEBRA, 5, 5, length_cm=(8.0, 9.0)),
        tank=TankSpec(150.0, 50.0, 50.0, 47.0),
        rock=RockSpec(crevices=tuple(holes)),
    )


def _less(top: NDArray[np.float64], bottom: NDArray[np.float64]) -> Finding:
    """A ratio that should be under 1."""
    return statistic_of(ratio_of_sums, top, bottom).counting(top > bottom)


def forming(lab: Lab, trials: int) -> dict[str, Finding]:
    """N9."""
    days = FIRST_HOURS / LIT_H
    tank = set_up(StockRow(ZEBRA, FOUR, length_cm=(8.5, 9.5)), tank=SMALL, rock=BARE, settle=0.0, days=days)
    both = np.array(lab.count(tank, trials, lambda one: (acts(one).sum(), chases(one).sum())), float)
    every, chased = both.T / (FOUR * FIRST_HOURS)
    return {
        "acts": mean_of(every).counting((every < 22.0) | (every > 200.0)),
        "chases": mean_of(chased).counting((chased < 7.0) | (chased > 66.0)),
    }


def more_fish(lab: Lab, trials: int) -> dict[str, Finding]:
    """N10."""
    tank = TankSpec(80.0, 35.0, 42.0, 39.0)
    each = {n: np.array(lab.count(juveniles(n, tank=tank), trials, all_acts)) / n for n in (3, 6, 12)}
    return {f"{2 * n} over {n}": _less(each[2 * n], each[n]) for n in (3, 6)}


def two_males(lab: Lab, trials: int) -> dict[str, Finding]:
    """N11."""
    tank = set_up(
        StockRow(ZEBRA, 1, length_cm=(9.0, 9.0)),
        StockRow(ZEBRA, 1, 3, length_cm=(8.5, 8.5)),
    )
    given = np.array(lab.count(tank, trials, lambda one: acts(one).sum(axis=1)[:2]), float) / LIT_H
    top, low = given.max(axis=1), given.min(axis=1)
    single = top[low > 0] / low[low > 0]
    ratio = statistic_of(ratio_of_sums, top, low)
    return {
        "dominant": mean_of(top).counting((top < 93.0) | (top > 840.0)),
        "dominant over subordinate": ratio.counting((single < 3.7) | (single > 34.0)),
    }
