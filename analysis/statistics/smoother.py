"""Draws moved by what was seen: one update of an ensemble smoother.

Each member is moved by how far its own made-up observation lies from the real one, along the regression of
its values on the observations over all members. The luck of an observation is in the made-up ones, so none
is added. Where members are few, small correlations are luck: a value is moved by those observations alone
with which it goes along clearly.

Source: Evensen2018 (the update; cutting small correlations is common practice, no source).
"""

from __future__ import annotations

import numpy as np

from .intervals import Floats
from .misfit import shrunk

CUT = 3.0  # times the standard error of a correlation of nothing, 1 / sqrt(n)


def smoothed(values: Floats, observed: Floats, seen: Floats, *, cut: float = CUT) -> Floats:
    """The members after the update.

    Parameters
    ----------
    values : [n, m] what is to be moved; about normal over the members.
    observed : [n, p] what each member made up.
    seen : [p] what was really seen.
    cut : see ``CUT``; 0 cuts nothing.

    Returns
    -------
    [n, m]
    """
    centre, scale = observed.mean(axis=0), observed.std(axis=0, ddof=1)
    varies = scale > 1e-9
    z = ((observed - centre) / np.where(varies, scale, 1.0))[:, varies]
    off = ((seen - centre) / np.where(varies, scale, 1.0))[varies] - z
    n = len(values)
    inner = values - values.mean(axis=0)
    together = inner.T @ z / (n - 1)  # [m, p]
    spread = np.maximum(values.std(axis=0, ddof=1), 1e-12)
    clear = np.abs(together) / spread[:, None] >= cut / np.sqrt(n)
    covariance = shrunk(z)
    moved = values.copy()
    for k in np.flatnonzero(clear.any(axis=1)):
        used = clear[k]
        gain = np.linalg.solve(covariance[np.ix_(used, used)], together[k, used])
        moved[:, k] += off[:, used] @ gain
    return moved
