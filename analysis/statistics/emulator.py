"""A cheap stand-in for a slow model: what it comes to on the mean, at places where it was not run.

A figure is regressed on the places of the inputs in their ranges, their squares, and the products of the
pairs of inputs that matter most (ridge regression, each case foretold without its own fold). What it misses
beyond the luck of the runs is its own error.

Source: VernonEtAl2010 (what it is for); BarberEtAl2021, GolubEtAl1979 (the regression).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from . import ridge
from .intervals import Floats

PAIRED = 8  # inputs whose products are tried with each other


@dataclass(frozen=True)
class Emulator:
    """A fitted figure.

    Attributes
    ----------
    weights, offset : of the columns, the mean over the folds.
    pairs : the inputs whose products are columns.
    error : standard deviation of what it misses beyond luck, at least of what luck moves it by itself.
    luck : that of the runs it was fitted to.
    spread : that of the figure over all cases, luck and all.
    out : [n] misses of each case, foretold without its own fold.
    """

    weights: Floats
    offset: float
    pairs: tuple[tuple[int, int], ...]
    error: float
    luck: float
    spread: float
    out: Floats

    def foretold(self, places: Floats) -> Floats:
        """What the figure comes to on the mean; ``places``: [n, inputs] from 0 to 1."""
        found: Floats = columns_of(places, self.pairs) @ self.weights + self.offset
        return found

    @property
    def told(self) -> float:
        """The share of the figure's variance that is neither luck nor missed; 0 where all is luck."""
        beyond = self.spread**2 - self.luck**2
        return max(0.0, 1.0 - self.error**2 / beyond) if beyond > 0 else 0.0


def columns_of(places: Floats, pairs: tuple[tuple[int, int], ...]) -> Floats:
    """[n, columns] each input, its square, and the products of pairs, each with mean 0 over even places."""
    at = 2.0 * places - 1.0
    products = [at[:, i] * at[:, j] for i, j in pairs]
    return np.column_stack([at, 1.5 * at**2 - 0.5, *products])


def fit(places: Floats, figure: Floats, *, luck: float) -> Emulator:
    """Fit an emulator to what a figure came to.

    Parameters
    ----------
    places : [n, inputs] from 0 to 1.
    figure : [n].
    luck : standard deviation of the figure between runs of the same inputs.
    """
    pairs = tuple(itertools.combinations(_weightiest(places, figure), 2))
    columns = columns_of(places, pairs)
    fitted = ridge.fit(columns, figure)
    missed = float(np.mean(fitted.miss**2))
    return Emulator(
        weights=fitted.weights.mean(axis=0),
        offset=float(fitted.offset.mean()),
        pairs=pairs,
        error=math.sqrt(max(missed - luck**2, _own_variance(fitted, columns))),
        luck=luck,
        spread=float(figure.std()),
        out=fitted.miss,
    )


def _own_variance(fitted: ridge.Fitted, columns: Floats) -> float:
    """How far it would move if other cases had been run, on the mean: a jackknife over the folds."""
    said = columns @ fitted.weights.T + fitted.offset
    folds = said.shape[1]
    return float((folds - 1) * said.var(axis=1).mean())


def _weightiest(places: Floats, figure: Floats) -> list[int]:
    """The inputs that move the figure most by themselves."""
    weights = ridge.fit(columns_of(places, ()), figure).weights.mean(axis=0)
    inputs = places.shape[1]
    moved = weights[:inputs] ** 2 / 3.0 + weights[inputs:] ** 2 / 5.0  # variance over even places
    return sorted(np.argsort(moved)[-PAIRED:].tolist())
