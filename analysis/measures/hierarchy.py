"""Hierarchy: linearity, David's score, steepness and consistency.

Every function takes ``wins``, an [n, n] array: how often the animal of the row
won against (or chased) the one of the column. A pair without a single act is
*unknown*; a pair with equally many both ways is *tied*.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Index = Literal["D", "P"]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LinearityTest:
    """Result of :func:`linearity_test`; ``p_right`` is the chance of at least this h' by chance."""

    p_right: float
    p_left: float


def landau_h(wins: ArrayLike) -> float:
    """Landau's index of linearity, unknown and tied pairs counted as one half to each.

    h = 12 / (n^3 - n) x sum_i (V_i - (n - 1)/2)^2, V_i the number of animals that i dominates.

    Returns
    -------
    float : 0 (all alike) to 1 (linear).

    Raises
    ------
    ValueError
        If ``wins`` is not a square table of counts with at least two animals.

    Source: Landau1951; unknown pairs at one half as in deVries1998.
    """
    return float(_h_of_scores(_dominance(_checked(wins)).sum(axis=1)))


def improved_h(wins: ArrayLike) -> float:
    """Mean of Landau's h over all ways of filling the unknown pairs (h'), exact.

    h' = 12 / (n^3 - n) x [sum_i (b_i + u_i/2 - (n - 1)/2)^2 + sum_i u_i/4],
    b_i decided wins (a tie is one half), u_i unknown pairs of i: each filled
    pair adds the variance 1/4 of a fair coin to both of its animals.

    Returns
    -------
    float : 0 to 1.

    Source: deVries1998 defines h' by randomisation; this is its expectation.
    """
    table = _checked(wins)
    n = len(table)
    unknown = _unknown(table).sum(axis=1)
    return landau_h(table) + 12 / (n**3 - n) * float(unknown.sum()) / 4


def linearity_test(wins: ArrayLike, *, randomisations: int = 10_000, seed: int = 0) -> LinearityTest:
    """Improved test of linearity: is h' larger than in a random tournament?

    Each randomisation fills the unknown pairs by fair coins (h0) and draws all
    pairs by fair coins (hr); ``p_right`` is the share with hr >= h0 and
    ``p_left`` the share with hr <= h0.

    Raises
    ------
    ValueError
        For a bad table or fewer than one randomisation.

    Source: deVries1998.
    """
    table = _checked(wins)
    if randomisations < 1:
        raise ValueError(f"randomisations is {randomisations}; use 1 or more")
    rng = np.random.default_rng(seed)
    filled = _h_with_coins(_dominance(table), _unknown(table), randomisations, rng)
    everyone = ~np.eye(len(table), dtype=bool)
    at_random = _h_with_coins(np.zeros(table.shape), everyone, randomisations, rng)
    # Sums of halves are exact in floating point, but the factor in front is not.
    tolerance = 1e-9
    return LinearityTest(
        float(np.mean(at_random >= filled - tolerance)), float(np.mean(at_random <= filled + tolerance))
    )


def dyadic_shares(wins: ArrayLike, *, index: Index = "D") -> Floats:
    """Share of the acts of each pair that went from row to column, [n, n], 0 on the diagonal.

    P_ij = s_ij / n_ij; D_ij = (s_ij + 0.5) / (n_ij + 1), drawn towards one half
    where few acts were seen. Both are 0 for an unknown pair.

    Source: deVries2006.
    """
    table = _checked(wins)
    acts = table + table.T
    if index == "P":
        share = np.divide(table, acts, out=np.zeros_like(table), where=acts > 0)
    elif index == "D":
        share = np.where(acts > 0, (table + 0.5) / (acts + 1), 0.0)
    else:
        raise ValueError(f"index is {index!r}; use 'D' or 'P'")
    np.fill_diagonal(share, 0.0)
    return share


def davids_score(wins: ArrayLike, *, index: Index = "D") -> Floats:
    """David's score of each animal, [n]: DS = w + w2 - l - l2.

    w is the sum of an animal's dyadic shares, w2 the sum of the w of the
    others weighted by its shares against them; l and l2 the same for losses.

    Source: deVries2006.
    """
    share = dyadic_shares(wins, index=index)
    won, lost = share.sum(axis=1), share.sum(axis=0)
    return np.asarray(won + share @ won - lost - share.T @ lost)


def normalised_davids_score(wins: ArrayLike, *, index: Index = "D") -> Floats:
    """David's score brought to 0..n-1, [n]: (DS + n(n-1)/2) / n.

    Source: deVries2006.
    """
    score = davids_score(wins, index=index)
    n = len(score)
    return (score + n * (n - 1) / 2) / n


def steepness(wins: ArrayLike, *, index: Index = "D") -> float:
    """Steepness: how far normalised David's score falls from rank to rank (least squares), 0..1.

    Source: deVries2006.
    """
    ordered = np.sort(normalised_davids_score(wins, index=index))
    return float(np.polyfit(np.arange(len(ordered)), ordered, 1)[0])


def directional_consistency(wins: ArrayLike) -> float:
    """Directional consistency index (H - L) / (H + L); nan when there was no act at all.

    H counts the acts of each pair in its more frequent direction, L those in the other.

    Source: van Hooff and Wensing (1987), from memory; value for Nelissen1985 computed from its table.
    """
    table = _checked(wins)
    acts = float(table.sum())
    if acts == 0:
        return float("nan")
    return float(np.abs(table - table.T).sum()) / 2 / acts


def _h_of_scores(dominated: Floats) -> Floats:
    n = dominated.shape[-1]
    return np.asarray(12 / (n**3 - n) * ((dominated - (n - 1) / 2) ** 2).sum(axis=-1))


def _h_with_coins(known: Floats, tossed: NDArray[np.bool_], times: int, rng: np.random.Generator) -> Floats:
    """Landau's h of ``known`` with the pairs marked in ``tossed`` decided by fair coins, [times]."""
    row, column = np.nonzero(np.triu(tossed))
    base = np.where(tossed, 0.0, known).sum(axis=1)
    heads = rng.integers(0, 2, size=(times, len(row)))
    into_row, into_column = np.eye(len(known))[row], np.eye(len(known))[column]
    return _h_of_scores(base + heads @ into_row + (1 - heads) @ into_column)


def _dominance(table: Floats) -> Floats:
    above = np.where(table > table.T, 1.0, np.where(table == table.T, 0.5, 0.0))
    np.fill_diagonal(above, 0.0)
    return above


def _unknown(table: Floats) -> NDArray[np.bool_]:
    return np.asarray((table + table.T == 0) & ~np.eye(len(table), dtype=bool))


def _checked(wins: ArrayLike) -> Floats:
    table = np.asarray(wins, dtype=float)
    if table.ndim != 2 or table.shape[0] != table.shape[1] or len(table) < 2:
        raise ValueError(f"wins has the shape {table.shape}; use a square table of two or more animals")
    if not np.isfinite(table).all() or (table < 0).any():
        raise ValueError("wins holds a number below 0, nan or inf; use counts of 0 and more")
    if np.diagonal(table).any():
        raise ValueError("wins has an animal that wins against itself; the diagonal must be 0")
    return table
