"""When enough trials were run: until a wanted half-width, and never on a lucky look.

Looking again and again and stopping as soon as an interval happens to be narrow
gives intervals that miss the truth too often. Here the looks are stated
beforehand and come after whole rounds of draws; the first is not before
a least number of trials; two looks in a row must be narrow enough; and where
there are not many blocks of draws the interval must be so with the trial as the
unit too, since a spread seen over few units is sometimes small by luck. That the printed
intervals then hold the truth is checked by simulation in the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .intervals import (
    CONFIDENCE,
    Count,
    Estimate,
    Interval,
    count_estimate,
    estimate,
    score_interval,
)
from .units import whole_blocks

LEAST_TRIALS = 64
GROWTH = 1.25  # of the number of rounds from look to look
IN_A_ROW = 2
MANY_BLOCKS = 16  # whose spread is trusted by itself (checked by simulation)

RATE: Interval = (0.0, math.inf)


def looks(cap: int, *, a_round: int, least: int = LEAST_TRIALS, growth: float = GROWTH) -> tuple[int, ...]:
    """Numbers of trials at which it is looked whether they are enough.

    Parameters
    ----------
    cap : trials at most.
    a_round : trials of a round; 1 when nothing was drawn.
    least : trials before the first look.
    growth : each look has about this many times the rounds of the one before, one more at least.

    Returns
    -------
    Ascending numbers, whole rounds each. The last is the cap, rounded down to
    whole rounds; a cap below one round is itself the only look.

    Raises
    ------
    ValueError
        For a cap, round or least number below 1, or a growth below 1.
    """
    for name, number in (("cap", cap), ("a_round", a_round), ("least", least), ("growth", growth)):
        if not number >= 1:
            raise ValueError(f"{name} is {number}; use 1 or more")
    if cap < a_round:
        return (cap,)
    rounds, last = math.ceil(least / a_round), cap // a_round
    found = []
    while rounds < last:
        found.append(rounds * a_round)
        rounds = max(rounds + 1, math.ceil(rounds * growth))
    return (*found, last * a_round)


def enough_share(hits: ArrayLike, *, draw: ArrayLike, half_width: float, fixed: bool = False) -> bool:
    """Whether one look finds the share of tanks known to within ``half_width``.

    Judged by half the width of :func:`rockshy.analysis.statistics.intervals.count_estimate`,
    the interval that is printed. It never holds clustered trials for more than
    as many independent ones, so the trial needs no look of its own.

    Parameters
    ----------
    hits : [t] whether it happened; nan where it cannot be judged, such trials are left out.
    draw : [t] number of the draw of each trial.
    half_width : share of the tanks, 0..1.
    fixed : nothing was drawn, so each trial is independent.

    Source: ChowRobbins1965 (stop once the interval has the wanted width).
    """
    return _half_width(share_count(hits, draw=draw, fixed=fixed)) <= half_width


def share_count(hits: ArrayLike, *, draw: ArrayLike, fixed: bool = False) -> Count:
    """The count that :func:`enough_share` judges by; trials that are nan are left out."""
    values, group = np.asarray(hits, dtype=float), np.asarray(draw)
    judged = np.isfinite(values)
    return count_estimate(values[judged] > 0, draw=group[judged], fixed=fixed)


def enough_rate(values: ArrayLike, *, draw: ArrayLike, share: float, fixed: bool = False) -> bool:
    """Whether one look finds a rate known to within a share of itself.

    Judged by half the width of :func:`rockshy.analysis.statistics.intervals.estimate`, the
    interval that is printed, and of the same with each trial as a unit unless there are MANY_BLOCKS.
    A rate of 0 is never known to within a share.

    Parameters
    ----------
    values : [t] rate in each trial, 0 or more; nan where a trial has none.
    draw, fixed : see :func:`enough_share`.
    share : 0.1 for a tenth of the rate.

    Source: ChowRobbins1965; GlynnWhitt1992 (relative widths in simulation).
    """
    blocks = whole_blocks(np.asarray(draw)[np.isfinite(np.asarray(values, dtype=float))])
    trusted = not fixed and len(blocks) >= MANY_BLOCKS
    for independent in (fixed,) if trusted else (fixed, True):
        found = estimate(values, draw=draw, bounds=RATE, fixed=independent)
        if not (found.value > 0 and _half_width(found) <= share * found.value):
            return False
    return True


@dataclass(frozen=True)
class Until:
    """Run until a half-width is reached, or a cap.

    One of ``half_width`` (of the share of tanks, as for "pinned") and
    ``relative`` (of a rate, as a share of it) is given.

    Raises
    ------
    ValueError
        Unless exactly one is given, above 0 and below 1, and ``cap`` is 1 or more.

    Source: ChowRobbins1965; GlynnWhitt1992; assumption (least number, growth and two looks in a row;
    checked by simulation).
    """

    cap: int
    half_width: float | None = None
    relative: float | None = None
    least: int = LEAST_TRIALS
    growth: float = GROWTH
    in_a_row: int = IN_A_ROW

    def __post_init__(self) -> None:
        given = [width for width in (self.half_width, self.relative) if width is not None]
        if len(given) != 1:
            raise ValueError(f"{len(given)} of half_width and relative are given; use one of them")
        if not 0 < given[0] < 1:
            raise ValueError(f"the half-width is {given[0]}; use a number above 0 and below 1")
        if self.in_a_row < 1:
            raise ValueError(f"in_a_row is {self.in_a_row}; use 1 or more")
        self.looks(a_round=1)

    def looks(self, *, a_round: int) -> tuple[int, ...]:
        """Numbers of trials to look at (see :func:`looks`)."""
        return looks(self.cap, a_round=a_round, least=self.least, growth=self.growth)

    def enough(self, values: ArrayLike, *, draw: ArrayLike, fixed: bool = False) -> bool:
        """One look at all values, whatever was seen before."""
        if self.relative is not None:
            return enough_rate(values, draw=draw, share=self.relative, fixed=fixed)
        return enough_share(values, draw=draw, half_width=self.half_width or 0.0, fixed=fixed)

    def done(self, values: ArrayLike, *, draw: ArrayLike, a_round: int, fixed: bool = False) -> bool:
        """Whether to stop after these trials. A function of the values alone, so it can be asked again.

        Parameters
        ----------
        values : [t] hits or rates of trials 0, 1, 2, ..., in order; nan where a trial has none.
        draw : [t] number of the draw of each trial.
        a_round : trials of a round of draws.

        Returns
        -------
        True at the last look, or when this look and those just before it are
        enough; False between looks.
        """
        flat, group = np.asarray(values, dtype=float), np.asarray(draw)
        stated = self.looks(a_round=1 if fixed else a_round)
        if len(flat) >= stated[-1]:
            return True
        if len(flat) not in stated:
            return False
        place = stated.index(len(flat))
        recent = stated[max(0, place + 1 - self.in_a_row) : place + 1]
        return len(recent) == self.in_a_row and all(
            self.enough(flat[:size], draw=group[:size], fixed=fixed) for size in reversed(recent)
        )


def draws_needed(half_width: float) -> int:
    """Fewest guesses with which "in none of the tanks" is known to within a half-width.

    When all tanks agree they are held no more certain than as many trials as
    there are guesses; with fewer guesses such a run goes on to its cap.
    """
    if not 0 < half_width < 1:
        raise ValueError(f"half_width is {half_width}; use a number above 0 and below 1")
    number = 1
    while _width(score_interval(0.0, number, CONFIDENCE)) / 2 > half_width:
        number += 1
    return number


def _half_width(found: Count | Estimate) -> float:
    return _width((found.low, found.high)) / 2


def _width(interval: Interval) -> float:
    return interval[1] - interval[0]
