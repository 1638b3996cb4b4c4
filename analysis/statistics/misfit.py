"""Whether a case may be one of many others: its distance from their middle, measured by how they spread.

A distance is Mahalanobis's over standardised figures, their covariance drawn towards independence as far
as so few cases ask for. It is taken over all figures, and once more over a few sums of them where such are
given: what shifts many figures a little, all the same way, is lost among many figures and plain in their
sum. What is far is not read off a distribution: each of the others is measured in the same way, without
itself, and so is the worse of the two ranks.

Source: LedoitWolf2004 (the shrinkage).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .intervals import Floats

_SLACK = 1e-9


@dataclass(frozen=True)
class Misfit:
    """How far out one case lies among n others, over p figures.

    Attributes
    ----------
    distances : [d] of the case; ``others``: [n, d] of each of the others from the rest.
    apart : [p] how far each figure lies from the others' mean, in their standard deviations.
    against : [p] the same, from what the other figures of the case let expect.
    """

    distances: Floats
    others: Floats
    apart: Floats
    against: Floats

    @property
    def beyond(self) -> float:
        """Share of the others that lie at least as far out, the case itself counted as one more.

        As far out: by the distance in which each stands out most.
        """
        many = len(self.others)
        own = (1.0 + (self.others >= self.distances - _SLACK).sum(axis=0)) / (many + 1.0)
        ranks = (self.others[None] >= self.others[:, None] - _SLACK).sum(axis=1) / many
        return (1.0 + float((ranks.min(axis=1) <= own.min() + _SLACK).sum())) / (many + 1.0)


def misfit(others: Floats, case: Floats, *, sums: Floats | None = None) -> Misfit:
    """Measure a case [p] against others [n, p]; figures in which the others do not differ are left out.

    ``sums``: [q, p] weights of sums of figures, over which the distance is taken once more.
    """
    far, each, own, pull = _measured(others, case)
    distances, every = [far], [each]
    if sums is not None:
        far, each, *_ = _measured(others @ sums.T, sums @ case)
        distances, every = [*distances, far], [*every, each]
    return Misfit(np.array(distances), np.column_stack(every), own, pull)


def _measured(others: Floats, case: Floats) -> tuple[float, Floats, Floats, Floats]:
    """Distance of the case, those of each other, and per figure how far apart and against the rest."""
    centre, scale = others.mean(axis=0), others.std(axis=0, ddof=1)
    varies = scale > 1e-9
    scale = np.where(varies, scale, np.inf)
    z, own = (others - centre) / scale, (case - centre) / scale
    inverse = np.linalg.inv(shrunk(z[:, varies]))
    each = [_distance(np.delete(z[:, varies], i, axis=0), z[i, varies]) for i in range(len(z))]
    pull = np.zeros(len(case))
    pull[varies] = inverse @ own[varies] / np.sqrt(np.diag(inverse))
    return _distance(z[:, varies], own[varies]), np.array(each), own, pull


def _distance(others: Floats, case: Floats) -> float:
    off = case - others.mean(axis=0)
    return float(np.sqrt(off @ np.linalg.solve(shrunk(others), off)))


def shrunk(values: Floats) -> Floats:
    """Covariance of values [n, p], drawn towards a multiple of the identity; [p, p]."""
    off = values - values.mean(axis=0)
    n, p = off.shape
    sample = off.T @ off / n
    target = np.trace(sample) / p * np.eye(p)
    distance = ((sample - target) ** 2).sum()
    if distance <= 0:
        return target
    noise = (((off**2).sum(axis=1) ** 2).sum() / n - (sample**2).sum()) / n
    share = float(np.clip(noise / distance, 0.0, 1.0))
    found: Floats = share * target + (1.0 - share) * sample
    return found
