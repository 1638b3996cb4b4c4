"""What is kept of each simulated tank when changes are tried: a small row a tank, one value a fish.

The yardstick is the same for all changes: what each fish swims free in the tank as it is when nobody attacks.
A change is then never praised because the fish would swim less even if left alone, and that set-up is run
once a trial and not once a change. (Measured on the ready scenario mild-with-hot: left alone a fish swims
free all but 0.3 % of the time, whatever the stock, the rock or the tank, so it hardly matters.)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, Trials
from ....sim.run.trials import Job, Outcome, table_of
from ....sim.scenario.scenario import Scenario
from ...measures.pinned import least_lost, pinned
from ...measures.rates import RATE, SECONDS_PER_HOUR, SHARE
from ...statistics.intervals import NAN, Floats, Interval

BOTH = (AS_STOCKED, LEFT_ALONE)
STOCKED = (AS_STOCKED,)
LOST, RECEIVED, HIDDEN, PINNED = "lost", "received", "hidden", "pinned"
GOALS = (LOST, RECEIVED, HIDDEN, PINNED)


@dataclass(frozen=True)
class Alone:
    """The yardstick of one trial: the base when nobody attacks."""

    arm: Arm  # without who chases whom
    free: dict[str, float]  # share of lit time swimming free, by label; only above 0


@dataclass(frozen=True)
class Seen:
    """One simulated tank as stocked, n fish; all of the measured time."""

    which: int
    trial: int
    guess: int
    labels: tuple[str, ...]
    lit_s: Floats  # [n]
    free_s: Floats  # [n]
    hidden_s: Floats  # [n]
    received: Floats  # [n] chases
    pinned: Floats  # [n] 1 or 0; nan where a fish does not count
    chases: NDArray[np.int64] | None  # [n, n] row chases column; of the base alone
    hour_chased: NDArray[np.int64] | None  # [n, h] chases received; of the base alone


def alone_of(scenario: Scenario, outcomes: tuple[Outcome, ...]) -> Alone:
    """The yardstick from a trial of the base with both set-ups."""
    arm = table_of(scenario, [outcomes], asked=1).arms[LEFT_ALONE]
    none = np.zeros((1, 0, 0), dtype=np.int64)
    slim = replace(arm, chases=none, bites=none, displays=none, wins=none)
    shares = arm.free_s[0] / np.maximum(arm.lit_s[0], 1e-9)
    free = {label: float(share) for label, share in zip(arm.fish.label, shares, strict=True) if share > 0}
    return Alone(slim, free)


def bounds_of(goal: str, *, alone: Iterable[Alone]) -> Interval:
    """What the mean of a goal over some trials can be, lowest and highest."""
    if goal != LOST:
        return RATE if goal == RECEIVED else SHARE
    least = [min(one.free.values(), default=1.0) for one in alone]
    return least_lost(np.array(least).reshape(-1, 1)), 1.0


def seen_of(scenario: Scenario, job: Job, outcomes: tuple[Outcome, ...], *, alone: Alone) -> Seen:
    """The row of a finished job, pinned by the same definition as every other answer."""
    table = table_of(scenario, [outcomes], asked=1)
    arm = table.arms[AS_STOCKED]
    beside = {AS_STOCKED: arm, LEFT_ALONE: alone.arm}
    held = pinned(Trials(table.title, table.watch, table.watch_reason, beside, 1))
    is_base = LEFT_ALONE in table.arms
    return Seen(
        which=job.which,
        trial=job.trial,
        guess=outcomes[0].guess,
        labels=arm.fish.label,
        lit_s=arm.lit_s[0],
        free_s=arm.free_s[0],
        hidden_s=arm.hidden_s[0],
        received=arm.chases[0].sum(axis=0).astype(float),
        pinned=np.where(held.counts[0], held.pinned[0], np.nan),
        chases=arm.chases[0] if is_base else None,
        hour_chased=arm.hour_chased[0] if is_base else None,
    )


def inside(seen: Seen) -> set[str]:
    """Fish that were in the tank for some of the measured time."""
    return {label for label, lit in zip(seen.labels, seen.lit_s, strict=True) if lit > 0}


def value_of(seen: Seen, *, goal: str, labels: Iterable[str], alone: Alone) -> float:
    """How some fish did in one tank; lower is better, whatever the goal.

    Parameters
    ----------
    goal : LOST: 1 - their share of lit time swimming free / the same left alone. RECEIVED: chases received
        per fish and lit hour, model scale. HIDDEN: share of lit time. PINNED: share of those that count.
    labels : those that are not in this tank are left out.

    Returns
    -------
    The value; nan where none of them can be judged.

    Raises
    ------
    ValueError
        For another goal.
    """
    wanted = set(labels)
    who = np.array([label in wanted for label in seen.labels], dtype=bool) & (seen.lit_s > 0)
    if goal == LOST:
        return _lost(seen, who, alone)
    if goal == PINNED:
        values = seen.pinned[who]
        values = values[np.isfinite(values)]
        return float(values.mean()) if len(values) else NAN
    tops = {RECEIVED: seen.received * SECONDS_PER_HOUR, HIDDEN: seen.hidden_s}
    if goal not in tops:
        raise ValueError(f'goal is "{goal}"; allowed is one of {", ".join(GOALS)}')
    return float(tops[goal][who].sum() / seen.lit_s[who].sum()) if who.any() else NAN


def _lost(seen: Seen, who: NDArray[np.bool_], alone: Alone) -> float:
    """Of all of them together, weighted by the time each was in the tank."""
    freedom = _freedom(seen, alone)
    known = who & np.isfinite(freedom)
    would_s = float((freedom[known] * seen.lit_s[known]).sum())
    return 1.0 - float(seen.free_s[known].sum()) / would_s if would_s > 0 else NAN


def worst_loss(seen: Seen, *, labels: Iterable[str], alone: Alone) -> float:
    """The loss of that one of some fish that lost most in this tank; nan where none is judged."""
    wanted = set(labels)
    freedom = _freedom(seen, alone)
    known = np.isfinite(freedom) & (seen.lit_s > 0) & np.array([one in wanted for one in seen.labels])
    losses = 1.0 - seen.free_s[known] / (freedom[known] * seen.lit_s[known])
    return float(losses.max()) if len(losses) else NAN


def _freedom(seen: Seen, alone: Alone) -> Floats:
    """[n] share of lit time that each fish would swim free if left alone; nan where it is not known."""
    return np.array([alone.free.get(label, NAN) for label in seen.labels])


def chief_chaser(seen: Seen, label: str) -> str | None:
    """The fish that chased another most in a tank of the base; None where nobody did, or it was not there."""
    if seen.chases is None or label not in seen.labels:
        return None
    got = seen.chases[:, seen.labels.index(label)]
    return seen.labels[int(got.argmax())] if got.any() else None
