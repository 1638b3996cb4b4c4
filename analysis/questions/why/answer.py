"""Why a fish is bullied, as numbers: the shares of a trial add up to what it lost, and so do their means.

The guess is the independent unit; that orders were sampled is one more reason why trials differ.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ...measures.registry import LOST, RECEIVED
from ...measures.whom import FishGroup
from ...statistics.intervals import (
    NAN,
    Estimate,
    Floats,
    cluster_interval,
    estimate,
)
from ...statistics.units import units_of
from ...study.runner import Announce, Run
from .design import GOALS, Design, Plan, Row, is_trouble
from .game import everybody, exact_shares, in_whole_tokens, shares_along
from .mechanisms import LeftOut, Mechanism, Switches

TEN = 10
LEFT = "left"  # code of what is left whatever is changed


@dataclass(frozen=True)
class ShareEstimate:
    """A share of the whole, out of ten, with its 95 % interval; nan where there is no whole."""

    value: float
    low: float
    high: float
    tokens: int  # a whole number near it; these add up to ten


@dataclass(frozen=True)
class Share:
    """What one mechanism adds to one outcome; LEFT is what no mechanism explains."""

    code: str
    value: Estimate  # in the unit of the outcome
    of_ten: ShareEstimate
    alone: Estimate  # how much less there is when it alone is switched off; of fewer tanks
    largest: int  # simulated tanks in which no mechanism added more

    @property
    def told(self) -> bool:
        """Whether it can be told from nothing."""
        return bool(self.value.low > 0 or self.value.high < 0)


@dataclass(frozen=True)
class Shared:
    """One outcome, shared out. The shares, that of LEFT last, add up to the whole."""

    goal: str
    explained: bool  # whether there is anything to explain
    whole: Estimate
    shares: tuple[Share, ...]
    clear_view: Estimate  # how much more there is when rock blocks no view; nan when not run

    def of(self, code: str) -> Share:
        """The share of a mechanism; raises KeyError when it has none."""
        for one in self.shares:
            if one.code == code:
                return one
        raise KeyError(code)

    @property
    def ranked(self) -> tuple[Share, ...]:
        """The mechanisms without LEFT, the largest share first."""
        return tuple(
            sorted((one for one in self.shares if one.code != LEFT), key=lambda one: -one.value.value)
        )


@dataclass(frozen=True)
class Why:
    """Every number of the answer."""

    plan: Plan
    whom: FishGroup
    fish: tuple[str, ...]  # that were measured
    switches: Switches = field(repr=False)
    shared: dict[str, Shared]  # by goal; empty shares where there is nothing to explain
    exact: bool  # all coalitions in each trial, not sampled orders
    trials: int  # planned
    unjudged: int  # simulated tanks left out, as the fish could not be judged in all of them
    tanks: int  # simulated, those of the yardstick too
    stopped: bool
    rows: tuple[Row, ...] = field(repr=False)

    @property
    def mechanisms(self) -> tuple[Mechanism, ...]:
        """The players, in the order of the bits of a coalition."""
        return self.switches.mechanisms

    @property
    def left_out(self) -> tuple[LeftOut, ...]:
        """Mechanisms that do not apply."""
        return self.switches.left_out

    @property
    def nothing(self) -> bool:
        """Whether the fish is not bullied."""
        return not any(one.explained for one in self.shared.values())

    @property
    def disagreeing(self) -> tuple[str, ...]:
        """Codes of mechanisms that add to one outcome and take from the other, both beyond doubt."""
        if not all(one.explained for one in self.shared.values()):
            return ()
        lost, chased = self.shared[LOST], self.shared[RECEIVED]
        return tuple(
            one.code
            for one in lost.shares
            if one.told and chased.of(one.code).told and one.value.value * chased.of(one.code).value.value < 0
        )


def answer_of(plan: Plan, run: Run, *, whom: FishGroup | None = None, told: Announce | None = None) -> Why:
    """Share out what a fish loses and the chases it gets among the mechanisms; see ``Design``.

    Raises
    ------
    WhyError
        When the fish is not in the tank while it is measured.
    """
    work = Design(plan, whom)
    work.carry_out(run, told)
    rows, unjudged = work.finished() if work.has_trouble else ((), 0)
    none = estimate([], draw=[])
    shared = {
        goal: shared_out(
            rows,
            goal=goal,
            codes=[one.code for one in work.switches.mechanisms],
            fixed=plan.fixed,
            explained=is_trouble(goal, whole),
        )
        if work.has_trouble
        else Shared(goal, False, whole, (), none)
        for goal, whole in work.whole.items()
    }
    return Why(
        plan=plan,
        whom=work.whom,
        fish=work.switches.fish,
        switches=work.switches,
        shared=shared,
        exact=work.exact,
        trials=work.trials,
        unjudged=unjudged,
        tanks=work.tanks,
        stopped=work.stopped,
        rows=rows,
    )


def shares_of(row: Row, *, players: int) -> Floats:
    """[n, 2] shares of one trial; they add up to v(all) - v(nobody) of that trial."""
    if row.orders:
        return shares_along(row.orders, worth=row.worth)
    return exact_shares(row.worth, players=players)


def shared_out(
    rows: Sequence[Row], *, goal: str, codes: Sequence[str], fixed: bool, explained: bool = True
) -> Shared:
    """Shares of one outcome over finished trials.

    Parameters
    ----------
    rows : at least one trial.
    codes : [n] of the mechanisms, in the order of the bits of a coalition.
    fixed : nothing was drawn, so each trial is independent.
    explained : whether shares out of ten are worth saying.
    """
    players, g = len(codes), GOALS.index(goal)
    draw = np.array([row.draw for row in rows])
    whole = np.array([row.worth[everybody(players)][g] for row in rows])
    left = np.array([row.worth[0][g] for row in rows])
    added = np.array([shares_of(row, players=players)[:, g] for row in rows]).reshape(len(rows), players)
    columns = [*added.T, left]
    ten = _of_ten(columns, whole, units_of(draw, fixed)) if explained else None
    largest = _largest(added)
    clear = np.array([row.clear_view[g] for row in rows]) - whole
    shares = tuple(
        Share(
            code,
            estimate(column, draw=draw, fixed=fixed),
            ShareEstimate(NAN, NAN, NAN, 0) if ten is None else ten[k],
            _off_alone(rows, whole, None if code == LEFT else k, g, draw, fixed),
            0 if code == LEFT else largest[k],
        )
        for k, (code, column) in enumerate(zip([*codes, LEFT], columns, strict=True))
    )
    return Shared(
        goal,
        explained,
        estimate(whole, draw=draw, fixed=fixed),
        shares,
        estimate(clear, draw=draw, fixed=fixed),
    )


def _of_ten(columns: Sequence[Floats], whole: Floats, unit: NDArray[np.int64]) -> list[ShareEstimate]:
    """Ratios of means to the mean of the whole, linearised, so that shares below 0 have intervals too.

    Source: Cochran WG (1977) Sampling Techniques, ch. 6 (ratio estimator; from memory).
    """
    mean = float(whole.mean())
    if not mean > 0:
        return [ShareEstimate(NAN, NAN, NAN, 0) for _ in columns]
    ratios = [float(column.mean()) / mean for column in columns]
    tokens = in_whole_tokens(ratios, total=TEN)
    found = []
    for column, ratio, count in zip(columns, ratios, tokens, strict=True):
        around = ratio + (column - ratio * whole) / mean
        low, high = cluster_interval(around, cluster=unit)
        found.append(ShareEstimate(TEN * ratio, TEN * low, TEN * high, count))
    return found


def _largest(added: Floats) -> list[int]:
    """In how many trials each mechanism added most; a trial in which none added anything has none."""
    count = [0] * added.shape[1]
    for row in added:
        if len(row) and row.max() > 0:
            count[int(row.argmax())] += 1
    return count


def _off_alone(
    rows: Sequence[Row], whole: Floats, player: int | None, g: int, draw: NDArray[np.int64], fixed: bool
) -> Estimate:
    """How much less there is with one mechanism off and all others on, over the trials that ran it."""
    if player is None or not rows:
        return estimate([], draw=[])
    players = len(rows[0].orders[0]) if rows[0].orders else int(math.log2(len(rows[0].worth)))
    others = everybody(players) & ~(1 << player)
    less = [
        w - row.worth[others][g] if others in row.worth else NAN for w, row in zip(whole, rows, strict=True)
    ]
    return estimate(less, draw=draw, fixed=fixed)
