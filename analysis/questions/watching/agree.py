"""Whether tank and model agree: the tally among simulated tanks that were watched as often and as long.

The real tank is one tank, so it is laid beside tanks: from each simulated tank as many windows are drawn as
there were watches, and how far out a row stands is measured against the spread over tanks and windows
together. A row is told to differ when few simulated tanks stand that far out in any of the rows: that
holds the chance of a single false alarm in all rows together, however the rows hang together.

Source: the largest of many statistics under joint resampling, WestfallYoung1993 (single step; from memory);
a simulated tank is held against the others only, so that with T tanks the level is (1 + hits) / (T + 1).
Correcting each row's own p value with Holm's rule would tell nothing here: with 64 tanks no p value is below
1/65, and twenty rows would ask for 1/400.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ....sim.rules.support.random_numbers import generator
from ...statistics.intervals import NAN, Floats, Interval, poisson_interval, ratio_estimate, wilson_interval
from .rows import PLACES, SHARES_OF_CHASES, Row, TalliedRow

LEVEL = 0.05
MIDDLE = (2.5, 97.5)  # percentiles: the middle 95 of 100
DRAWS = 200  # sets of windows drawn from each simulated tank, where more watches than one are to be matched
WATCHES_OF_THEIR_OWN = 4  # from so many watches on the scatter between them is looked at
MOST_WINDOWS = 2000  # drawn from each tank in all, so that a hundred watches still fit into memory


@dataclass(frozen=True)
class Compared:
    """A row of the tally beside the model; rates are an hour."""

    row: Row
    watches: int  # that say something of the row
    acts: float  # counted in them: acts, or looks
    of: float  # minutes, chases or looks
    value: float  # acts an hour, or a share
    low: float  # 95 % interval of the value; nan where none can be given
    high: float
    model: float  # mean over simulated tanks
    model_low: float  # the middle 95 of 100 sets of as many windows
    model_high: float
    single_low: float  # the same of single windows
    single_high: float
    further: int  # simulated tanks of ``tanks`` that stand as far out in this row, rounded
    tanks: int
    p_value: float  # of this row alone
    p_any: float  # that a tank of the model stands this far out in any row
    why_not: str = ""

    @property
    def outside(self) -> bool:
        """Outside the middle 95 of 100."""
        return self.value < self.model_low or self.value > self.model_high

    @property
    def differs(self) -> bool:
        """Told to differ, all rows taken together."""
        return bool(self.p_any <= LEVEL)

    @property
    def above(self) -> bool:
        return self.value > self.model


def drawn_sets(values: Sequence[Sequence[Floats]], *, seed: int, draws: int = DRAWS) -> Floats:
    """Sets of windows as a watcher of each simulated tank would have them.

    Parameters
    ----------
    values : for each of t tanks and k watches, [w, r, 2] top and bottom of r rows in the w windows.
        Watches that are matched by the same windows share the array.
    seed : of the draws.

    Returns
    -------
    [t, b, k, r, 2]. One watch alone takes every window once; of several, each takes a window of its
        own as long as there are enough.
    """
    if len(values[0]) == 1:
        fewest = min(len(one[0]) for one in values)
        return np.stack([one[0][:fewest, None] for one in values])
    draws = min(draws, max(20, MOST_WINDOWS // len(values[0])))
    sets = np.empty((len(values), draws, len(values[0]), *values[0][0].shape[1:]))
    for t, tank in enumerate(values):
        rng = generator(seed, "windows of a tank", t)
        for same in {id(one): one for one in tank}.values():
            which = [k for k, one in enumerate(tank) if one is same]
            sets[t][:, which] = same[_different(rng, len(same), len(which), draws)]
    return sets


def _different(rng: np.random.Generator, windows: int, many: int, draws: int) -> np.ndarray:
    """Numbers of windows, [draws, many], different ones within a draw where there are enough."""
    if many > windows:
        return rng.integers(windows, size=(draws, many))
    return rng.random((draws, windows)).argsort(axis=1)[:, :many]


def compare(seen: Sequence[TalliedRow], sets: Floats, *, singles: Floats) -> list[Compared]:
    """Lay every row of a tally over the model.

    Parameters
    ----------
    seen : r rows.
    sets : [t, b, k, r, 2] see :func:`drawn_sets`.
    singles : [t, w, r, 2] top and bottom in single windows of the usual length.
    """
    tanks, draws = sets.shape[:2]
    scores, own = np.empty((tanks, draws, len(seen))), np.empty(len(seen))
    model = np.empty((tanks, draws, len(seen)))
    for r, one in enumerate(seen):
        chosen = sets[:, :, one.covered, r]
        top, bottom = chosen[..., 0].sum(axis=2), chosen[..., 1].sum(axis=2)
        model[:, :, r] = _ratio(top, bottom)
        mine = float(np.nansum(one.top)), float(np.nansum(one.bottom))
        scores[:, :, r], own[r] = _scores(one.row, (top, bottom), mine)
    far, joint = _further(scores, own)
    return [
        _compared(
            one, model[:, :, r], _ratio(singles[:, :, r, 0], singles[:, :, r, 1]), far[r], joint[r], tanks
        )
        for r, one in enumerate(seen)
    ]


def _ratio(top: Floats, bottom: Floats) -> Floats:
    return np.divide(top, bottom, out=np.full(np.shape(top), NAN), where=bottom > 0)


def _even(row: Row, top: Floats | float, bottom: Floats | float) -> Floats:
    """Values on a scale on which they spread about evenly: log of counts, arcsine of shares."""
    top, bottom = np.asarray(top, float), np.asarray(bottom, float)
    return np.asarray(np.log(top + 0.5) if row.is_rate else np.arcsin(np.sqrt(_ratio(top, bottom))))


def _scores(row: Row, sets: tuple[Floats, Floats], mine: tuple[float, float]) -> tuple[Floats, float]:
    """How far out each set of each tank stands among the other tanks, and the tally among all, in spreads.

    nan where there is nothing to go by, as a share of no chases.
    """
    even = _even(row, *sets)
    first, second = _tank_means(even), _tank_means(even**2)
    known = np.isfinite(first)
    count = int(known.sum())
    if count < 2:
        return np.full(even.shape, NAN), NAN
    total, squares = np.nansum(first), np.nansum(second)
    without = np.where(known, 1.0, 0.0)
    mean = (total - np.nan_to_num(first)) / (count - without)
    square = (squares - np.nan_to_num(second)) / (count - without)
    found = _out(even, mean[:, None], square[:, None])
    own = _out(_even(row, *mine), np.asarray(total / count), np.asarray(squares / count))
    return found, float(own) if mine[1] > 0 else NAN


def _tank_means(values: Floats) -> Floats:
    known = np.isfinite(values)
    return _ratio(np.where(known, values, 0.0).sum(axis=1), known.sum(axis=1))


def _out(value: Floats, mean: Floats, square: Floats) -> Floats:
    """Distance from the mean in standard deviations; without any spread 0 at it and infinity elsewhere."""
    spread = np.sqrt(np.maximum(square - mean**2, 0.0))
    away = np.abs(value - mean)
    apart = np.array(np.where(away > 1e-9, np.inf, 0.0))
    out = np.divide(away, spread, out=apart, where=spread > 1e-9)
    return np.asarray(np.where(np.isfinite(value), out, NAN))


def _further(scores: Floats, own: Floats) -> tuple[Floats, Floats]:
    """Share of the draws of the tanks that stand as far out: in the row itself, and in any row judged."""
    judged = np.isfinite(own) | np.isinf(own)
    held = np.where(np.isnan(scores), -1.0, scores)
    most = held[:, :, judged].max(axis=2) if judged.any() else np.full(held.shape[:2], -1.0)
    far, joint = np.full(len(own), NAN), np.full(len(own), NAN)
    for r in np.flatnonzero(judged):
        far[r] = (held[:, :, r] >= own[r] - 1e-9).mean()
        joint[r] = (most >= own[r] - 1e-9).mean()
    return far, joint


def _compared(
    seen: TalliedRow, model: Floats, single: Floats, far: float, joint: float, tanks: int
) -> Compared:
    an_hour = 60.0 if seen.row.is_rate else 1.0
    low, high = _interval(seen)
    model_low, model_high, single_low, single_high = (
        an_hour * float(end)
        for values in (model, single)
        for end in (np.nanpercentile(values, MIDDLE) if np.isfinite(values).any() else (NAN, NAN))
    )
    return Compared(
        row=seen.row,
        watches=int(seen.covered.sum()),
        acts=float(np.nansum(seen.top)),
        of=float(np.nansum(seen.bottom)),
        value=an_hour * seen.value,
        low=an_hour * low,
        high=an_hour * high,
        model=an_hour * float(np.nanmean(model)) if np.isfinite(model).any() else NAN,
        model_low=model_low,
        model_high=model_high,
        single_low=single_low,
        single_high=single_high,
        further=0 if np.isnan(far) else round(far * tanks),
        tanks=tanks,
        p_value=_level(far, tanks),
        p_any=_level(joint, tanks),
        why_not=seen.why_not,
    )


def _level(share: float, tanks: int) -> float:
    """P value of a share of the tanks; the tally itself counts as one more tank."""
    return (1.0 + share * tanks) / (tanks + 1.0)


def _interval(seen: TalliedRow) -> Interval:
    """95 % interval of what was counted, in acts a minute or as a share.

    From four watches on with the watch as the unit, so that bursts of chases are in it. Of fewer, the scatter
    between them cannot be told, and it is that of acts which come one by one: too narrow, and said to be.
    So it is where nothing was counted at all. None of places then, since looks half a minute apart say nearly
    the same.
    """
    top, bottom = seen.top[seen.covered], seen.bottom[seen.covered]
    if not len(top) or not bottom.sum() > 0:
        return NAN, NAN
    if len(top) >= WATCHES_OF_THEIR_OWN and top.any():
        found = ratio_estimate(top, bottom=bottom, draw=np.arange(len(top)), fixed=True)
        return found.low, min(found.high, math.inf if seen.row.is_rate else 1.0)
    if seen.row.measure in PLACES:
        return NAN, NAN
    if seen.row.measure in SHARES_OF_CHASES:
        return wilson_interval(int(top.sum()), trials=int(bottom.sum()))
    return poisson_interval(int(top.sum()), exposure=float(bottom.sum()))
