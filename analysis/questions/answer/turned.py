"""Unsexed fish by what they turned out to be, male or female, which is drawn in each simulated tank."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED, Trials
from ...measures.groups import SEXES, Group, members
from ...measures.rates import Tally, series
from ...measures.registry import LOST
from ...statistics.intervals import estimate

if TYPE_CHECKING:
    from .answer import Portrait


@dataclass(frozen=True)
class Turned:
    """Unsexed fish that are alike: those that turned out male, and those that turned out female."""

    label: str  # of the portrait of all of them
    male: Portrait
    female: Portrait
    told: bool  # what they lose differs beyond doubt, tank by tank

    @property
    def both(self) -> tuple[Portrait, Portrait]:
        return self.male, self.female


def turned_of(
    trials: Trials,
    table: Tally,
    portraits: Sequence[Portrait],
    *,
    draw: Callable[[Group], Portrait],
    fixed: bool,
) -> tuple[Turned, ...]:
    """The two of each portrait whose fish have both sexes; in the order of the portraits.

    Parameters
    ----------
    table : of the tank as stocked.
    draw : makes a portrait.
    """
    arm = trials.arms[AS_STOCKED]
    found = []
    for one in portraits:
        groups = [
            Group(species=one.species, sex=sex, labels=frozenset(one.labels), title=f"{one.label}, {sex}")
            for sex in SEXES
        ]
        if not all(members(arm, group=group).any() for group in groups):
            continue
        male, female = (replace(draw(group), pinned={}) for group in groups)
        found.append(Turned(one.label, male, female, _is_told(table, groups, fixed)))
    return tuple(found)


def _is_told(table: Tally, groups: Sequence[Group], fixed: bool) -> bool:
    """Whether males and females of one tank differ in what they lose, over the tanks that have both."""
    if table.run.alone is None:
        return False
    male, female = (series(table, measure=LOST, group=group) for group in groups)
    found = estimate(male - female, draw=table.arm.draw, fixed=fixed)
    return bool(found.low > 0 or found.high < 0)
