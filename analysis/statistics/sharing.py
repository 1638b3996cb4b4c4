"""Handing out trials to alternatives that are compared, where they decide most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from .allocation import Ints, chance_best, ocba, standing
from .intervals import Floats

CLEAR = 0.99
DRAWS_A_BATCH = 5_000


class Sharer:
    """Hands out trials in batches until the best alternative is clear or the budget is spent.

    A command loops: run what :meth:`next_batch` says, hand all values so far
    back. Alternative i always goes on with its own next numbers 0, 1, 2, ...,
    and the base, alternative 0, has as many trials as any other, so that every
    trial has its pair. Batches follow from the values alone: a run that is
    taken up again asks from the start, with the values it has, and gets the same.

    The batch is shared out by :func:`rockshy.analysis.statistics.allocation.ocba`. Its
    means are the gains over the base; its variances those of what two
    alternatives do not share, half the variance of the difference from the best
    so far. One that equalled the best in every trial gets no more.

    "Clear" is a chance of the best (:func:`rockshy.analysis.statistics.allocation.chance_best`)
    of ``clear`` or more after two batches in a row; alternatives that equal the
    best in every trial count with it. Each batch is another chance to be
    misled, so ``clear`` is stricter than the 95 % that is meant.

    Source: Chen2000; assumption (pairs with the base, when it is clear; checked by simulation).
    """

    def __init__(
        self,
        alternatives: int,
        *,
        budget: int,
        draw: ArrayLike,
        first: int = 16,
        batch: int = 16,
        lower_is_better: bool = True,
        fixed: bool = False,
        clear: float = CLEAR,
    ) -> None:
        """
        Parameters
        ----------
        alternatives : how many, the base included.
        budget : trials of all alternatives together.
        draw : [t] number of the draw of each trial, for as many as one alternative may get.
        first : trials of each in the first batch, fewer when the budget does not reach.
        batch : trials of all together in each further batch.
        clear : chance of the best at which to stop, above 0.5.

        Raises
        ------
        ValueError
            For a number outside what is allowed, such as a budget below two trials each.
        """
        for name, number, least in (
            ("alternatives", alternatives, 2),
            ("budget", budget, 2 * alternatives),
            ("first", first, 2),
            ("batch", batch, 2),
        ):
            if number < least:
                raise ValueError(f"{name} is {number}; use {least} or more")
        if not 0.5 < clear < 1:
            raise ValueError(f"clear is {clear}; use a number above 0.5 and below 1")
        self.budget, self.draw, self.batch = budget, np.asarray(draw), batch
        self.first = min(first, budget // alternatives)
        self.lower_is_better, self.fixed, self.clear = lower_is_better, fixed, clear
        self.counts: Ints = np.zeros(alternatives, dtype=np.int64)
        self.chances: Floats = np.full(alternatives, np.nan)
        self.reason = ""  # "clear" or "spent" once it has ended
        self._clear_before = False

    @property
    def best(self) -> int | None:
        """The alternative with the largest chance to be the best; None before the first values."""
        return None if np.isnan(self.chances).any() else int(self.chances.argmax())

    def next_batch(self, values: Sequence[ArrayLike]) -> list[tuple[int, int]]:
        """Further trials as (alternative, trial number), by trial number; empty when it has ended.

        Parameters
        ----------
        values : for each alternative its values so far in the order of trial numbers, all that were
            handed out; nan where a trial has none.

        Raises
        ------
        ValueError
            If there are more or fewer values than trials handed out.
        """
        runs = [np.asarray(one, dtype=float) for one in values]
        self._check(runs)
        if self.reason:
            return []
        if not self.counts.any():
            return self._hand_out(np.full(len(runs), self.first, dtype=np.int64))
        draw = self.draw[: len(runs[0])]
        self.chances = chance_best(
            runs, draw=draw, lower_is_better=self.lower_is_better, fixed=self.fixed, draws=DRAWS_A_BATCH
        )
        if self._is_clear(runs):
            self.reason = "clear"
            return []
        extra = self._extra(runs, draw)
        if not extra.any():
            self.reason = "spent"
        return self._hand_out(extra)

    def _is_clear(self, runs: Sequence[Floats]) -> bool:
        best, before = self.best, self._clear_before
        if best is None:
            self._clear_before = False
            return False
        same = [np.array_equal(*_common(one, runs[best]), equal_nan=True) for one in runs]
        self._clear_before = bool(self.chances[same].sum() >= self.clear)
        return before and self._clear_before

    def _extra(self, runs: Sequence[Floats], draw: Ints) -> Ints:
        """What fits of a batch once the base has been given as many trials as the most run other one.

        The base needs no more than that, even as the best: without its pair a trial tells nothing.
        """
        room = size = min(self.batch, self.budget - int(self.counts.sum()))
        gain = standing(runs, draw=draw, fixed=self.fixed).gain
        spread = self._spread(runs, gain)
        while size > 0:
            extra = self._wish(gain, spread, size)
            extra[0] = max(0, int((self.counts + extra)[1:].max() - self.counts[0]))
            over = int(extra.sum()) - room
            if over <= 0:
                return extra
            size -= max(1, over // 2)
        return np.zeros_like(self.counts)

    def _wish(self, gain: Floats, spread: Floats, size: int) -> Ints:
        if np.isfinite(gain).all() and np.isfinite(spread).all():
            extra = ocba(
                gain, variances=spread, budget=size, counts=self.counts, lower_is_better=self.lower_is_better
            )
            extra[0] = 0
            if extra.any():
                return extra
        return np.concatenate([[0], _level(self.counts[1:], size)])

    def _spread(self, runs: Sequence[Floats], gain: Floats) -> Floats:
        """Variance of a trial without what it shares with the best.

        The best gets the mean of the others, or none when it is the base, whose trials follow the others'.
        """
        if not np.isfinite(gain).all():
            return np.full(len(runs), np.nan)
        best = int(gain.argmin() if self.lower_is_better else gain.argmax())
        spread = np.full(len(runs), np.nan)
        for i, one in enumerate(runs):
            mine, its = _common(one, runs[best])
            change = (mine - its)[np.isfinite(mine - its)]
            if i != best and len(change) > 1:
                spread[i] = change.var(ddof=1) / 2
        spread[best] = np.delete(spread, best).mean() if best else 0.0
        return spread

    def _hand_out(self, extra: Ints) -> list[tuple[int, int]]:
        handed = [
            (which, int(self.counts[which]) + step)
            for which in range(len(extra))
            for step in range(int(extra[which]))
        ]
        self.counts = self.counts + extra
        return sorted(handed, key=lambda job: (job[1], job[0]))

    def _check(self, runs: Sequence[Floats]) -> None:
        found = [len(one) for one in runs]
        if found != self.counts.tolist():
            raise ValueError(
                f"there are values of {found} trials; use {self.counts.tolist()}, all handed out"
            )


def _common(one: Floats, other: Floats) -> tuple[Floats, Floats]:
    both = min(len(one), len(other))
    return one[:both], other[:both]


def _level(counts: Ints, budget: int) -> Ints:
    """Further trials one by one to whoever has the fewest."""
    new = counts.copy()
    for _ in range(budget):
        new[new.argmin()] += 1
    return new - counts
