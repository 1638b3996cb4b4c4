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
NAMED = "named in the scenario"  # why a species is watched that the file names; see run/set_ups.watched
WORST_OFF = "the worst off in the tank as it is"

Lost = Callable[[tuple[str, ...]], Sequence[float]]  # labels -> what they lose in each tank, nan unjudged


def first_tanks(trials: int) -> range:
    """Numbers of the trials in which the victim is chosen, of a question that has so many."""
    return range(min(TANKS, trials))


def victim_of(kinds: Sequence[Kind], lost: Lost, *, watch: str | None) -> FishGroup:
    """The fish described alike that lose most, the first of equals.

    Parameters
    ----------
    kinds : all fish of the tank as it is.
    lost : what some of them lose in each of the tanks of :func:`first_tanks`.
    watch : the species that the file watches, said where the victim is of another; None: it names none.

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
    if watch is None or watch == worst.species:
        return whom_of(worst, why=WORST_OFF)
    return whom_of(worst, why=WORST_OFF, beside=f"The file watches {called(watch, watch)}; they fare better.")


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

    named = trials.watch_reason == NAMED
    return victim_of(kinds, lost, watch=trials.watch if named else None)


def group_of(whom: FishGroup) -> Group:
    """The same fish as a group of a table."""
    return Group(species=whom.species, labels=frozenset(whom.labels), title=whom.name)


def _mean(values: Sequence[float]) -> float:
    known = [value for value in values if np.isfinite(value)]
    return float(np.mean(known)) if known else np.nan
