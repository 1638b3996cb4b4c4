"""What is kept of each simulated tank of a sweep: a small row, from which every figure is made."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.run.table import AS_STOCKED, LEFT_ALONE
from ....sim.run.trials import Job, Outcome, table_of
from ....sim.scenario.scenario import Scenario
from ...measures.pinned import pinned
from ...measures.rates import RATE, SHARE, Group, series, tally
from ...statistics.intervals import NAN, Count, Estimate, count_estimate, estimate
from ...statistics.paired import Difference, paired_difference, paired_share
from .least import Tried

ARMS = (AS_STOCKED, LEFT_ALONE)
PINNED, RECEIVED, HIDDEN, FREE, BITES = "pinned", "received", "hidden", "free", "bites"
MEASURES = (PINNED, RECEIVED, HIDDEN, FREE, BITES)
BOUNDS = {RECEIVED: RATE, HIDDEN: SHARE, FREE: SHARE, BITES: RATE}

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """One species in one simulated tank."""

    which: int  # place of the amount of rock
    trial: int
    guess: int
    pinned: float  # 1 pinned, 0 not, nan where none of its fish counts
    received: float  # chases received per fish and lit hour, model scale
    hidden: float  # share of lit time
    free: float  # share of lit time swimming free
    bites: float  # received per fish and lit hour, model scale


def seen_of(scenario: Scenario, job: Job, outcomes: tuple[Outcome, ...], *, species: str) -> Seen:
    """The row of a finished job, by the same definitions as every other answer."""
    trials = table_of(scenario, [outcomes], asked=1)
    held, judged = pinned(trials).species_pinned(species=species)
    table = tally(trials.arms[AS_STOCKED])
    values = {name: float(series(table, measure=name, group=Group(species=species))[0]) for name in BOUNDS}
    values[PINNED] = float(held[0]) if judged[0] else NAN
    return Seen(which=job.which, trial=job.trial, guess=outcomes[0].guess, **values)


class Table:
    """All rows of a sweep by amount of rock, in order of the trials.

    Parameters
    ----------
    rows : in any order; no two of one amount and trial.
    amounts : K, how many amounts there are.
    fixed : nothing was drawn, so each trial stands for itself.
    """

    def __init__(self, rows: Iterable[Seen], *, amounts: int, fixed: bool) -> None:
        ordered = sorted(rows, key=lambda row: (row.which, row.trial))
        self.fixed = fixed
        self.amounts = amounts
        self._rows: list[list[Seen]] = [[] for _ in range(amounts)]
        for row in ordered:
            self._rows[row.which].append(row)

    def run(self, which: int) -> int:
        """Simulated tanks at an amount."""
        return len(self._rows[which])

    def _column(self, which: int, name: str) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
        """Values, trials and guesses of the tanks in which the measure is known."""
        rows = [row for row in self._rows[which] if np.isfinite(getattr(row, name))]
        return (
            np.array([getattr(row, name) for row in rows], dtype=float),
            np.array([row.trial for row in rows], dtype=np.int64),
            np.array([row.guess for row in rows], dtype=np.int64),
        )

    def tried(self, which: int) -> Tried:
        """The tanks that judge the species, with their independent units."""
        hits, trial, guess = self._column(which, PINNED)
        return Tried(hits > 0, trial if self.fixed else guess)

    def count(self, which: int) -> Count:
        """Tanks in which the species was pinned."""
        hits, _, guess = self._column(which, PINNED)
        return count_estimate(hits > 0, guess=guess, fixed=self.fixed)

    def estimate(self, which: int, *, name: str) -> Estimate:
        """Mean of one of the measures but PINNED over the tanks."""
        values, _, guess = self._column(which, name)
        return estimate(values, guess=guess, bounds=BOUNDS[name], fixed=self.fixed)

    def difference(self, less: int, more: int, *, name: str) -> Difference:
        """A measure at ``more`` less the same at ``less``, in the trials that both have."""
        first, trial_first, _ = self._column(less, name)
        second, trial_second, guess = self._column(more, name)
        _, here, there = np.intersect1d(trial_first, trial_second, return_indices=True)
        compare = paired_share if name == PINNED else paired_difference
        return compare(
            second[there],
            base=first[here],
            guess=guess[there],
            fixed=self.fixed,
            lower_is_better=name != FREE,
        )
