"""The rows of a sweep by amount of rock, from which every figure is made."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ...measures.registry import BITES, FREE, HIDDEN, LOWER, MEASURES, PINNED, RECEIVED
from ...measures.row import TankRow, species_value
from ...statistics.intervals import Count, Estimate, Floats, count_estimate, estimate
from ...statistics.paired import Difference, paired_difference, paired_share
from .least import Tried

SWEPT = (PINNED, RECEIVED, HIDDEN, FREE, BITES)  # measures that are shown of each amount


class Table:
    """All rows of a sweep by amount of rock, in order of the trials.

    Parameters
    ----------
    rows : in any order; no two of one amount and trial.
    species : whose figures they are.
    amounts : K, how many amounts there are.
    fixed : nothing was drawn, so each trial stands for itself.
    """

    def __init__(self, rows: Iterable[TankRow], *, species: str, amounts: int, fixed: bool) -> None:
        ordered = sorted(rows, key=lambda row: (row.which, row.trial))
        self.species, self.fixed, self.amounts = species, fixed, amounts
        self._rows: list[list[TankRow]] = [[] for _ in range(amounts)]
        for row in ordered:
            self._rows[row.which].append(row)

    def run(self, which: int) -> int:
        """Simulated tanks at an amount."""
        return len(self._rows[which])

    def _column(self, which: int, name: str) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
        """Values, trials and guesses of the tanks in which the measure is known."""
        rows = self._rows[which]
        found = [species_value(row, measure=name, species=self.species) for row in rows]
        values = np.array(found, dtype=float)
        known = np.isfinite(values)
        trial = np.array([row.trial for row in rows], dtype=np.int64)
        draw = np.array([row.draw for row in rows], dtype=np.int64)
        return values[known], trial[known], draw[known]

    def tried(self, which: int) -> Tried:
        """The tanks that judge the species, with their independent units."""
        hits, trial, draw = self._column(which, PINNED)
        return Tried(hits > 0, trial if self.fixed else draw)

    def count(self, which: int) -> Count:
        """Tanks in which the species was pinned."""
        hits, _, draw = self._column(which, PINNED)
        return count_estimate(hits > 0, draw=draw, fixed=self.fixed)

    def estimate(self, which: int, *, name: str) -> Estimate:
        """Mean of one of the measures but PINNED over the tanks."""
        values, _, draw = self._column(which, name)
        return estimate(values, draw=draw, bounds=MEASURES[name].bounds, fixed=self.fixed)

    def difference(self, less: int, more: int, *, name: str) -> Difference:
        """A measure at ``more`` less the same at ``less``, in the trials that both have."""
        first, trial_first, _ = self._column(less, name)
        second, trial_second, draw = self._column(more, name)
        _, here, there = np.intersect1d(trial_first, trial_second, return_indices=True)
        compare = paired_share if name == PINNED else paired_difference
        return compare(
            second[there],
            base=first[here],
            draw=draw[there],
            fixed=self.fixed,
            lower_is_better=MEASURES[name].better == LOWER,
        )
