"""What is kept of one simulated tank when many are held against each other: a few measures, fish by fish.

The yardstick is the same for all that is compared: what each fish swims free in the tank as it is when
nobody attacks. A change is then never praised because the fish would swim less even if left alone, and that
set-up is run once a trial and not once a change. (Measured on the ready scenario mild-with-hot: left alone a
fish swims free all but 0.3 % of the time, whatever the stock, the rock or the tank, so it hardly matters.)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import AS_STOCKED, LEFT_ALONE, Arm
from ...sim.run.trials import Job, Outcome, arms_of
from ...sim.scenario.scenario import Scenario
from ..statistics.intervals import NAN, Floats, Interval
from .pinned import PinnedRule
from .rates import Tally
from .registry import (
    BITES,
    FREE,
    HIDDEN,
    LOST,
    MEASURES,
    PINNED,
    PINNED_FISH,
    RECEIVED,
    Measured,
    Parts,
    bounds_of,
)

BOTH = (AS_STOCKED, LEFT_ALONE)
STOCKED = (AS_STOCKED,)
KEPT = (LOST, RECEIVED, HIDDEN, FREE, BITES, PINNED_FISH)  # PINNED has the parts of PINNED_FISH
RULE = PinnedRule()


@dataclass(frozen=True)
class Yardstick:
    """What a trial is held against: the base when nobody attacks."""

    arm: Arm  # without who chases whom
    free: dict[str, float]  # share of lit time swimming free, by label; only above 0


@dataclass(frozen=True)
class TankRow:
    """One simulated tank as stocked, n fish; all of the measured time."""

    which: int
    trial: int
    draw: int
    labels: tuple[str, ...]
    species: tuple[str, ...]
    lit_s: Floats  # [n]
    parts: Mapping[str, Parts]  # of each of KEPT, [n]
    chases: NDArray[np.int64] | None = None  # [n, n] row chases column; of the base alone
    hour_chased: NDArray[np.int64] | None = None  # [n, h] chases received; of the base alone
    netted: NDArray[np.int64] | None = None  # [n, 2] taken out and put back by rules of thumb; None: none

    @property
    def inside(self) -> set[str]:
        """Fish that were in the tank for some of the measured time."""
        return {label for label, lit in zip(self.labels, self.lit_s, strict=True) if lit > 0}

    def of(self, labels: Iterable[str]) -> NDArray[np.bool_]:
        """Which fish are some that were in the tank, [n]."""
        wanted = set(labels)
        return np.array([label in wanted for label in self.labels], dtype=bool) & (self.lit_s > 0)


def yardstick_of(scenario: Scenario, outcomes: tuple[Outcome, ...]) -> Yardstick:
    """The yardstick from a trial of the base with both set-ups."""
    alone = tuple(one for one in outcomes if one.name == LEFT_ALONE)
    arm = arms_of(scenario, [alone])[LEFT_ALONE]
    none = np.zeros((1, 0, 0), dtype=np.int64)
    slim = replace(arm, chases=none, bites=none, displays=none, wins=none)
    shares = arm.free_s[0] / np.maximum(arm.lit_s[0], 1e-9)
    free = {label: float(share) for label, share in zip(arm.fish.label, shares, strict=True) if share > 0}
    return Yardstick(slim, free)


def row_of(
    scenario: Scenario, job: Job, outcomes: tuple[Outcome, ...], *, alone: Yardstick | None = None
) -> TankRow:
    """The row of a finished job; ``alone`` is the yardstick, that of the job itself when None."""
    arms = arms_of(scenario, [outcomes])
    arm, is_base = arms[AS_STOCKED], LEFT_ALONE in arms
    table = Tally(Measured(arm, alone.arm if alone else arms.get(LEFT_ALONE), RULE))
    parts = {name: table.parts(name) for name in KEPT}
    return TankRow(
        which=job.which,
        trial=job.trial,
        draw=outcomes[0].draw,
        labels=arm.fish.label,
        species=arm.fish.species,
        lit_s=arm.lit_s[0],
        parts={name: Parts(one.top[0], one.bottom[0]) for name, one in parts.items()},
        chases=arm.chases[0] if is_base else None,
        hour_chased=arm.hour_chased[0] if is_base else None,
        netted=None if arm.netted is None else arm.netted[0],
    )


def bounds_over(measure: str, *, rows: Iterable[TankRow]) -> Interval:
    """What the mean of a measure over some tanks can be, by what their fish swim free left alone."""
    least = [min((bottom / lit for bottom, lit in _known(row)), default=1.0) for row in rows]
    return bounds_of(measure, freedom=np.array(least, dtype=float).reshape(-1, 1))


def _known(row: TankRow) -> Iterable[tuple[float, float]]:
    """What each fish would swim free if left alone, and its lit time, s; of fish of which it is known."""
    known = (row.parts[LOST].bottom > 0) & (row.lit_s > 0)
    return zip(row.parts[LOST].bottom[known], row.lit_s[known], strict=True)


def value_of(row: TankRow, *, measure: str, labels: Iterable[str]) -> float:
    """A measure of some fish in one tank.

    Parameters
    ----------
    measure : one of KEPT, or PINNED.
    labels : those that are not in this tank are left out.

    Returns
    -------
    The value; nan where none of them can be judged.

    Raises
    ------
    ValueError
        For another measure.
    """
    name = PINNED_FISH if measure == PINNED else measure
    if name not in row.parts:
        raise ValueError(f'measure is "{measure}"; use one of {", ".join((*KEPT, PINNED))}')
    who, parts = row.of(labels), row.parts[name]
    top, bottom = np.array(parts.top[who].sum()), np.array(parts.bottom[who].sum())
    return float(MEASURES[measure].value(top, bottom, rule=RULE))


def species_value(row: TankRow, *, measure: str, species: str) -> float:
    """A measure of all fish of a species in one tank; see :func:`value_of`."""
    wanted = (label for label, its in zip(row.labels, row.species, strict=True) if its == species)
    return value_of(row, measure=measure, labels=wanted)


def worst_loss(row: TankRow, *, labels: Iterable[str]) -> float:
    """The loss of that one of some fish that lost most in this tank; nan where none is judged."""
    parts = row.parts[LOST]
    who = row.of(labels) & (parts.bottom > 0)
    losses = 1.0 - parts.top[who] / parts.bottom[who]
    return float(losses.max()) if len(losses) else NAN


def chief_chaser(row: TankRow, label: str) -> str | None:
    """The fish that chased another most in a tank of the base; None where nobody did, or it was not there."""
    if row.chases is None or label not in row.labels:
        return None
    got = row.chases[:, row.labels.index(label)]
    return row.labels[int(got.argmax())] if got.any() else None
