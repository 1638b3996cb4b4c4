"""What is independent of each other among trials: blocks of draws, draws, or trials.

Trials of one draw share everything that was drawn, and the draws of a block were placed evenly together
(:mod:`rockshy.sim.rules.support.draws`). So the blocks are independent; where these are few, intervals are
taken over draws instead, which is rather too wide.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...sim.rules.support.draws import BLOCK

ENOUGH_BLOCKS = 4  # with fewer the draws themselves give the narrower intervals (tests/placed_draws.py)


def units_of(draw: NDArray[np.int64], fixed: bool) -> NDArray[np.int64]:
    """The independent unit of each trial, numbered from 0 without gaps.

    It is the block of draws where there are ENOUGH_BLOCKS :func:`whole_blocks`; draws of another block go
    with one beside it. Otherwise it is that of :func:`draws_apart`.

    Parameters
    ----------
    draw : [t] number of the draw of each trial, as the simulator counts them.
    fixed : nothing was drawn, so each trial is independent.

    Source: McKay1979 (draws of one block depend on each other); Cochran1977 (clusters).
    """
    blocks = whole_blocks(draw)
    if fixed or len(blocks) < ENOUGH_BLOCKS:
        return draws_apart(draw, fixed)
    return np.maximum(np.searchsorted(blocks, draw // BLOCK, side="right") - 1, 0).astype(np.int64)


def whole_blocks(draw: NDArray[np.int64]) -> NDArray[np.int64]:
    """The blocks of draws of which at least half was run, ascending."""
    blocks, had = np.unique(np.unique(draw) // BLOCK, return_counts=True)
    return np.asarray(blocks[2 * had >= BLOCK], dtype=np.int64)


def draws_apart(draw: NDArray[np.int64], fixed: bool) -> NDArray[np.int64]:
    """Draws as units, numbered without gaps; trials when nothing was drawn or there is one draw only."""
    if fixed or len(np.unique(draw)) < 2:
        return np.arange(len(draw))
    return numbered(draw)


def numbered(labels: NDArray[np.int64]) -> NDArray[np.int64]:
    """Cluster labels as 0, 1, 2, ... without gaps, as ``bincount`` needs them."""
    return np.unique(labels, return_inverse=True)[1].astype(np.int64)
