"""What a figure is, judged from others that go along with it: ridge regression with intervals that hold.

The weights belong to standardised columns; how strongly they are held down is chosen in each fold anew by
generalised cross-validation. The interval is CV+: each case is foretold without its own fold, and both that
miss and the spread of the folds' answers go into it. It needs no shape of the errors, only that what is
asked of is a case like the others; it holds at least 1 - 2 (1 - level), and about ``level`` as a rule.

Source: BarberEtAl2021 (CV+); GolubEtAl1979 (generalised cross-validation).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .intervals import Floats, Interval

FOLDS = 16
LEVEL = 0.9
_PENALTIES = np.geomspace(0.1, 1e4, 26)


@dataclass(frozen=True)
class Fitted:
    """Folds of n cases with p columns, fitted to one figure.

    Attributes
    ----------
    fold : [n] the fold of each case.
    weights, offset : [k, p] and [k] of the fit that has not seen fold k.
    miss : [n] how far each case was foretold amiss by the fit without its fold.
    """

    fold: np.ndarray
    weights: Floats
    offset: Floats
    miss: Floats

    def foretold(self, at: Floats) -> Floats:
        """What each fit says of a case, [k]; ``at``: [p]."""
        return self.weights @ at + self.offset

    def middle(self, at: Floats) -> float:
        """What the fits say together."""
        return float(np.median(self.foretold(at)))

    def interval(self, at: Floats, *, level: float = LEVEL) -> Interval:
        """Lower and upper end for a case like the others; infinite where there are too few of them."""
        each = self.foretold(at)[self.fold]
        size = np.abs(self.miss)
        return -_upper(size - each, level), _upper(each + size, level)

    def width(self, *, level: float = LEVEL) -> float:
        """How wide the interval is as a rule."""
        return 2.0 * _upper(np.abs(self.miss), level)


def fit(
    columns: Floats, figure: Floats, *, folds: int = FOLDS, case: NDArray[np.int64] | None = None
) -> Fitted:
    """Fit a figure fold by fold.

    Parameters
    ----------
    columns : [n, p] what the figure is judged by.
    figure : [n].
    folds : case i is in fold i modulo as many.
    case : [n] which case each row is of, where a case has several rows; all of them are in one fold.
    """
    case = np.arange(len(figure)) if case is None else case
    fold = case % min(folds, int(case.max()) + 1)
    parts = [_weights(columns[fold != k], figure[fold != k]) for k in range(fold.max() + 1)]
    weights, offset = np.stack([one for one, _ in parts]), np.array([one for _, one in parts])
    return Fitted(fold, weights, offset, figure - (weights[fold] * columns).sum(axis=1) - offset[fold])


def _weights(columns: Floats, figure: Floats) -> tuple[Floats, float]:
    """Weights and offset with the penalty of the least generalised cross-validation error."""
    centre, scale = columns.mean(axis=0), columns.std(axis=0)
    scale = np.where(scale > 1e-9, scale, np.inf)
    middle = float(figure.mean())
    left, size, right = np.linalg.svd((columns - centre) / scale, full_matrices=False)
    along, n = left.T @ (figure - middle), len(figure)
    beyond = float(((figure - middle) ** 2).sum() - (along**2).sum())
    kept = size**2 / (size**2 + _PENALTIES[:, None])  # [penalties, directions]
    error = ((1.0 - kept) ** 2 * along**2).sum(axis=1) + max(beyond, 0.0)
    best = int(np.argmin(error / (n - 1.0 - kept.sum(axis=1)) ** 2))
    shrunk = np.divide(kept[best], size, out=np.zeros_like(size), where=size > 1e-9)
    weights = right.T @ (shrunk * along) / scale
    return weights, middle - float(weights @ centre)


def _upper(values: Floats, level: float) -> float:
    """The value that the next of such values stays under with the chance of the level."""
    rank = math.ceil(level * (len(values) + 1) - 1e-9)
    return float(np.sort(values)[rank - 1]) if rank <= len(values) else math.inf
