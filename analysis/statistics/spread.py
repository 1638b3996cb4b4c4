"""Blocks of draws that are spread evenly, though only some combinations of the inputs are allowed.

Each block is a Latin hypercube over the inputs' own distributions: every part of equal weight is met once.
Which parts go together in a draw is found by exchanging two draws' values of one input, at first until every
draw is allowed, then as often again for nothing but that no combination is favoured.

Source: McKay1979 (Latin hypercubes); the search is the project's own.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .intervals import Floats

EXCHANGES = 100  # of every input in a block, while draws are not all allowed, and once more when they are


def blocks_of(
    sample: Floats, *, size: int, blocks: int, excess: Callable[[Floats], Floats], rng: np.random.Generator
) -> Floats:
    """Blocks of allowed draws, [kept blocks, size, inputs].

    Parameters
    ----------
    sample : [n, inputs] allowed draws; their distribution of each input is that of the blocks.
    size : draws a block.
    blocks : how many are tried; one whose draws cannot all be allowed is left out.
    excess : of draws [n, inputs], how far beyond what is allowed each is, 0 when it is allowed.
    """
    inputs = sample.shape[1]
    parts = rng.permuted(np.broadcast_to(np.arange(size)[None, :, None], (blocks, size, inputs)), axis=1)
    at = (parts + rng.random(parts.shape)) / size
    draws = np.stack([np.quantile(sample[:, k], at[..., k]) for k in range(inputs)], axis=-1)
    beyond = excess(draws.reshape(-1, inputs)).reshape(blocks, size)
    for _ in range(2 * EXCHANGES * inputs):
        _exchange(draws, beyond, excess, rng)
    kept: Floats = draws[beyond.max(axis=1) <= 0.0]
    return kept


def _exchange(
    draws: Floats, beyond: Floats, excess: Callable[[Floats], Floats], rng: np.random.Generator
) -> None:
    """In each block two draws exchange their values of an input, unless that makes the block worse."""
    blocks, size, inputs = draws.shape
    row = np.arange(blocks)
    first = rng.integers(size, size=blocks)
    second = (first + rng.integers(1, size, size=blocks)) % size
    column = rng.integers(inputs, size=blocks)
    pair = np.stack([draws[row, first], draws[row, second]], axis=1)
    pair[row, 0, column], pair[row, 1, column] = draws[row, second, column], draws[row, first, column]
    new = excess(pair.reshape(-1, inputs)).reshape(blocks, 2)
    better = new.sum(axis=1) <= beyond[row, first] + beyond[row, second]
    for k, place in enumerate((first, second)):
        draws[row[better], place[better]] = pair[better, k]
        beyond[row[better], place[better]] = new[better, k]
