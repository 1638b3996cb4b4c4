"""One slider at a time: what the worst off keep with less and with more of it, and where it stops mattering.

The line is what the fits say along the slider; the dots are the simulated tanks it rests on, each brought
to where the other sliders stand, so that a bend which the line has not is seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ....sim.scenario.reading.said import SEX_OF
from ....sim.scenario.scenario import Scenario
from ...statistics.intervals import Floats
from .answer import BAND, NORMAL_90, SURE, groups_of
from .sliders import Slider, Way
from .training import Group, StandIn

LITTLE = 0.03  # share kept; a change that gains less is said to matter little (assumption)
MOST_VALUES = 13  # along a slider
LEAST_TANKS = 4  # of which a dot is made


@dataclass(frozen=True)
class Amount:
    """The worst off at one value of a slider: share kept, a 90 % band, and the simulated tanks near it."""

    value: float
    kept: float
    low: float
    high: float
    dot: tuple[float, float, float] | None  # mean of the tanks that were run about there, its 90 % interval


@dataclass(frozen=True)
class Along:
    """A slider, where it stands, and what the worst off keep along it.

    Attributes
    ----------
    slider, now : which, and its value.
    amounts : from its low end to its high end.
    by_fold : [k, amounts] what the fit without each fold says.
    """

    slider: Slider
    now: float
    amounts: tuple[Amount, ...]
    by_fold: Floats

    @cached_property
    def kept(self) -> Floats:
        """What is kept at each amount."""
        return np.array([one.kept for one in self.amounts])

    @property
    def is_told(self) -> bool:
        """Whether the best differs from the worst by more than twice what the folds scatter."""
        best, worst = int(self.kept.argmax()), int(self.kept.argmin())
        each = self.by_fold[:, best] - self.by_fold[:, worst]
        error = math.sqrt((len(each) - 1) * float(each.var()))
        return float(self.kept[best] - self.kept[worst]) > SURE * error

    @property
    def matters(self) -> bool:
        """Whether it makes a difference worth having."""
        return float(np.ptp(self.kept)) >= LITTLE

    @property
    def good(self) -> tuple[int, int]:
        """First and last of the amounts about the best that are within LITTLE of it."""
        best = int(self.kept.argmax())
        far = self.kept < self.kept[best] - LITTLE
        before, after = np.flatnonzero(far[:best]), np.flatnonzero(far[best:])
        return int(before[-1]) + 1 if len(before) else 0, best + int(after[0]) - 1 if len(after) else len(
            far
        ) - 1


def along(stand_in: StandIn, scenario: Scenario) -> tuple[Along, ...]:
    """What the worst off keep along each slider of a scenario; raises OutsideError, as an estimate does."""
    places = stand_in.box.places(scenario)
    groups = [key for _, key in groups_of(stand_in, scenario) if key in stand_in.fits]
    return tuple(_along(stand_in, places, k, groups) for k in range(len(places)))


def _along(stand_in: StandIn, places: Floats, k: int, groups: Sequence[Group]) -> Along:
    slider = stand_in.box.sliders[k]
    now = slider.low + float(places[k]) * (slider.high - slider.low)
    values = values_of(slider)
    columns = [
        stand_in.columns(np.concatenate([places[:k], [slider.place(v)], places[k + 1 :]])) for v in values
    ]
    amounts, folds = [], []
    for value, at in zip(values, columns, strict=True):
        there = [group for group in groups if not (value < 0.5 and slider.way == field_of(group))]
        if not there:
            continue
        group = min(there, key=lambda one: stand_in.fits[one].middle(at))
        fit = stand_in.fits[group]
        low, high = (_held(end) for end in fit.interval(at, level=BAND))
        kept = _held(fit.middle(at))
        amounts.append(Amount(value, kept, low, high, _dot(stand_in, group, k, value, values, kept)))
        folds.append(np.clip(fit.foretold(at), 0.0, 1.0))
    return Along(slider, now, tuple(amounts), np.stack(folds, axis=1))


def field_of(group: Group) -> Way:
    """Which slider numbers a group of fish."""
    row, sex = group
    return next(field for field, of in SEX_OF.items() if of == sex), row


def values_of(slider: Slider) -> list[float]:
    """Amounts along a slider: whole fish, and tenths of anything else."""
    if slider.way[1] is None:
        return [float(one) for one in np.linspace(slider.low, slider.high, 10)]
    many = min(MOST_VALUES, int(slider.high - slider.low) + 1)
    return [float(one) for one in np.unique(np.round(np.linspace(slider.low, slider.high, many)))]


def _dot(
    stand_in: StandIn, group: Group, k: int, value: float, values: Sequence[float], kept: float
) -> tuple[float, float, float] | None:
    """The tanks nearest to a value, by how far they were foretold amiss, laid on the line."""
    slider = stand_in.box.sliders[k]
    at = np.array([slider.place(one) for one in values])
    nearest = np.abs(stand_in.places[group][:, k, None] - at).argmin(axis=1)
    miss = stand_in.fits[group].miss[nearest == values.index(value)]
    if len(miss) < LEAST_TANKS:
        return None
    middle, error = kept + float(miss.mean()), NORMAL_90 * float(miss.std(ddof=1)) / math.sqrt(len(miss))
    return _held(middle), _held(middle - error), _held(middle + error)


def _held(share: float) -> float:
    return min(1.0, max(0.0, share))
