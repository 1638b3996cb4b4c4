"""Where labels go so that none lies on another. Nothing here draws."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ROUNDS = 400
_GAP = 4.0  # pixels between two labels
_TURN = np.pi * (3.0 - np.sqrt(5.0))  # golden angle: labels of one place start in different directions


def spread(
    anchors: Floats, *, sizes: Floats, low: Floats, high: Floats, away: float = 60.0, bare: float = 44.0
) -> Floats:
    """Middles of labels near their anchors, inside a box, without overlap as far as there is room.

    Parameters
    ----------
    anchors, sizes : [k, 2] place that each label belongs to; its width and height, pixels
    low, high : [2] corners of the box
    away : how far from its anchor a label starts
    bare : side of a square round each anchor that labels leave free where there is room

    Returns
    -------
    [k, 2] pixels. The same input gives the same places.
    """
    angle = np.pi / 2 + _TURN * np.arange(len(anchors))
    middle = anchors + away * np.column_stack([np.cos(angle), np.sin(angle)])
    kept_bare = np.full(anchors.shape, bare)
    for obstacles in (True, False):
        for _ in range(_ROUNDS):
            middle = np.clip(middle, low + sizes / 2, np.maximum(low + sizes / 2, high - sizes / 2))
            push = _pushes(middle, sizes, middle, sizes, own=True)
            if obstacles:
                push = push + 0.5 * _pushes(middle, sizes, anchors, kept_bare, own=False)
            if not push.any():
                return middle
            middle = middle + push
    return np.clip(middle, low + sizes / 2, np.maximum(low + sizes / 2, high - sizes / 2))


def _pushes(middle: Floats, sizes: Floats, others: Floats, other_sizes: Floats, *, own: bool) -> Floats:
    """How far each label must move to part from the others, along the shorter way, [k, 2].

    ``own``: the others are the labels themselves, each gives way by half.
    """
    apart = middle[:, None, :] - others[None, :, :]
    overlap = (sizes[:, None, :] + other_sizes[None, :, :]) / 2 + _GAP - np.abs(apart)
    touching = (overlap > 0).all(axis=2)
    if own:
        np.fill_diagonal(touching, False)
    sideways = overlap[:, :, 0] < overlap[:, :, 1]
    order = np.where(np.arange(len(middle))[:, None] < np.arange(len(others))[None, :], -1.0, 1.0)
    push = np.zeros_like(apart)
    for axis, chosen in ((0, sideways), (1, ~sideways)):
        way = np.where(apart[:, :, axis] == 0, order, np.sign(apart[:, :, axis]))
        push[:, :, axis] = np.where(
            touching & chosen, (0.55 if own else 1.0) * way * overlap[:, :, axis], 0.0
        )
    return push.sum(axis=1)


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
