"""Who is pinned and what a fish keeps of its swimming, by the record of one day as stocked and left alone."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

PLACE_SHARE = 0.8  # of an hour within one place, at least: a pinned hour
OWNER_SHARE = 0.5  # of an hour holding a territory, less than
HOURS_SHARE = 0.5  # of the lit time that lies in pinned hours, at least: a pinned fish
FREEDOM_RATIO = 0.5  # of the swimming outside the place when left alone, at most


def pinned_on(hours: Any, alone: Any) -> Bools:
    """[n] who is pinned, by hours of one day, [n, h], as stocked and left alone.

    The definition of the answers, ``analysis/measures/pinned.py``, which takes its numbers from here.
    """
    held = (hours.lit > 0) & (hours.owner < OWNER_SHARE * hours.lit) & (hours.share >= PLACE_SHARE)
    in_place = _per(np.where(held, hours.lit, 0).sum(axis=1), hours.lit.sum(axis=1)) >= HOURS_SHARE
    outside = _per(hours.outside.sum(axis=1), hours.lit.sum(axis=1))
    freedom = _per(alone.outside.sum(axis=1), alone.lit.sum(axis=1))
    return in_place & (freedom > 0) & (outside <= FREEDOM_RATIO * freedom)


def kept_on(hours: Any, alone: Any) -> Floats:
    """[n] share of its free swimming if left alone that each fish keeps; nan where it is not known."""
    free = _per(hours.free.sum(axis=1), hours.lit.sum(axis=1))
    return _per(free, _per(alone.free.sum(axis=1), alone.lit.sum(axis=1)))


def _per(top: Any, bottom: Any) -> Floats:
    found = np.full(len(top), np.nan)
    return np.divide(top, bottom, out=found, where=np.asarray(bottom) > 0)
