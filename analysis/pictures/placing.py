"""Where labels go so that none lies on another. Nothing here draws."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_STEP = 6.0  # pixels between places that are tried
_REACH = (180.0, 400.0, np.inf)  # pixels from its place within which a label is tried, one after the other
_GAP = 4.0  # pixels left free between two labels
_COVERING = 90.0  # pixels that a label is moved further rather than cover somebody's place


def spread(anchors: Floats, *, sizes: Floats, low: Floats, high: Floats, bare: float = 44.0) -> Floats:
    """Middles of labels near their anchors, inside a box, none on another as far as there is room.

    Labels are placed one after another, each at the nearest free place.

    Parameters
    ----------
    anchors, sizes : [k, 2] place that each label belongs to; its width and height, pixels
    low, high : [2] corners of the box
    bare : side of a square round each anchor that labels keep off where it costs them little way

    Returns
    -------
    [k, 2] pixels. The same input gives the same places.
    """
    middles = np.empty(anchors.shape)
    squares = np.full(anchors.shape, bare)
    for k, (anchor, size) in enumerate(zip(anchors, sizes, strict=True)):
        every = _places(low + size / 2, np.maximum(low + size / 2, high - size / 2))
        way = np.linalg.norm(every - anchor, axis=1)
        for reach in _REACH:
            places, cost = every[way <= reach], way[way <= reach]
            taken = _touching(places, size + _GAP, middles[:k], sizes[:k] + _GAP).any(axis=1)
            if not taken.all():
                places, cost = places[~taken], cost[~taken]
                break
        cost = cost + _COVERING * _touching(places, size, anchors, squares).sum(axis=1)
        middles[k] = places[np.argmin(cost)]
    return middles


def _places(low: Floats, high: Floats) -> Floats:
    """A grid of places that reaches from corner to corner, [p, 2]."""
    x, y = (np.linspace(a, b, max(2, int((b - a) / _STEP))) for a, b in zip(low, high, strict=True))
    return np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)


def _touching(places: Floats, size: Floats, others: Floats, sizes: Floats) -> NDArray[np.bool_]:
    """Which boxes of one size at the places touch which others, [p, k]."""
    apart = np.abs(places[:, None, :] - others[None, :, :])
    return np.asarray((apart < (size + sizes)[None, :, :] / 2).all(axis=2))


def spread_along(wanted: Floats, *, gap: float, low: float, high: float) -> Floats:
    """Places on a line near the wanted ones, at least ``gap`` apart, between low and high.

    Where there is no room for that gap they are spaced evenly.
    """
    count = len(wanted)
    gap = min(gap, (high - low) / max(count - 1, 1))
    order = np.argsort(wanted, kind="stable")
    steps = gap * np.arange(count)
    placed = np.empty(count)
    for k in range(count):
        earlier = placed[k - 1] if k else low
        placed[k] = np.clip(wanted[order[k]], earlier + (gap if k else 0.0), None)
    placed = np.minimum(placed, high - steps[::-1])
    result = np.empty(count)
    result[order] = placed
    return result
