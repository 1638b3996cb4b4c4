"""What tanks that were run foretell of one that was not: what each group keeps, and who has it worst."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ....sim.scenario.scenario import Scenario
from ....sim.scenario.stock import individuals
from ...measures.plight import word
from ...measures.whom import Kind, kinds_of
from ...statistics import ridge
from ...statistics.intervals import Floats
from .sliders import OutsideError, bare
from .training import Group, StandIn

BAND = 0.93  # asked of CV+, since bands asked for 90 % held 87 % of fresh tanks (measured)
SURE = 2.0  # standard errors from which a difference is said to be one
NORMAL_90 = 1.645  # standard errors that 90 % of a normal distribution lie within


@dataclass(frozen=True)
class Difference:
    """What a group keeps more than in the tank as it was: middle, ends of a 90 % band."""

    value: float
    low: float
    high: float
    error: float  # standard error

    @property
    def sign(self) -> int:
        """1: better, -1: worse, 0: that cannot be told."""
        return int(np.sign(self.value)) if abs(self.value) > SURE * self.error else 0


@dataclass(frozen=True)
class Foretold:
    """A group of fish: the share it keeps of its swimming about, and a 90 % band."""

    kind: Kind
    kept: float
    low: float
    high: float
    change: Difference | None  # None where the tank as it was has none of them

    @property
    def word(self) -> str:
        """The word for how they fare."""
        return word(1.0 - self.kept)


@dataclass(frozen=True)
class Estimate:
    """All groups of a tank that was not run, the worst off first, and how many others it is judged by."""

    groups: tuple[Foretold, ...]
    tanks: int

    @property
    def worst(self) -> Foretold:
        """Who has it worst."""
        return self.groups[0]


def estimate_of(stand_in: StandIn, scenario: Scenario, was: Scenario | None = None) -> Estimate:
    """What is foretold of a tank, and how it differs from the tank as it ``was``.

    Raises OutsideError when it is not like the tanks that were run.
    """
    at = stand_in.at(scenario)
    before = None if was is None else _before(stand_in, was)
    groups = []
    for kind, group in groups_of(stand_in, scenario):
        fit = stand_in.fits.get(group)
        if fit is None:
            raise OutsideError(f"too few of the tanks that were run had {kind.name}", "more tanks")
        low, high = (min(1.0, max(0.0, end)) for end in fit.interval(at, level=BAND))
        change = None
        if before is not None and group in before[1]:
            change = _difference(fit, at, before[0])
        groups.append(Foretold(kind, min(1.0, max(0.0, fit.middle(at))), low, high, change))
    return Estimate(tuple(sorted(groups, key=lambda one: one.kept)), stand_in.tanks)


def _before(stand_in: StandIn, was: Scenario) -> tuple[Floats, set[Group]] | None:
    try:
        return stand_in.at(was), {group for _, group in groups_of(stand_in, was)}
    except OutsideError:
        return None


def groups_of(stand_in: StandIn, scenario: Scenario) -> Sequence[tuple[Kind, Group]]:
    """The fish of a scenario that are described alike, and which group of the stand-in each of them is."""
    rows = stand_in.box.rows
    group = {one.label: (rows.index(bare(one.row)), one.sex) for one in individuals(scenario.stock)}
    measured = scenario.measured_fish
    kinds = [kind for kind in kinds_of(scenario) if measured & set(kind.labels)]
    first: dict[Group, Kind] = {}
    for kind in kinds:
        first.setdefault(group[kind.labels[0]], kind)
    return [(kind, key) for key, kind in first.items()]


def _difference(fit: ridge.Fitted, at: Floats, before: Floats) -> Difference:
    """By the fits of all folds; their scatter, as a jackknife's, is its error."""
    each = fit.weights @ (at - before)
    folds = len(each)
    error = math.sqrt((folds - 1) * float(each.var()))
    value = float(np.median(each))
    return Difference(value, value - NORMAL_90 * error, value + NORMAL_90 * error, error)
