"""Groups of one species: linearity, who gives and who receives, rank and luck, winner and loser effect."""

from __future__ import annotations

from typing import Any

import numpy as np

from ...sim.run.model import TankModel
from ...sim.scenario.scenario import RockSpec, Scenario, StockRow
from ..measures.hierarchy import directional_consistency, improved_h
from .lab import BARE, ROCKY, Lab, MeasuredRun, set_up, trials_of
from .measures import (
    Table,
    by_rank,
    chases,
    contact_by_hour,
    has_clear_top,
    near_share,
    top_and_bottom,
    undecided_share,
    upward_share,
)
from .verdict import Finding, mean_of, median_of, share_of

KIND = "Melanochromis auratus"
LENGTHS_CM = (8.5, 9.5)
RANDOM_H = {7: 3 / 8, 4: 3 / 5}  # Landau1951: mean of h of a random tournament, 3 / (N + 1)
EARLY, LATE = slice(0, 2), slice(12, None)  # lit hours


def group(males: int, females: int, *, rock: RockSpec = ROCKY, settle: float = 1.0) -> Scenario:
    """A group of M. auratus, two days; the first is not measured unless ``settle`` is 0."""
    return set_up(StockRow(KIND, males, females, length_cm=LENGTHS_CM), rock=rock, settle=settle)


def of_seven(lab: Lab, trials: int, *, rock: RockSpec = ROCKY) -> list[Table]:
    """Chases of the second day in groups of seven."""
    scenario = group(2, 5, rock=rock)
    found: list[Table] = lab.once(("seven", rock, trials), lambda: lab.count(scenario, trials, chases))
    return found


def linearity(lab: Lab, trials: int) -> dict[str, Finding]:
    """P1."""
    of_four = lab.count(group(1, 3), trials, chases)
    found = {}
    for size, tables in ((7, of_seven(lab, trials)), (4, of_four)):
        h = np.array([improved_h(acts) for acts in tables])
        found[f"group of {size}"] = median_of(h).counting(h <= RANDOM_H[size])
    return found


def consistency(lab: Lab, trials: int) -> dict[str, Finding]:
    """P2."""
    index = np.array([directional_consistency(acts) for acts in of_seven(lab, trials)])
    return {"directional consistency": median_of(index).counting((index < 0.80) | (index > 0.98))}


def shares(lab: Lab, trials: int) -> dict[str, Finding]:
    """N1: shares times the size of the group."""
    rocky = 7 * np.array([top_and_bottom(acts) for acts in of_seven(lab, trials)])
    bare = 7 * np.array([top_and_bottom(acts) for acts in of_seven(lab, trials, rock=BARE)])
    found = {}
    for name, table in (("bare tank", bare), ("rock", rocky)):
        top = table[:, 0]
        found[f"top fish gives, {name}"] = median_of(top).counting((top < 1.0) | (top > 2.7))
    found["bottom fish gives, rock"] = median_of(rocky[:, 1]).counting(rocky[:, 1] > 0.21)
    found["bottom fish receives, rock"] = median_of(rocky[:, 2]).counting(rocky[:, 2] < 1)
    return found


def evenly_downward(lab: Lab, trials: int) -> dict[str, Finding]:
    """N2."""
    near, upward = [], []
    for acts in of_seven(lab, trials):
        near.append(near_share(acts))
        upward.append(upward_share(acts))
    shares = {"near against far": (near, 0.41, 0.76), "acts upward": (upward, 0.008, 0.037)}
    return {
        name: median_of(values).counting((np.array(values) < low) | (np.array(values) > high))
        for name, (values, low, high) in shares.items()
    }


def _chases(model: TankModel) -> Table:
    table: Table = np.asarray(model.ledger.pair.chases.copy())
    return table


def formed_twice(lab: Lab, trials: int) -> dict[str, Finding]:
    """P4: the second time with the luck of another trial, in the rock of the first."""
    runs = []
    for number in range(trials):
        scenario = same_fish(number, males=2, females=5)
        for trial in (number, trials + number):
            runs.append(MeasuredRun(scenario, trial, _chases, rock_of=number))
    orders = [by_rank(acts) for acts in lab.run(runs)]
    changed = np.array([bool((a != b).any()) for a, b in zip(orders[::2], orders[1::2], strict=True)])
    return {"order changes": share_of(changed).counting(~changed)}


def same_fish(number: int, *, males: int, females: int, rock: RockSpec = ROCKY) -> Scenario:
    """A group whose lengths are drawn by its number alone, so that every trial has the same fish."""
    lengths = np.random.default_rng(number).uniform(*LENGTHS_CM, males + females)
    rows = [
        StockRow(KIND, int(k < males), int(k >= males), length_cm=(float(cm), float(cm)))
        for k, cm in enumerate(lengths)
    ]
    return set_up(*rows, rock=rock)


def effects(lab: Lab, trials: int) -> dict[str, Finding]:
    """P6."""
    by_effect = {}
    for effect, other in (("winner", "loser"), ("loser", "winner")):
        without: dict[str, Any] = {f"{other}_effect": 0.0}
        scenario = set_up(
            StockRow(KIND, males=5, length_cm=(9.0, 9.0)),
            rock=BARE,
            pair_step=0.0,
            **without,
        )
        by_effect[effect] = lab.count(scenario, trials, chases)
    unclear = {name: np.array([undecided_share(acts) for acts in found]) for name, found in by_effect.items()}
    more = unclear["loser"] - unclear["winner"]
    clear_top = np.array([has_clear_top(acts) for acts in by_effect["loser"]])
    return {
        "more pairs unclear": mean_of(more).counting(more < 0),
        "clear top fish": share_of(clear_top).counting(~clear_top),
        "all ranks clear": median_of(unclear["winner"]).counting(unclear["winner"] > 0.1),
    }


def contact(lab: Lab, trials: int) -> tuple[np.ndarray, np.ndarray]:
    """Contacts an hour among strangers, [n] early and [n] late."""
    runs = trials_of(group(2, 5, settle=0.0), trials, contact_by_hour, events=True)
    hourly = np.array(lab.run(runs))
    return hourly[:, EARLY].mean(axis=1), hourly[:, LATE].mean(axis=1)


def strangers(lab: Lab, trials: int) -> dict[str, Finding]:
    """P9."""
    early, late = contact(lab, trials)
    ratio = late[early > 0] / early[early > 0]
    return {"late against early": median_of(ratio).counting(ratio > 1.0)}
