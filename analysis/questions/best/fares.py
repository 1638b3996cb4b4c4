"""What is kept of one simulated tank of a plan: what each group of fish swims free, and when left alone.

A group is the fish of one species and one sex. All plans of a trial are held against the same fish left
alone: a male and a female of every species, since who else is there does not matter where nobody attacks
(:mod:`rockshy.analysis.measures.row` says how little).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ....sim.run.trials import Outcome

Group = tuple[str, str]  # species; male, female or unsexed
Alone = Mapping[Group, float]  # share of lit time that a fish swims free when nobody attacks


@dataclass(frozen=True)
class Fare:
    """Seconds swum free, and lit seconds, of each group of a tank."""

    free_s: Mapping[Group, float]
    lit_s: Mapping[Group, float]

    def kept(self, alone: Alone) -> dict[Group, float]:
        """Of the free swimming each group would have if left alone, what it keeps, as "lost" is defined."""
        return {
            group: self.free_s[group] / (self.lit_s[group] * _share(alone, group))
            for group in self.lit_s
            if self.lit_s[group] > 0 and _share(alone, group) > 0
        }


def fare_of(outcome: Outcome) -> Fare:
    """The fare of one simulated tank."""
    free, lit = _sums(outcome)
    return Fare(free, lit)


def alone_of(outcome: Outcome) -> Alone:
    """The yardstick of a trial, from the tank in which nobody attacks."""
    free, lit = _sums(outcome)
    return {group: free[group] / lit[group] for group in lit if lit[group] > 0}


def _sums(outcome: Outcome) -> tuple[dict[Group, float], dict[Group, float]]:
    free: dict[Group, float] = {}
    lit: dict[Group, float] = {}
    free_s, lit_s = np.asarray(outcome.columns["free_s"]), np.asarray(outcome.columns["lit_s"])
    for k, one in enumerate(outcome.people):
        group = one.species, one.sex
        free[group] = free.get(group, 0.0) + float(free_s[k])
        lit[group] = lit.get(group, 0.0) + float(lit_s[k])
    return free, lit


def _share(alone: Alone, group: Group) -> float:
    """Of fish whose sex is not known, the mean of both."""
    if group in alone:
        return alone[group]
    those = [share for (species, _), share in alone.items() if species == group[0]]
    return float(np.mean(those)) if those else 0.0
