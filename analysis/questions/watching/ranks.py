"""Who ranks above whom in a tally, and whether so few chases can tell.

Each measure is set against the same number of chases between the same pairs with the direction of each
tossed: what order would be read into pure chance. Source for the measures: see
analysis/measures/hierarchy.py; tossing directions within pairs: deVries2006 (for steepness).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.rules.support.random_numbers import generator
from ...measures.hierarchy import (
    directional_consistency,
    improved_h,
    linearity_test,
    normalised_davids_score,
    steepness,
)
from ...statistics.intervals import NAN, Floats
from .ethogram import CHASE
from .tally import Tally
from .windows import Windows

LEVEL = 0.05
TOSSES = 400
LEAST_FISH = 3


@dataclass(frozen=True)
class Measure:
    """A measure of the hierarchy of a tally."""

    name: str
    value: float
    p_value: float  # chance of as much order or more by tossing
    model_low: float  # middle 95 of 100 simulated tanks, watched as long
    model_high: float

    @property
    def told(self) -> bool:
        """More order than chance makes of so few chases."""
        return bool(self.p_value <= LEVEL)


@dataclass(frozen=True)
class Rank:
    """A fish, and what it gave and got."""

    label: str
    score: float  # David's score, normalised, 0..n-1
    given: int
    received: int


@dataclass(frozen=True)
class Ranks:
    """The hierarchy of a tally; ``why_not`` says why there is none."""

    fish: tuple[Rank, ...]  # highest score first
    measures: tuple[Measure, ...]
    chases: int  # between two fish that were both made out
    left_out: int  # others
    unknown_pairs: int
    pairs: int
    why_not: str = ""


def ranks_of(
    tally: Tally,
    labels: Sequence[str],
    *,
    sets: Sequence[NDArray[np.int64]] = (),
    seed: int = 1,
    tosses: int = TOSSES,
) -> Ranks:
    """The hierarchy in a tally.

    Parameters
    ----------
    labels : of all fish of the tank, n.
    tosses : how often directions are tossed.
    sets : who chased whom, [n, n], in simulated tanks that were watched as long, one each.
    """
    table = np.zeros((len(labels), len(labels)), np.int64)
    left_out = 0
    place = {label: i for i, label in enumerate(labels)}
    whole = {watch.name for watch in tally.watches if watch.watched is None}
    for one in tally.acts:
        if one.act != CHASE:
            continue
        if one.watch in whole and one.chaser.is_one and one.chased.is_one:
            table[place[min(one.chaser.labels)], place[min(one.chased.labels)]] += one.count
        else:
            left_out += one.count
    inside = np.flatnonzero(table.any(axis=0) | table.any(axis=1)).tolist()
    small = table[np.ix_(inside, inside)]
    n = len(inside)
    unknown = int(np.triu(small + small.T == 0, 1).sum())
    counted = int(small.sum()), left_out, unknown, n * (n - 1) // 2
    if not small.any():
        both = "no chase in it is between two single fish that were both made out"
        return Ranks((), (), *counted, f"{both}, in a watch of the whole tank")
    if n < LEAST_FISH:
        return Ranks((), (), *counted, "only two fish were seen to chase or be chased")
    measures = _measures(small, [one[np.ix_(inside, inside)] for one in sets], seed, tosses)
    return Ranks(_ranked(small, [labels[i] for i in inside]), measures, *counted)


def chase_table(windows: Windows, chosen: Sequence[int], *, fish: int) -> NDArray[np.int64]:
    """Who chased whom in some windows of a simulated tank together, [n, n]."""
    table = np.zeros((fish, fish), np.int64)
    for window in chosen:
        acts = windows.chases[windows.chases[:, 0] == window]
        np.add.at(table, (acts[:, 1], acts[:, 2]), 1)
    return table


def _ranked(table: NDArray[np.int64], labels: Sequence[str]) -> tuple[Rank, ...]:
    scores = normalised_davids_score(table)
    found = [
        Rank(label, float(scores[i]), int(table[i].sum()), int(table[:, i].sum()))
        for i, label in enumerate(labels)
    ]
    return tuple(sorted(found, key=lambda one: -one.score))


def _measures(
    table: NDArray[np.int64], sets: Sequence[NDArray[np.int64]], seed: int, tosses: int
) -> tuple[Measure, ...]:
    tossed = _tossed(table, seed, tosses)
    linear = linearity_test(table, randomisations=tosses, seed=seed)

    def one(name: str, measure: Callable[..., float], p_value: float | None = None) -> Measure:
        value = measure(table)
        if p_value is None:
            chance = [measure(other) for other in tossed]
            p_value = (1 + sum(other >= value - 1e-9 for other in chance)) / (len(chance) + 1)
        model = np.array([measure(other) for other in sets if other.any()])
        low, high = np.percentile(model, (2.5, 97.5)) if len(model) > 1 else (NAN, NAN)
        return Measure(name, value, p_value, float(low), float(high))

    return (
        one("linearity h'", improved_h, linear.p_right),
        one("steepness", steepness),
        one("directional consistency", directional_consistency),
    )


def _tossed(table: NDArray[np.int64], seed: int, tosses: int) -> list[Floats]:
    """Tables with as many acts in each pair, each act in a direction by a fair coin."""
    rng = generator(seed, "tossed directions")
    row, column = np.triu_indices(len(table), 1)
    acts = (table + table.T)[row, column]
    found = []
    for heads in rng.binomial(acts, 0.5, size=(tosses, len(acts))):
        one = np.zeros(table.shape)
        one[row, column], one[column, row] = heads, acts - heads
        found.append(one)
    return found
