"""Many comparisons at once: p values corrected for their number, and what is said of each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from .intervals import CONFIDENCE, Floats
from .paired import Difference

LEVEL = 1 - CONFIDENCE
CALMER, UNTOLD, WORSE = "calmer", "no difference seen", "worse"


def holm(p_values: ArrayLike) -> Floats:
    """P values corrected for the number of comparisons, whatever their dependence.

    The i-th smallest of m is multiplied by m - i + 1 and never put below a
    smaller one. The chance that any of the comparisons is wrongly told, at a
    level, stays below that level.

    Parameters
    ----------
    p_values : [m]; nan for a comparison that could not be made, which stays nan and is not counted.

    Returns
    -------
    [m] corrected values, 0..1.

    Raises
    ------
    ValueError
        For a value outside 0..1.

    Source: Holm1979.
    """
    raw = np.asarray(p_values, dtype=float)
    made = np.flatnonzero(np.isfinite(raw))
    if ((raw[made] < 0) | (raw[made] > 1)).any():
        raise ValueError(f"p values are {raw.tolist()}; use 0 to 1")
    order = made[np.argsort(raw[made], kind="stable")]
    corrected = np.full(raw.shape, np.nan)
    corrected[order] = np.minimum(np.maximum.accumulate(raw[order] * np.arange(len(order), 0, -1)), 1.0)
    return corrected


def verdict(difference: Difference, *, level: float = LEVEL, p_value: float | None = None) -> str:
    """One of "calmer", "no difference seen" and "worse".

    Parameters
    ----------
    level : p values up to it are told.
    p_value : the corrected one; that of the difference itself when None.

    Raises
    ------
    ValueError
        Unless 0 < level < 1.
    """
    if not 0 < level < 1:
        raise ValueError(f"level is {level}; use a number above 0 and below 1")
    p = difference.p_value if p_value is None else p_value
    if not p <= level:  # nan is not told either
        return UNTOLD
    return CALMER if difference.improved else WORSE


def verdicts(differences: Sequence[Difference], *, level: float = LEVEL) -> list[str]:
    """A verdict on each of several comparisons, corrected for their number with :func:`holm`."""
    corrected = holm([difference.p_value for difference in differences])
    return [
        verdict(difference, level=level, p_value=float(p))
        for difference, p in zip(differences, corrected, strict=True)
    ]
