"""What to watch in the real tank as it is, and what would prove the model wrong."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ....sim.run.model import HaltedError
from ....sim.run.trials import model_of_trial
from ....sim.scenario.scenario import Scenario
from ....sim.tank.tank import Tank
from ...measures.registry import FREE
from ...measures.row import TankRow, chief_chaser, value_of
from ...measures.whom import FishGroup, Kind
from ...statistics.intervals import CONFIDENCE, NAN, Floats, cluster_interval
from ...statistics.units import units_of

if TYPE_CHECKING:
    from .answer import Relief

TANKS = 4  # run once more to see where the fish are
WATCHED = (5.0, 95.0)  # percentiles of single fish in single tanks: in nine tanks of ten between them
THIRDS = {
    "x": ("in the left third", "in the middle, left to right", "in the right third"),
    "y": ("in the front third", "in the middle, front to back", "in the back third"),
    "z": ("in the lowest third", "half way up", "in the uppermost third"),
}


@dataclass(frozen=True)
class Chasers:
    """What fish described alike give of all chases that the fish in question receive."""

    name: str
    fish: int
    share: float
    chief_in: int  # tanks in which the chief chaser is one of them


@dataclass(frozen=True)
class Third:
    """A third of the tank along one side."""

    name: str
    share: float  # of the time of the fish
    water: float  # of the open water


@dataclass(frozen=True)
class Places:
    """Where the fish are, over ``tanks`` simulated tanks."""

    tanks: int
    thirds: tuple[Third, ...]  # the most crowded for its water first
    crevices: float  # share of their time at or in a crevice
    corners: float  # and in a corner of the glass or under the surface


@dataclass(frozen=True)
class Busiest:
    """The hour of the lit day with the most chases; ``times`` the mean of all hours."""

    hour: int  # 1 is the first hour of light
    times: float
    told: bool  # more than in the others beyond doubt


@dataclass(frozen=True)
class Watch:
    """Figures of the tank as it is for somebody with a chair and a clock."""

    out: float  # mean share of lit time swimming free
    out_range: tuple[float, float]  # of single fish in single tanks, 5th to 95th percentile
    chasers: tuple[Chasers, ...]  # most chases first
    chased_tanks: int  # tanks in which the one that is looked at was chased at all
    chief_share: float  # what its chief chaser gives of all chases on it, mean over those tanks
    busiest: Busiest | None
    places: Places | None


def watched(relief: Relief, *, halted: Callable[[], bool] | None = None) -> Watch:
    """Read the tank as it is, with the places of the fish where there was time to run it once more.

    Where that is broken off, by Ctrl-C or by ``halted``, the answer does without.
    """
    scenario, whom = relief.plan.scenario, relief.whom
    places = None
    if not relief.stopped:
        with contextlib.suppress(KeyboardInterrupt, HaltedError):
            places = places_of(scenario, labels=whom.labels, halted=halted)
    return watch_of(scenario, relief.seen, whom=whom, kinds=relief.kinds, places=places)


def watch_of(
    scenario: Scenario,
    seen: Iterable[TankRow],
    *,
    whom: FishGroup,
    kinds: Iterable[Kind],
    places: Places | None = None,
) -> Watch:
    """Read the rows of the base.

    Parameters
    ----------
    seen : rows of the base, by trial.
    whom : whose they are.
    places : see :func:`places_of`.
    """
    rows = list(seen)
    share, chief_in, tanks = _chief(rows, whom)
    return Watch(
        out=float(np.nanmean([_out(row, whom.labels) for row in rows])),
        out_range=out_range(rows, whom.labels),
        chasers=_chasers(rows, whom, list(kinds), chief_in),
        chased_tanks=tanks,
        chief_share=share,
        busiest=_busiest(scenario, rows, whom),
        places=places,
    )


def out_range(rows: Iterable[TankRow], labels: Iterable[str]) -> tuple[float, float]:
    """5th to 95th percentile of the share of lit time that single fish swim free in single tanks."""
    wanted = set(labels)
    shares = [
        float(row.parts[FREE].top[i] / row.lit_s[i])
        for row in rows
        for i, label in enumerate(row.labels)
        if label in wanted and row.lit_s[i] > 0
    ]
    if not shares:
        return NAN, NAN
    low, high = np.percentile(shares, WATCHED)
    return float(low), float(high)


def _out(row: TankRow, labels: Iterable[str]) -> float:
    return value_of(row, measure=FREE, labels=labels)


def _chief(rows: Iterable[TankRow], whom: FishGroup) -> tuple[float, dict[str, int], int]:
    """Mean share of chases by the chief chaser, how often each fish is it, and in how many tanks."""
    shares, often = [], dict[str, int]()
    for row in rows:
        one = whom.one(row.trial)
        chief = chief_chaser(row, one)
        if chief is None or row.chases is None:
            continue
        got = row.chases[:, row.labels.index(one)]
        shares.append(float(got.max() / got.sum()))
        often[chief] = often.get(chief, 0) + 1
    return float(np.mean(shares)) if shares else NAN, often, len(shares)


def _chasers(
    rows: Iterable[TankRow], whom: FishGroup, kinds: Iterable[Kind], chief_in: Mapping[str, int]
) -> tuple[Chasers, ...]:
    given: dict[str, float] = {}
    for row in rows:
        if row.chases is None:
            continue
        who = np.isin(row.labels, list(whom.labels))
        for label, count in zip(row.labels, row.chases[:, who].sum(axis=1), strict=True):
            given[label] = given.get(label, 0.0) + float(count)
    total = sum(given.values())
    found = [
        Chasers(
            kind.name,
            len(kind.labels),
            sum(given.get(label, 0.0) for label in kind.labels) / total if total else NAN,
            sum(chief_in.get(label, 0) for label in kind.labels),
        )
        for kind in kinds
    ]
    return tuple(sorted(found, key=lambda one: -one.share)) if total else ()


def _busiest(scenario: Scenario, rows: Iterable[TankRow], whom: FishGroup) -> Busiest | None:
    """By tanks: the chases of an hour of the day less their mean over all hours."""
    begin = scenario.measured_days[0] * scenario.lit_hours
    tables, draw = [], []
    for row in rows:
        if row.hour_chased is not None:
            who = np.isin(row.labels, list(whom.labels))
            tables.append(row.hour_chased[who].sum(axis=0).astype(float))
            draw.append(row.draw)
    counts = np.array(tables)
    if not counts.size or not counts.any():
        return None
    hours = np.floor((begin + np.arange(counts.shape[1])) % scenario.lit_hours + 1e-9).astype(int)
    of_day = np.unique(hours)
    if len(of_day) < 2:
        return None
    by_hour = np.stack([counts[:, hours == hour].mean(axis=1) for hour in of_day], axis=1)
    excess = by_hour - by_hour.mean(axis=1, keepdims=True)
    k = int(excess.mean(axis=0).argmax())
    low = _lower(excess[:, k], np.array(draw), len(of_day), scenario.run.fixed)
    return Busiest(int(of_day[k]) + 1, float(by_hour[:, k].mean() / by_hour.mean()), low > 0)


def _lower(values: Floats, draw: NDArray[np.int64], hours: int, fixed: bool) -> float:
    """Lower limit that holds for all hours at once; minus infinity where it cannot be told."""
    sure = 1 - (1 - CONFIDENCE) / hours
    low, _ = cluster_interval(values, cluster=units_of(draw, fixed), confidence=sure)
    return low if math.isfinite(low) else -math.inf


def places_of(
    scenario: Scenario, *, labels: Iterable[str], tanks: int = TANKS, halted: Callable[[], bool] | None = None
) -> Places:
    """Run the first few trials once more and read where the fish were in the measured time.

    ``halted`` and HaltedError: see :meth:`rockshy.sim.run.model.TankModel.run`.
    """
    wanted = set(labels)
    thirds = {side: np.zeros((2, 3)) for side in THIRDS}
    shelters = np.zeros(2)
    number = min(tanks, scenario.run.trials)
    for trial in range(number):
        with model_of_trial(scenario, trial) as model:
            ledger = model.run(halted=halted)
            who = np.array([one.label in wanted for one in model.people], dtype=bool)
            visits = ledger.visits[who].sum(axis=0).astype(float)
        if visits.sum() > 0:
            visits /= visits.sum()
        _add_thirds(thirds, model.tank, visits)
        shelters += _at_shelters(model.tank, visits)
    found = [
        Third(name, float(table[0, k] / number), float(table[1, k] / number))
        for (side, names), table in zip(THIRDS.items(), thirds.values(), strict=True)
        for k, name in enumerate(names)
        if side != "x" or scenario.rock.sketch is not None  # rock that is drawn favours neither end
    ]
    found.sort(key=lambda one: one.water - one.share)
    return Places(number, tuple(found), float(shelters[0] / number), float(shelters[1] / number))


def _add_thirds(thirds: dict[str, Floats], tank: Tank, visits: Floats) -> None:
    """Add the shares of the fish's time and of the water in each third along each side."""
    for axis, table in enumerate(thirds.values()):
        middle = (tank.xyz[:, axis] + 0.5) / tank.shape[axis]
        third = np.minimum((3 * middle).astype(np.int64), 2)
        table[0] += np.bincount(third, weights=visits, minlength=3)
        table[1] += np.bincount(third, minlength=3) / len(third)


def _at_shelters(tank: Tank, visits: Floats) -> Floats:
    """Shares of the time in cells with the mouth of a crevice, and else in corners and under the surface."""
    crevice = np.unique(tank.refuge_cell[~tank.refuge_corner])
    corner = np.setdiff1d(tank.refuge_cell[tank.refuge_corner], crevice)
    return np.array([visits[crevice].sum(), visits[corner].sum()])
