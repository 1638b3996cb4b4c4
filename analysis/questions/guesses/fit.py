"""An additive fit of an answer from the screening, used as a control variate.

Its own shares are known exactly, so only what the answer does beyond it is estimated from the rows. It does
not rest on them, so that the shares stay unbiased however bad it is; the better it is, the narrower their
intervals.

Source: control variates: textbook. Blocks are shrunk by 1 - 1/F, so that luck in the fit does no harm (the
positive-part rule of James and Stein, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...statistics.intervals import Floats
from .indices import Known, Points


@dataclass(frozen=True)
class Additive:
    """A sum of one part a guess: a straight line and a bend for each of its inputs."""

    guesses: tuple[int, ...]
    columns: tuple[NDArray[np.int64], ...]  # inputs of each of these guesses
    weights: tuple[Floats, ...]  # of the lines, then of the bends, of each of these guesses

    def part(self, place: int, points: Floats) -> Floats:
        """The part of one of its guesses at points [..., inputs]; its mean over a uniform draw is 0."""
        return np.asarray(bent(points[..., self.columns[place]]) @ self.weights[place])

    def variance(self, place: int) -> float:
        """Exact variance of a part: lines and bends are uncorrelated, each of variance 1."""
        return float((self.weights[place] ** 2).sum())


def bent(uniform: Floats) -> Floats:
    """A straight line and a bend for each column [..., inputs]: uncorrelated, mean 0, variance 1."""
    straight = 2.0 * uniform - 1.0
    lines, bends = np.sqrt(3.0) * straight, np.sqrt(5.0) * (1.5 * straight**2 - 0.5)
    return np.concatenate([lines, bends], axis=-1)


def fitted(
    points: Floats, values: Floats, *, guesses: Sequence[int], columns: Sequence[NDArray[np.int64]]
) -> Additive:
    """Fit the parts of some guesses to the answers at points.

    Parameters
    ----------
    points : [points, inputs] numbers from 0 to 1.
    values : [points]
    guesses : which have a part.
    columns : inputs of every guess.
    """
    blocks = [bent(points[:, columns[k]]) for k in guesses]
    whole = np.concatenate([np.ones((len(values), 1)), *blocks], axis=1)
    found = np.linalg.lstsq(whole, values, rcond=None)[0]
    unexplained = ((values - whole @ found) ** 2).sum() / max(len(values) - whole.shape[1], 1)
    ends = 1 + np.cumsum([block.shape[1] for block in blocks])
    weights = []
    for block, end in zip(blocks, ends, strict=True):
        raw = found[end - block.shape[1] : end]
        f = len(values) * float((raw**2).mean()) / unexplained if unexplained > 0 else np.inf
        weights.append(raw * max(0.0, 1.0 - 1.0 / f) if f > 0 else raw * 0.0)
    return Additive(tuple(guesses), tuple(columns[k] for k in guesses), tuple(weights))


def known_of(fit: Additive, design: Points) -> Known:
    """What a fit tells about the pages of a design; a part belongs to the page that moves its inputs."""
    rows, pages = len(design.a), len(design.columns)
    own_a, own_b, variance = np.zeros((pages, rows)), np.zeros((pages, rows)), np.zeros(pages)
    for place, columns in enumerate(fit.columns):
        page = next(k for k, own in enumerate(design.columns) if np.isin(columns, own).all())
        own_a[page] += fit.part(place, design.a)
        own_b[page] += fit.part(place, design.b)
        variance[page] += fit.variance(place)
    return Known(own_a, own_b, variance)
