"""A cheap screening: which guesses have any effect that can be seen.

All guesses move at once over points that fill their ranges, one trial a point; forward regression fits a
straight line and a bend for each input, the level of its F test shared out among all guesses. What is
dropped is kept as one lot in the indices, since a guess may act only together with others. Moving one guess
at a time (Morris1991) found fewer of those that act with as many points
(tests/questions/test_guesses_screen.py measures both).

Source: forward regression and its F test: textbook. Shared out: Bonferroni.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from ...statistics.intervals import Floats
from .fit import Additive, bent, fitted

LEVEL = 0.05  # chance that any guess without effect is kept for an answer
FITTED = 12  # guesses in the fit of one answer at most
LEAST = 1  # guesses kept, seen or not, so that there is something to share out


@dataclass(frozen=True)
class ScreenedInput:
    """One guess in the screening of one answer."""

    draw: int
    share: float  # of the variance of a trial that it explains beyond those before it
    p: float  # of its F test, when it came in or when the fit ended
    is_seen: bool


@dataclass(frozen=True)
class Screening:
    """What was kept: ``by_answer`` all guesses of each answer, those that explain most first."""

    kept: tuple[int, ...]
    by_answer: tuple[tuple[ScreenedInput, ...], ...]
    points: int
    level: float
    fits: tuple[Additive, ...] = ()  # of each answer, the guesses that were seen

    def seen_anywhere(self) -> tuple[int, ...]:
        """Guesses with an effect on any answer, those that explain most first."""
        best = self.shares()
        return tuple(sorted(best, key=lambda draw: -best[draw]))

    def shares(self) -> dict[int, float]:
        """The largest share of each guess that was seen, over the answers."""
        best: dict[int, float] = {}
        for rows in self.by_answer:
            for one in rows:
                if one.is_seen:
                    best[one.draw] = max(best.get(one.draw, 0.0), one.share)
        return best


def screen(
    points: Floats,
    answers: Sequence[Floats],
    *,
    columns: Sequence[NDArray[np.int64]],
    most: int,
    level: float = LEVEL,
) -> Screening:
    """Keep the guesses that explain most of any answer, at most ``most``, at least LEAST.

    Parameters
    ----------
    points : [points, inputs] numbers from 0 to 1.
    answers : [points] each, one trial a point.
    columns : of each guess.
    level : chance that a guess without effect is kept, for all guesses of an answer together.
    """
    blocks = [bent(points[:, own]) for own in columns]
    by_answer = tuple(_forward(blocks, values, level=level) for values in answers)
    fits = tuple(
        fitted(points, values, guesses=[one.draw for one in rows if one.is_seen], columns=columns)
        for values, rows in zip(answers, by_answer, strict=True)
    )
    found = Screening((), by_answer, len(points), level)
    order = [*found.seen_anywhere(), *(rows[0].draw for rows in by_answer)]
    kept = list(dict.fromkeys(order))[: max(LEAST, min(most, len(found.seen_anywhere())))]
    return Screening(tuple(sorted(kept)), by_answer, len(points), level, fits)


def _forward(blocks: Sequence[Floats], values: Floats, *, level: float) -> tuple[ScreenedInput, ...]:
    """Bring guesses in, the most telling first, until none explains more than luck would.

    What has come in is projected out of the answer and of all blocks that are left.
    """
    rest = {k: block - block.mean(axis=0) for k, block in enumerate(blocks)}
    left_over = values - values.mean()
    whole, used = float(left_over @ left_over), 1
    came: list[ScreenedInput] = []
    while True:
        tests = {k: _test(block, left_over, whole, used) for k, block in rest.items()}
        best = min(tests, key=lambda k: (tests[k][1], -tests[k][0]), default=None)
        if best is None or len(came) == FITTED or not tests[best][1] < level / len(blocks):
            break
        came.append(ScreenedInput(best, *tests[best], True))
        basis = np.linalg.qr(rest.pop(best))[0]
        used += basis.shape[1]
        left_over = left_over - basis @ (basis.T @ left_over)
        rest = {k: block - basis @ (basis.T @ block) for k, block in rest.items()}
    unseen = [ScreenedInput(k, *tests[k], False) for k in rest]
    return (*came, *sorted(unseen, key=lambda one: (one.p, -one.share)))


def _test(block: Floats, left_over: Floats, whole: float, used: int) -> tuple[float, float]:
    """Share of the variance that a block explains of what is left over, and the p value of its F test."""
    free = len(left_over) - used - block.shape[1]
    if whole <= 0 or free <= 0:
        return 0.0, 1.0
    explained = float(((np.linalg.qr(block)[0].T @ left_over) ** 2).sum())
    unexplained = float(left_over @ left_over) - explained
    share = explained / whole
    if unexplained <= 1e-12 * whole:
        return share, 0.0 if share > 1e-9 else 1.0
    p = float(stats.f.sf(explained / block.shape[1] / (unexplained / free), block.shape[1], free))
    return share, p if math.isfinite(p) else 1.0
