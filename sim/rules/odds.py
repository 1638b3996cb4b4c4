"""The odds of a contest from size and experience, written once: as they are, and as a fish judges them."""

from __future__ import annotations

import math

from ..fish.shoal import Shoal
from .support.compiled import small

IN_FULL = 1.0  # the share of the other's experience that counts in what happens, whatever a fish knows of it


@small
def strength_odds(i: int, j: int, known: float, shoal: Shoal) -> float:
    """Log-odds that fish i beats fish j by size, kind and experience, wherever they are.

    ``known`` is the share of the other's experience that counts: IN_FULL in what happens, and less,
    ``p.known_experience``, in what fish i judges beforehand.

    Source: Wazlavek1989; deVries2009; Dugatkin1997; assumption (the share).
    """
    return shoal.pair.odds[i, j] + shoal.fish.experience[i] - known * shoal.fish.experience[j]


@small
def logistic(x: float) -> float:
    """1 / (1 + exp(-x)), without overflow. Source: computed (definition)."""
    if x < -40.0:
        return 0.0
    return 1.0 / (1.0 + math.exp(-x))
