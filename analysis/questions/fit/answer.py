"""What a fit comes to: whether the tally may be of such a tank, and what it changed in what is foretold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ....sim.scenario.given import GivenDraws
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...statistics.intervals import NAN, Floats
from ...statistics.ridge import LEVEL, Fitted, fit
from ...study.runner import Announce, Run
from ..guesses.inputs import guesses_of
from .design import ADAPTED, GOALS, MORE, OUTSIDE, SURELY, Design, FitPlan, Renew

ENDS = (100 * (1 - LEVEL) / 2, 50.0, 100 * (1 + LEVEL) / 2)  # percentiles
MOVED = 0.35  # standard deviations that a guess is moved at least to be named
_NO_CHASE = 0.1  # an hour: added before the logarithm of a rate is taken
LEAST = 0.01  # width before, of a share or chases an hour: a figure that varies less is known already
_FEW = 50  # tanks in which a figure is known; with fewer it is not foretold


@dataclass(frozen=True)
class Level:
    """One figure of one group in this tank: low, middle and high, 90 %; nan where nothing can be told."""

    group: str
    goal: str
    before: tuple[float, float, float]  # of the simulated tanks before the tally
    after: tuple[float, float, float]
    again: tuple[float, float, float]  # of the tanks of the moved draws, simulated again
    longer: tuple[float, ...]  # width after as many further watches as ``MORE`` says

    @property
    def left(self) -> float:
        """Width left by the tally, as a share of that before."""
        wide = self.before[2] - self.before[0]
        return (self.after[2] - self.after[0]) / wide if wide > 0 else NAN


@dataclass(frozen=True)
class Said:
    """One figure of the tally beside the simulated tanks."""

    name: str
    apart: float  # from their mean, in their standard deviations
    against: float  # the same from what the other figures let expect


@dataclass(frozen=True)
class Move:
    """A guess that the tally has moved: the middle of it before and after, in its own unit."""

    name: str
    before: float
    after: float
    unit: str
    by: float  # in standard deviations


@dataclass(frozen=True)
class Fit:
    """The whole answer."""

    plan: FitPlan
    beyond: float  # share of simulated tanks that lie as far out as the tally
    said: tuple[Said, ...]
    levels: tuple[Level, ...]  # none when the tally is outside
    given: GivenDraws | None  # the moved draws; None when it is outside, or they were not all checked
    moves: tuple[Move, ...]
    beyond_again: float  # the same share among the tanks of the moved draws; nan when not simulated
    tanks: int
    stopped: bool

    @property
    def outside(self) -> bool:
        return self.beyond <= OUTSIDE

    @property
    def surely_outside(self) -> bool:
        return self.beyond <= SURELY

    def left(self, goal: str) -> float:
        """Width left of a figure, over all groups together; nan where it is told of none."""
        return self._left(goal, [one.after[2] - one.after[0] for one in self.levels if one.goal == goal])

    def longer(self, goal: str, which: int) -> float:
        """The same with further watches; ``which``: of ``MORE``."""
        return self._left(goal, [one.longer[which] for one in self.levels if one.goal == goal])

    def _left(self, goal: str, widths: list[float]) -> float:
        before = sum(one.before[2] - one.before[0] for one in self.levels if one.goal == goal)
        return sum(widths) / before if before > 0 else NAN


def answer_of(plan: FitPlan, run: Run, *, told: Announce | None = None, renew: Renew | None = None) -> Fit:
    """Simulate what a plan asks for and answer from it.

    Raises KeyboardInterrupt when Ctrl-C came before all draws were simulated.
    """
    design = Design(plan, renew=renew)
    design.carry_out(run, told)
    found = design.misfit
    names = [one.name for one in plan.figures.levels]
    said = [Said(*one) for one in zip(names, map(float, found.apart), map(float, found.against), strict=True)]
    outside = found.beyond <= OUTSIDE
    checked = not outside and design.is_checked
    again = design.misfit_in(1).beyond if checked else NAN
    return Fit(
        plan=plan,
        beyond=found.beyond,
        said=tuple(sorted(said, key=lambda one: -max(abs(one.apart), abs(one.against)))),
        levels=() if outside else tuple(_levels(design)),
        given=design.adapted.given if checked else None,
        moves=() if outside else tuple(_moves(design)),
        beyond_again=again,
        tanks=design.tanks,
        stopped=design.stopped,
    )


# --- levels -----------------------------------------------------------------------


def evened(goal: str, values: Floats) -> Floats:
    """A figure on a scale on which its errors are about alike."""
    if goal == RECEIVED:
        return np.log(values + _NO_CHASE)
    if goal in (HIDDEN, PINNED_FISH):
        return np.arcsin(np.sqrt(np.clip(values, 0.0, 1.0)))
    return values


def back(goal: str, value: float) -> float:
    """The figure of such a scale, within what it can be."""
    if goal == RECEIVED:
        return max(0.0, float(np.exp(value)) - _NO_CHASE)
    if goal in (HIDDEN, PINNED_FISH):
        return float(np.sin(np.clip(value, 0.0, np.pi / 2)) ** 2)
    return min(value, 1.0) if goal == LOST else value


def foretold(goal: str, fitted: Fitted, at: Floats) -> tuple[float, float, float]:
    """Low, middle and high of a figure for a tank that was watched so."""
    low, high = fitted.interval(at)
    return back(goal, low), back(goal, fitted.middle(at)), back(goal, high)


def _levels(design: Design) -> list[Level]:
    """Every figure of every group that varies over the draws."""
    found = []
    figured, checked = design.all_figured(0), design.is_checked
    again = design.all_figured(1) if checked else None
    for g, group in enumerate(design.plan.groups):
        for k, goal in enumerate(GOALS):
            values = figured[:, k, g]
            known = np.isfinite(values)
            if known.sum() < _FEW or np.ptp(np.percentile(values[known], ENDS)) < LEAST:
                continue
            own = _ends(again[:, k, g]) if again is not None else (NAN, NAN, NAN)
            found.append(_level(design, (group, goal), values, known, own))
    return found


def _level(design: Design, whose: tuple[str, str], values: Floats, known: Any, again: Any) -> Level:
    goal, wanted = whose[1], evened(whose[1], values[known])
    here = fit(design.all_seen(0)[known], wanted)
    width = here.width()
    longer = [fit(design.all_seen(0, 1 + which)[known], wanted).width() / width for which in range(len(MORE))]
    after, before = foretold(goal, here, design.plan.figures.counted), _ends(values[known])
    wide = after[2] - after[0]
    shares = np.minimum.accumulate([1.0, *longer])[1:]  # what is wider by luck is no wider
    return Level(*whose, before, after, again, tuple(float(wide * one) for one in shares))


def _ends(values: Floats) -> tuple[float, float, float]:
    low, middle, high = np.nanpercentile(values, ENDS) if np.isfinite(values).any() else (NAN, NAN, NAN)
    return float(low), float(middle), float(high)


def _moves(design: Design) -> list[Move]:
    """The guesses that moved most, each by that of its inputs which moved most."""
    inputs, (drawn, moved) = design.plan.inputs, design.scores
    shift = moved[:ADAPTED].mean(axis=0) - drawn.mean(axis=0)
    middles = [np.median(one, axis=0) for one in (drawn, moved[:ADAPTED])]
    found, at = [], 0
    from scipy.special import ndtr

    for guess in guesses_of(design.plan.scenario):
        own = range(at, at + len(guess.inputs))
        at += len(guess.inputs)
        most = max(own, key=lambda k: abs(shift[k]))
        if abs(shift[most]) >= MOVED:
            before, after = (inputs[most].at(float(ndtr(one[most]))) for one in middles)
            found.append(Move(guess.name, before, after, inputs[most].unit, float(shift[most])))
    return sorted(found, key=lambda one: -abs(one.by))
