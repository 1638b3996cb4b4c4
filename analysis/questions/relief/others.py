"""Whether a change that helps some fish makes another worse off.

Asked of the fish described alike, of each species, and of the worst-off fish of each tank, which tells
where another fish has become the one that all chase. Corrected for the number of questions. Source:
Holm1979.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...measures.registry import LOST, PINNED_FISH
from ...measures.row import TankRow, bounds_over, value_of, worst_loss
from ...measures.whom import FishGroup, Kind
from ...statistics.intervals import CONFIDENCE, Floats
from ...statistics.multiple import holm
from ...statistics.paired import Difference, paired_difference, paired_share

WORST = "the worst-off fish of each tank, whichever it is"
Pair = tuple[TankRow, TankRow]  # a change and the base, in one trial


@dataclass(frozen=True)
class Other:
    """One goal of other fish: means over the trials, the paired difference, and its corrected p value."""

    name: str
    goal: str
    before: float
    after: float
    difference: Difference
    p_corrected: float

    @property
    def is_worse(self) -> bool:
        """Whether it is worse off beyond doubt."""
        return self.difference.value > 0 and self.p_corrected <= 1 - CONFIDENCE


def on_others(
    pairs: Sequence[Pair], *, kinds: Iterable[Kind], whom: FishGroup, fixed: bool
) -> tuple[Other, ...]:
    """What a change does to all but the fish that are to be helped.

    Parameters
    ----------
    pairs : the rows of the change and of the base; only fish that are in both are looked at.
    kinds : the fish described alike.
    whom : those that are to be helped; no "other" fish, but they can be the worst off of a tank.

    Returns
    -------
    One for each group of fish and goal, those without a value left out; p values corrected for all of them.
    """
    found = []
    for name, labels in _groups(kinds, whom).items():
        for goal in (LOST, PINNED_FISH):
            values = [_values(pair, goal, labels) for pair in pairs]
            found.append(_other(name, goal, values, pairs, fixed))
    worst = [_worst(pair) for pair in pairs]
    found.append(_other(WORST, LOST, worst, pairs, fixed))
    known = [one for one in found if one.difference.trials > 1]
    corrected = holm([one.difference.p_value for one in known])
    return tuple(replace(one, p_corrected=float(p)) for one, p in zip(known, corrected, strict=True))


def _groups(kinds: Iterable[Kind], whom: FishGroup) -> dict[str, tuple[str, ...]]:
    """The kinds, and the species that are of several kinds; those that are to be helped are left out."""
    kinds = list(kinds)
    groups = {kind.name: kind.labels for kind in kinds}
    for key in dict.fromkeys(kind.species for kind in kinds):
        of_species = [kind for kind in kinds if kind.species == key]
        if len(of_species) > 1:
            groups[f"{key}, all of them"] = tuple(label for kind in of_species for label in kind.labels)
    return {name: labels for name, labels in groups.items() if set(labels) != set(whom.labels)}


def _values(pair: Pair, goal: str, labels: Iterable[str]) -> tuple[float, float]:
    new, old = pair
    both = new.inside & old.inside & set(labels)
    return (value_of(new, measure=goal, labels=both), value_of(old, measure=goal, labels=both))


def _worst(pair: Pair) -> tuple[float, float]:
    new, old = pair
    both = new.inside & old.inside
    return worst_loss(new, labels=both), worst_loss(old, labels=both)


def _other(
    name: str, goal: str, values: Sequence[tuple[float, float]], pairs: Sequence[Pair], fixed: bool
) -> Other:
    new, old = np.array(values, dtype=float).reshape(-1, 2).T
    difference = compared(new, base=old, pairs=pairs, goal=goal, fixed=fixed)
    both = np.isfinite(new) & np.isfinite(old)
    after, before = (float(one[both].mean()) if both.any() else np.nan for one in (new, old))
    return Other(name, goal, before, after, difference, np.nan)


def compared(new: Floats, *, base: Floats, pairs: Sequence[Pair], goal: str, fixed: bool) -> Difference:
    """The paired difference of one goal; of shares of tanks where the goal is whether it happened."""
    draw = np.array([old.draw for _, old in pairs], dtype=np.int64)
    known = np.concatenate([new[np.isfinite(new)], base[np.isfinite(base)]])
    if goal == PINNED_FISH and np.isin(known, (0.0, 1.0)).all():
        return paired_share(new, base=base, draw=draw, fixed=fixed)
    furthest = furthest_apart(goal, pairs)
    return paired_difference(new, base=base, draw=draw, bounds=(-furthest, furthest), fixed=fixed)


def furthest_apart(goal: str, pairs: Sequence[Pair]) -> float:
    """How far two means of a goal can differ over these trials; both have one yardstick."""
    low, high = bounds_over(goal, rows=[old for _, old in pairs])
    return high - low
