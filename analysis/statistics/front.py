"""What nothing else beats: the front of several wishes that cannot all be had at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray


def not_beaten(wants: ArrayLike) -> NDArray[np.bool_]:
    """Which of n things no other is at least as good as in everything and better than in something.

    Parameters
    ----------
    wants : [n, wishes] the more of each the better; of equals the first stays.

    Returns
    -------
    [n] whether each stays.
    """
    found = np.atleast_2d(np.asarray(wants, dtype=float))
    stays = np.ones(len(found), dtype=bool)
    for k, one in enumerate(found):
        as_good, better = (found >= one).all(axis=1), (found > one).any(axis=1)
        same = (found == one).all(axis=1) & (np.arange(len(found)) < k)
        stays[k] = not ((as_good & better) | same).any()
    return stays
