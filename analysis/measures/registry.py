"""Every measure once: its name, unit, what is better, of what it is, and how it comes from a run.

A measure is a top over a bottom, both worked out for each fish of each trial and summed over a group of
fish before they are divided: acts over lit hours, seconds over lit seconds. ``MEASURES`` holds them all;
whoever reports a figure reads it from there, by :mod:`.rates` for the arms of many trials, by :mod:`.row`
for one simulated tank of which little is kept, by :mod:`.frame` for a long table.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import Arm
from ..statistics.intervals import Floats, Interval
from .groups import Group, common_trials, members
from .hierarchy import directional_consistency, improved_h, steepness
from .pinned import PinnedRule, freedom_alone, judge, least_lost, pinned_hours

SHARE: Interval = (0.0, 1.0)
RATE: Interval = (0.0, math.inf)
SECONDS_PER_HOUR = 3600.0
LOWER, HIGHER, NEITHER = "lower", "higher", ""  # what is better for the fish it is of
FISH, PAIR, TANK = "fish", "pair", "tank"  # what a measure is of

LOST, RECEIVED, HIDDEN, PINNED = "lost", "received", "hidden", "pinned"
FREE, BITES, PINNED_FISH = "free", "bites", "pinned_fish"
GOALS = (LOST, RECEIVED, HIDDEN, PINNED)  # what alternatives are held against each other by


class Measured(NamedTuple):
    """What a measure is worked out from."""

    arm: Arm
    alone: Arm | None  # the yardstick: the same fish when nobody attacks
    rule: PinnedRule


class Parts(NamedTuple):
    """Top and bottom of a measure: [t, n] of fish, [t, n, n] of pairs, [t] of tanks.

    A bottom of shape [t] belongs to the whole tank and is not summed over fish. Where a fish cannot be
    judged, its bottom is 0.
    """

    top: Floats
    bottom: Floats


@dataclass(frozen=True)
class Measure:
    """One quantity, defined once."""

    name: str
    meaning: str
    unit: str
    better: str  # LOWER, HIGHER or NEITHER
    bounds: Interval
    parts: Callable[[Measured], Parts]
    of: str = FISH
    hours: Callable[[Measured], Parts] | None = None  # the same in each measured lit hour, [t, n, h]
    complement: bool = False  # the value is 1 - top / bottom
    at_least: Callable[[PinnedRule], float] | None = None  # the value is whether top / bottom is that much

    def value(self, top: Floats, bottom: Floats, *, rule: PinnedRule) -> Floats:
        """The values of summed tops and bottoms of one shape; nan where a bottom is 0."""
        known = bottom > 0
        ratio = np.divide(top, bottom, out=np.full(np.shape(top), np.nan), where=known)
        if self.at_least is not None:
            return np.where(known, top >= self.at_least(rule) * bottom, np.nan)
        return 1.0 - ratio if self.complement else ratio


def _received(run: Measured) -> Floats:
    return run.arm.chases.sum(axis=1).astype(float)


def _given(run: Measured) -> Floats:
    return run.arm.chases.sum(axis=2).astype(float)


def _lit_h(run: Measured) -> Floats:
    return run.arm.lit_s / SECONDS_PER_HOUR


def _all_chases(run: Measured) -> Floats:
    return run.arm.chases.sum(axis=(1, 2)).astype(float)


def _hours(amount: NDArray, lit_s: Floats, per_s: float) -> Parts:
    return Parts(amount.astype(float), lit_s / per_s)


def _pinned_time(run: Measured) -> Floats:
    return np.where(pinned_hours(run.arm, rule=run.rule), run.arm.hour_lit_s, 0.0)


def _lost(run: Measured) -> Parts:
    """Seconds swum free over those it would have: its share of lit time left alone, times its lit time."""
    if run.alone is None:
        raise ValueError("these trials have no arm left alone, which what is lost is measured against")
    here, _ = common_trials(run.arm, other=run.alone)
    freedom = freedom_alone(run.arm, run.alone)
    known = np.isfinite(freedom) & (freedom > 0)
    free, would = np.zeros(run.arm.lit_s.shape), np.zeros(run.arm.lit_s.shape)
    free[here] = np.where(known, run.arm.free_s[here], 0.0)
    would[here] = np.where(known, freedom * run.arm.lit_s[here], 0.0)
    return Parts(free, would)


def _pinned_fish(run: Measured) -> Parts:
    found = judge(run.arm, run.alone, rule=run.rule)
    held, counts = np.zeros(run.arm.lit_s.shape), np.zeros(run.arm.lit_s.shape)
    here = np.searchsorted(run.arm.trial, found.trial)
    held[here], counts[here] = found.pinned & found.counts, found.counts
    return Parts(held, counts)


def _of_tank(judge: Callable[[NDArray[np.int64]], float]) -> Callable[[Measured], Parts]:
    """A figure of who chases whom; tanks with fewer than three fish or without a chase have none."""

    def parts(run: Measured) -> Parts:
        values = []
        for chases, lit_s in zip(run.arm.chases, run.arm.lit_s, strict=True):
            table = chases[np.ix_(lit_s > 0, lit_s > 0)]
            values.append(judge(table) if len(table) >= 3 and table.any() else math.nan)
        found = np.array(values, dtype=float)
        return Parts(np.nan_to_num(found), np.isfinite(found).astype(float))

    return parts


def _pairs(column: str) -> Callable[[Measured], Parts]:
    def parts(run: Measured) -> Parts:
        acts = getattr(run.arm, column)
        there = members(run.arm, group=Group())
        return Parts(acts.astype(float), (there[:, :, None] & there[:, None, :]).astype(float))

    return parts


_A_FISH_HOUR = "per fish and lit hour, model scale"
_LIT = "share of lit time"

MEASURES: dict[str, Measure] = {
    one.name: one
    for one in (
        Measure(
            LOST,
            "lost of the free swimming it would have if left alone",
            "share",
            LOWER,
            (-math.inf, 1.0),
            _lost,
            complement=True,
        ),
        Measure(
            RECEIVED,
            "chases received",
            f"chases {_A_FISH_HOUR}",
            LOWER,
            RATE,
            lambda run: Parts(_received(run), _lit_h(run)),
            hours=lambda run: _hours(run.arm.hour_chased, run.arm.hour_lit_s, SECONDS_PER_HOUR),
        ),
        Measure(
            "given",
            "chases given",
            f"chases {_A_FISH_HOUR}",
            NEITHER,
            RATE,
            lambda run: Parts(_given(run), _lit_h(run)),
        ),
        Measure(
            "share_received",
            "of all chases in the tank, those received",
            "share of all chases",
            LOWER,
            SHARE,
            lambda run: Parts(_received(run), _all_chases(run)),
        ),
        Measure(
            "share_given",
            "of all chases in the tank, those given",
            "share of all chases",
            NEITHER,
            SHARE,
            lambda run: Parts(_given(run), _all_chases(run)),
        ),
        Measure(
            BITES,
            "bites received",
            f"bites {_A_FISH_HOUR}",
            LOWER,
            RATE,
            lambda run: Parts(run.arm.bites.sum(axis=1).astype(float), _lit_h(run)),
        ),
        Measure(
            HIDDEN,
            "in a shelter, pressed into a corner or under the surface",
            _LIT,
            LOWER,
            SHARE,
            lambda run: Parts(run.arm.hidden_s, run.arm.lit_s),
            hours=lambda run: _hours(run.arm.hour_hidden_s, run.arm.hour_lit_s, 1.0),
        ),
        Measure(
            FREE,
            "swimming free: neither hidden nor in flight nor in a contest",
            _LIT,
            HIGHER,
            SHARE,
            lambda run: Parts(run.arm.free_s, run.arm.lit_s),
        ),
        Measure(
            "missed",
            "meals of which it got nothing",
            "share of meals",
            LOWER,
            SHARE,
            lambda run: Parts(run.arm.meals_missed, run.arm.meals),
        ),
        Measure(
            "territory",
            "holding a territory",
            _LIT,
            NEITHER,
            SHARE,
            lambda run: Parts(run.arm.hour_owner_s.sum(axis=2), run.arm.hour_lit_s.sum(axis=2)),
            hours=lambda run: _hours(run.arm.hour_owner_s, run.arm.hour_lit_s, 1.0),
        ),
        Measure(
            "pinned_hours",
            "time in pinned hours; hours count by their lit time in the tank",
            _LIT,
            LOWER,
            SHARE,
            lambda run: Parts(_pinned_time(run).sum(axis=2), run.arm.hour_lit_s.sum(axis=2)),
            hours=lambda run: _hours(_pinned_time(run), run.arm.hour_lit_s, 1.0),
        ),
        Measure(
            PINNED_FISH,
            "fish that are pinned, of those that count",
            "share of fish",
            LOWER,
            SHARE,
            _pinned_fish,
        ),
        Measure(
            PINNED,
            "whether enough of the fish that count are pinned",
            "yes or no",
            LOWER,
            SHARE,
            _pinned_fish,
            at_least=lambda rule: rule.species_share,
        ),
        Measure("chases", "chases, fish by fish", "acts", NEITHER, RATE, _pairs("chases"), of=PAIR),
        Measure("bites_given", "bites, fish by fish", "acts", NEITHER, RATE, _pairs("bites"), of=PAIR),
        Measure("displays", "displays without a chase", "acts", NEITHER, RATE, _pairs("displays"), of=PAIR),
        Measure("wins", "contests won", "contests", NEITHER, RATE, _pairs("wins"), of=PAIR),
        Measure(
            "linearity",
            "linearity h' of who chases whom",
            "0..1",
            NEITHER,
            SHARE,
            _of_tank(improved_h),
            of=TANK,
        ),
        Measure(
            "steepness", "steepness of who chases whom", "0..1", NEITHER, SHARE, _of_tank(steepness), of=TANK
        ),
        Measure(
            "consistency",
            "directional consistency of who chases whom",
            "0..1",
            NEITHER,
            SHARE,
            _of_tank(directional_consistency),
            of=TANK,
        ),
    )
}


def bounds_of(name: str, *, freedom: Floats | None) -> Interval:
    """What the mean of a measure over some trials can be, lowest and highest.

    Parameters
    ----------
    freedom : for what is lost: [t, n] share of lit time each fish swims free left alone; None: unknown.
    """
    if name == LOST and freedom is not None:
        return least_lost(freedom), 1.0
    return MEASURES[name].bounds
