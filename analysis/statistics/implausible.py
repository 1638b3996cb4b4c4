"""What cannot be: inputs whose figures lie too far from what was published, whatever is allowed for.

A figure's implausibility is how far its emulated mean lies outside its margin, in standard deviations of what
is not known: the emulator's error and an allowance for what the model leaves out. The spread of what was
published is the margin itself. Three deviations rule out, since whatever the shape of an error with one peak
95 % of it lies within.

Source: VernonEtAl2010 (implausibility, waves, an allowance for the model); AndrianakisEtAl2015 (for models
with luck); Pukelsheim1994 (three deviations).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .emulator import Emulator
from .intervals import Floats

CUT = 3.0


@dataclass(frozen=True)
class Target:
    """What a figure should be: from ``low`` to ``high``, in the figure's unit, give or take ``allowance``."""

    low: float
    high: float
    allowance: float

    def beyond(self, values: Floats) -> Floats:
        """How far values lie outside, in the figure's unit; 0 within."""
        found: Floats = np.maximum(np.maximum(self.low - values, values - self.high), 0.0)
        return found


@dataclass(frozen=True)
class Wave:
    """Emulators of the figures that count, and what each should be."""

    emulators: Sequence[Emulator]
    targets: Sequence[Target]

    def each(self, places: Floats) -> Floats:
        """[n, figures] the implausibility of each figure at ``places``, [n, inputs] from 0 to 1."""
        columns = []
        for emulator, target in zip(self.emulators, self.targets, strict=True):
            unknown = np.hypot(emulator.error, target.allowance)
            columns.append(target.beyond(emulator.foretold(places)) / unknown)
        return np.column_stack(columns)

    def worst(self, places: Floats) -> Floats:
        """[n] that of the figure that is furthest out."""
        found: Floats = self.each(places).max(axis=1)
        return found


def worst_of(waves: Sequence[Wave], places: Floats) -> Floats:
    """[n] the largest implausibility over waves."""
    found: Floats = np.max([wave.worst(places) for wave in waves], axis=0)
    return found


def survivors(
    waves: Sequence[Wave], *, inputs: int, wanted: int, rng: np.random.Generator, cut: float = CUT
) -> tuple[Floats, float]:
    """Places that no wave rules out, spread evenly over what is left, and which share of all that is.

    Parameters
    ----------
    inputs : number of inputs.
    wanted : places asked for; fewer where not even one in some ten thousand is left.
    """
    kept: list[Floats] = []
    tried = 0
    while tried < MOST_TRIED and sum(map(len, kept)) < wanted:
        places = rng.random((BATCH, inputs))
        tried += BATCH
        kept.append(places[worst_of(waves, places) <= cut])
    found = np.concatenate(kept)
    return found[:wanted], len(found) / tried


BATCH, MOST_TRIED = 20_000, 4_000_000
