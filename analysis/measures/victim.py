"""The victim: whom every question is about when nobody else is asked for. The one rule for all of them.

They are the fish described alike that lose most of their free swimming in the first TANKS simulated tanks
of the tank as it is, species that are watched or not. Those tanks are the same ones whatever is asked and
however many more are run, so no two questions are about different fish.

The same tanks then count among those that figures are made of. That the worst of a few kinds was picked in
them makes its loss look larger by a little (luck among kinds that are near each other, diluted by all the
other tanks); trials to choose in that nothing else is made of would let questions differ in their fish.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ...sim.run.table import Trials
from ..document.plain import called
from .groups import Group
from .rates import series, tally
from .registry import FREE, LOST
from .whom import FishGroup, FishGroupError, Kind, whom_of

TANKS = 16  # two blocks of draws, and as many as the least that relief and why take (assumption)
WORST_OFF = "the worst off in the tank as it is"

Lost = Callable[[tuple[str, ...]], Sequence[float]]  # labels -> what they lose in each tank, nan unjudged


def first_tanks(trials: int) -> range:
    """Numbers of the trials in which the victim is chosen, of a question that has so many."""
    return range(min(TANKS, trials))


def victim_of(kinds: Sequence[Kind], lost: Lost, *, watch: str) -> FishGroup:
    """The fish described alike that lose most, the first of equals.

    Parameters
    ----------
    kinds : all fish of the tank as it is.
    lost : what some of them lose in each of the tanks of :func:`first_tanks`.
    watch : the species that is watched, for saying so where the victim is of another.

    Raises
    ------
    FishGroupError
        When no fish is in the tank while it is measured.
    """
    found = [_mean(lost(kind.labels)) for kind in kinds]
    if not np.isfinite(found).any():
        nobody, wanted = "fish that are all out before measuring begins", "fish that stay until then"
        raise FishGroupError(nobody, wanted, "")
    worst = kinds[int(np.nanargmax(found))]
    they = "They fare" if len(worst.labels) > 1 else "It fares"
    beside = f"{they} worse than {called(watch, watch)}, the species that is watched."
    return whom_of(worst, why=WORST_OFF, beside="" if worst.species == watch else beside)


def victim_in(trials: Trials, kinds: Sequence[Kind]) -> FishGroup:
    """The victim in a table of the tank as it is; without the left-alone control those that swim free least.

    Raises FishGroupError; see :func:`victim_of`.
    """
    table = tally(trials)
    is_first = np.isin(table.arm.trial, first_tanks(trials.asked))
    here = is_first if is_first.any() else np.ones(len(is_first), dtype=bool)  # when it was broken off
    goal, sign = (FREE, -1.0) if table.run.alone is None else (LOST, 1.0)

    def lost(labels: tuple[str, ...]) -> Sequence[float]:
        values = series(table, measure=goal, group=Group(labels=frozenset(labels)))
        return list(sign * values[here])

    return victim_of(kinds, lost, watch=trials.watch)


def group_of(whom: FishGroup) -> Group:
    """The same fish as a group of a table."""
    return Group(species=whom.species, labels=frozenset(whom.labels), title=whom.name)


def _mean(values: Sequence[float]) -> float:
    known = [value for value in values if np.isfinite(value)]
    return float(np.mean(known)) if known else np.nan
