"""Patterns of our own finding: checks alone, registered after P1 to P15."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from ...sim.run.ledger import CHASE
from ...sim.run.model import TankModel
from ...sim.scenario.scenario import RockSpec, Scenario, StockRow, TankSpec
from ...sim.scenario.stock import by_row
from ...sim.scenario.timeline import FishOut
from .contests import ratio_of_sums, ratio_over
from .groups import KIND, LENGTHS_CM, group
from .lab import BARE, Lab, set_up, trials_of
from .measures import (
    NAN,
    Table,
    acts_by_day,
    all_acts,
    by_rank,
    chases,
    chases_among,
    rank_distance,
    reversed_pairs,
)
from .verdict import Finding, mean_of, share_of, statistic_of

ZEBRA = "Maylandia zebra"
ONE_SIZE = [(9.0, 9.4)] * 5
MIXED = [(cm, cm) for cm in (7.5, 8.5, 9.5, 10.5, 11.5)]
COMMUNITY = (ZEBRA, "Labeotropheus fuelleborni", "Tropheops tropheops", "Pseudotropheus johannii")
MILD = "Labidochromis caeruleus"
LARGE = TankSpec(180.0, 45.0, 50.0, 47.0)


# ---- F1


class Acts(NamedTuple):
    """All acts of the measured time, and the chases of two days."""

    total: float
    first: Table
    last: Table


def _acts(model: TankModel, *, first: int, last: int) -> Acts:
    pair = model.ledger.pair
    total = float((pair.chases + pair.bites + pair.displays).sum())
    return Acts(total, acts_by_day(model, first, (CHASE,)), acts_by_day(model, last, (CHASE,)))


def sizes(lab: Lab, trials: int) -> dict[str, Finding]:
    """F1."""
    measure = partial(_acts, first=1, last=5)
    found = {}
    for name, lengths in (("one", ONE_SIZE), ("mixed", MIXED)):
        rows = [StockRow(KIND, males=1, length_cm=cm) for cm in lengths]
        scenario = set_up(*rows, rock=BARE, days=6.0)
        found[name] = lab.run(trials_of(scenario, trials, measure, events=True))
    one, mixed = (np.array([acts.total for acts in found[name]]) for name in ("one", "mixed"))
    more = np.array(
        [
            reversed_pairs(a.first, a.last).mean() - reversed_pairs(b.first, b.last).mean()
            for a, b in zip(found["one"], found["mixed"], strict=True)
        ]
    )
    ratio = ratio_over(one, mixed)
    single = one[mixed > 0] / mixed[mixed > 0]
    return {
        "more acts": ratio,
        "about twice": ratio.counting((single < 1.3) | (single > 3.0)),
        "more rank changes": mean_of(more).counting(more < 0),
    }


# ---- F3


def juveniles(fish: int, *, tank: TankSpec, rock: RockSpec = BARE) -> Scenario:
    """Immature M. zebra: no territory, and a juvenile's temper."""
    return set_up(StockRow(ZEBRA, unsexed=fish, length_cm=(5.0, 6.0)), tank=tank, rock=rock)


def tanks_and_numbers(lab: Lab, trials: int) -> dict[str, Finding]:
    """F3."""
    small = TankSpec(50.0, 25.0, 32.0, 30.0)
    rocky = RockSpec(cover=0.3, height_cm=25.0, piles=2)
    set_ups = {
        "38": (3, juveniles(3, tank=small)),
        "nine": (9, juveniles(9, tank=small)),
        "110": (3, juveniles(3, tank=TankSpec(80.0, 35.0, 42.0, 39.0))),
        "380": (3, juveniles(3, tank=LARGE, rock=rocky)),
    }
    acts = {
        name: np.array(lab.count(scenario, trials, all_acts)) / fish
        for name, (fish, scenario) in set_ups.items()
    }
    base = acts["38"]
    large = statistic_of(ratio_of_sums, acts["380"], base)
    return {
        "380 l with rock over 38 l bare": large.counting(acts["380"] > base),
        "9 over 3 fish in 38 l": _within(acts["nine"], base),
        "110 l over 38 l, both bare": _within(acts["110"], base),
    }


def _within(top: NDArray[np.float64], bottom: NDArray[np.float64]) -> Finding:
    single = top[bottom > 0] / bottom[bottom > 0]
    return statistic_of(ratio_of_sums, top, bottom).counting((single < 0.67) | (single > 1.5))


# ---- F6


def removals(lab: Lab, trials: int) -> dict[str, Finding]:
    """F6: each trial is run to day 3 for its ranks, then again with one male taken out or the other."""
    whole = set_up(
        *[StockRow(ZEBRA, males=1, length_cm=(7.0, 9.0)) for _ in range(4)],
        StockRow(ZEBRA, females=4, length_cm=(7.0, 9.0)),
        tank=TankSpec(120.0, 50.0, 50.0, 47.0),
        rock=RockSpec(cover=0.3, height_cm=25.0, piles=2),
        days=3.0,
        settle=2.0,
    )
    before = lab.count(whole, trials, chases)
    males = [[int(i) for i in by_rank(acts) if i < 4] for acts in before]
    after = {
        place: lab.count_each([without(whole, ranks[place], days=5.0) for ranks in males], chases)
        for place in (0, 3)
    }
    second = [np.array([acts[r[1]].sum() for acts, r in zip(after[p], males, strict=True)]) for p in (0, 3)]
    more = []
    for k, ranks in enumerate(males):
        rest = np.array([i for i in range(8) if i not in (ranks[0], ranks[3])])
        square = np.ix_(rest, rest)
        top, low = (reversed_pairs(before[k][square], after[p][k][square]).mean() for p in (0, 3))
        more.append(top - low)
    return {
        "the second male chases more": ratio_over(*second),
        "more pairs change": mean_of(more).counting(np.array(more) < 0),
    }


def without(scenario: Scenario, row: int, *, days: float) -> Scenario:
    """The scenario with a row of its stock taken out when its run ended, and run on to a later day."""
    out = scenario.run.days
    gone = FishOut(day=out, fish=tuple(one.label for one in by_row(scenario.stock)[row]))
    events = (*scenario.events, gone)
    return replace(scenario, events=events, run=replace(scenario.run, days=days, settle_days=out))


# ---- F8


def _two_days(model: TankModel) -> tuple[Table, Table]:
    return acts_by_day(model, 1, (CHASE,)), acts_by_day(model, 8, (CHASE,))


def stability(lab: Lab, trials: int) -> dict[str, Finding]:
    """F8."""
    scenario = group(2, 5)
    scenario = replace(scenario, run=replace(scenario.run, days=9.0))
    some, near, top = [], [], []
    for first, last in lab.run(trials_of(scenario, trials, _two_days, events=True)):
        pairs = np.triu_indices(len(first), 1)
        turned = reversed_pairs(first, last)
        distance = rank_distance(first)[pairs]
        best = by_rank(first)[0]
        with_top = (pairs[0] == best) | (pairs[1] == best)
        some.append(bool(turned.any()))
        near.append(turned[distance == 1].mean() - turned[distance > 1].mean())
        top.append(turned[with_top].mean() - turned[~with_top].mean())
    return {
        "some reversal": share_of(some).counting(~np.array(some)),
        "neighbours": mean_of(near).counting(np.array(near) < 0),
        "seldom at the top": mean_of(top).counting(np.array(top) > 0),
    }


# ---- F11


def _given_and_received(model: TankModel) -> float:
    kind = model.shoal.fish.species
    attacks = np.where(kind[:, None] != kind[None, :], model.ledger.pair.attacks, 0)
    given, received = attacks.sum(axis=1), attacks.sum(axis=0)
    if np.ptp(given) == 0 or np.ptp(received) == 0:
        return NAN
    return float(stats.spearmanr(given, received).statistic)


def between_species(lab: Lab, trials: int) -> dict[str, Finding]:
    """F11."""
    scenario = set_up(
        *[StockRow(kind, 1, 2) for kind in (*COMMUNITY, MILD)],
        tank=TankSpec(200.0, 60.0, 50.0, 47.0),
        rock=RockSpec(cover=0.4, height_cm=25.0, piles=2),
    )
    link = np.array(lab.run(trials_of(scenario, trials, _given_and_received)))
    return {"given and received": mean_of(link).counting(link[np.isfinite(link)] > 0)}


# ---- F17


def sex_ratio(lab: Lab, trials: int) -> dict[str, Finding]:
    """F17."""
    among_males = partial(chases_among, sex=0)
    found = {}
    for males in (2, 5, 7):
        scenario = set_up(
            StockRow(ZEBRA, males, 8 - males, length_cm=(8.0, 10.0)),
            tank=TankSpec(150.0, 50.0, 50.0, 47.0),
            rock=RockSpec(cover=0.3, height_cm=25.0, piles=2),
        )
        found[males] = np.array(lab.count(scenario, trials, among_males)) / males
    fall = statistic_of(ratio_of_sums, found[7], found[5])
    return {"rise": ratio_over(found[5], found[2]), "fall": fall.counting(found[7] > found[5])}


# ---- F18


def harem(lab: Lab, trials: int) -> dict[str, Finding]:
    """F18."""
    whole = set_up(
        StockRow(KIND, males=1, length_cm=LENGTHS_CM),
        StockRow(KIND, females=3, length_cm=LENGTHS_CM),
        days=3.0,
        settle=2.0,
    )
    kept = replace(whole, run=replace(whole.run, days=4.0, settle_days=3.0))
    before, with_him, without_him = (
        np.array(lab.count(scenario, trials, partial(chases_among, sex=1)))
        for scenario in (whole, kept, without(whole, 0, days=4.0))
    )
    return {
        "after over before": ratio_over(without_him, before),
        "without over with him": ratio_over(without_him, with_him),
    }
