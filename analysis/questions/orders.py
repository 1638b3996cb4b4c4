"""In which order over weeks fish go in: each order lived for months in the same simulated tanks.

All orders are sifted in one block of trials; the best of those that take weeks and all at once are then
lived afresh, so that what is said of their difference chose nothing. Weeks count once the last fish of every
order is in.

Source: Cox1975 (choosing and testing apart).
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from ...sim.rules.support.draws import BLOCK
from ...sim.run.set_ups import draw_of
from ...sim.run.table import LEFT_ALONE
from ...sim.run.trials import Job, Outcome
from ...sim.scenario.scenario import Alternative, Scenario
from ..measures.row import STOCKED
from ..statistics.intervals import Floats
from ..statistics.paired import Difference, paired_difference
from ..study.asking import kept_in
from ..study.runner import Announce, Batch, Progress, Run, Runner, Study
from .life.instead import Lived, lived_of

GAP_D = 14.0  # days from one group to the next (assumption)
WEEKS = f"{GAP_D / 7.0:g} weeks"
SIFT, FRESH = range(BLOCK), range(BLOCK, 4 * BLOCK)
AT_ONCE = 0  # number of the order in which all go in together
LEAST_MONTHS, MOST_MONTHS = 2, 24

FOLDER = "order"  # within the result folder
Labels = tuple[str, ...]


@dataclass(frozen=True)
class Way:
    """One order: what it is called, and each tank with the days on which its fish come and leave."""

    said: str
    tanks: tuple[Scenario, ...]


@dataclass(frozen=True)
class Asked:
    """Which orders are lived.

    Attributes
    ----------
    ways : the first is all at once.
    groups : of each tank, the name and the fish of everybody who is in it in the end.
    fixed : nothing unmeasured is drawn.
    """

    months: int
    ways: tuple[Way, ...]
    groups: tuple[tuple[tuple[str, Labels], ...], ...]
    fixed: bool

    @property
    def first(self) -> Scenario:
        """The first tank, and all others as its alternatives: what a folder of finished lives is of."""
        every = {f"{way.said}, {k}": one for way in self.ways for k, one in enumerate(way.tanks, 1)}
        base = self.ways[AT_ONCE].tanks[0]
        others = tuple(Alternative(name, (), one) for name, one in every.items() if one != base)
        return replace(base, alternatives=others)

    @property
    def lived(self) -> Lived:
        """What carries out one trial; raises LifeError."""
        return lived_of([one for way in self.ways for one in way.tanks], self.months)


@dataclass(frozen=True)
class Ordered:
    """What came of it.

    Attributes
    ----------
    best : of the orders that take weeks, that which was sifted as the best.
    why : instead of all else, why none was lived.
    worst, kept : who is worst off in it, and what they keep; ``at_once``: what the worst off keep then.
    difference : the best less all at once, in lives that chose neither; None where none was lived.
    tried : every order with what its worst off kept where it was sifted.
    """

    months: int
    why: str = ""
    best: str = ""
    worst: str = ""
    kept: float = 0.0
    at_once: float = 0.0
    difference: Difference | None = None
    tried: tuple[tuple[str, float], ...] = ()
    lives: int = 0


class Lives(Study):
    """Every order by number and tank; the orders' scenarios are the study's, each once."""

    def __init__(self, asked: Asked) -> None:
        super().__init__([])
        for one in (one for way in asked.ways for one in way.tanks):
            if one not in self.scenarios:
                self.scenarios.append(one)
        self.asked = asked
        self.numbers = [[self.scenarios.index(one) for one in way.tanks] for way in asked.ways]
        self.free: dict[tuple[int, int], Mapping[str, tuple[float, float]]] = {}
        self.left: dict[tuple[int, int], Mapping[str, tuple[float, float]]] = {}
        self.best = AT_ONCE

    def batches(self) -> Iterator[Batch]:
        """See the module."""
        ways = range(len(self.asked.ways))
        yield Batch(f"Orders of going in: {len(ways)}, lived", self._jobs(ways, SIFT))
        self.best = max(ways[1:], key=lambda way: float(np.nanmean(self.worst(way, SIFT)[1])))
        jobs = self._jobs((AT_ONCE, self.best), FRESH)
        yield Batch("The best order and all at once, lived afresh", jobs)

    def _jobs(self, ways: Sequence[int] | range, trials: range) -> list[Job]:
        jobs = []
        for trial in trials:
            jobs += [Job(which, trial, (LEFT_ALONE,)) for which in self.numbers[AT_ONCE]]
            those = dict.fromkeys(which for way in ways for which in self.numbers[way])
            jobs += [Job(which, trial, STOCKED) for which in those]
        return jobs

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Keep how long each fish swam free."""
        for one in outcomes:
            free, lit = one.columns["free_s"], one.columns["lit_s"]
            told = {
                fish.label: (float(free[k]), float(lit[k])) for k, fish in enumerate(one.people) if lit[k] > 0
            }
            (self.left if one.name == LEFT_ALONE else self.free)[job.which, job.trial] = told

    @property
    def can_answer(self) -> bool:
        """Whether all that is compared was lived."""
        jobs = self._jobs((AT_ONCE, self.best), FRESH)
        done = [(job.which, job.trial) in (self.free if job.arms == STOCKED else self.left) for job in jobs]
        return self.best != AT_ONCE and all(done)

    def worst(self, way: int, trials: Sequence[int]) -> tuple[str, Floats]:
        """Who keeps least on the mean of some trials, and what they keep in each, [t]."""
        found: list[tuple[str, Floats]] = []
        for tank, groups in enumerate(self.asked.groups):
            for name, labels in groups:
                found.append((name, np.array([self._kept(way, tank, labels, trial) for trial in trials])))
        return min(found, key=lambda one: float(np.nanmean(one[1])))

    def _kept(self, way: int, tank: int, labels: Labels, trial: int) -> float:
        """Of the free swimming some fish would have if left alone, what they keep."""
        own = self.free[self.numbers[way][tank], trial]
        alone = self.left[self.numbers[AT_ONCE][tank], trial]
        known = [(*own[label], *alone[label]) for label in labels if label in own and label in alone]
        bottom = sum(lit * free_alone / lit_alone for _, lit, free_alone, lit_alone in known)
        return sum(free for free, *_ in known) / bottom if bottom > 0 else float("nan")


def ordered(asked: Asked, run: Run, *, told: Announce | None = None) -> Ordered:
    """Live every order, and hold the best against all at once.

    Raises
    ------
    KeyboardInterrupt
        When it came before the lives were over.
    """
    work = Lives(asked)
    work.carry_out(run, told)
    (_, at_once), (name, values) = work.worst(AT_ONCE, FRESH), work.worst(work.best, FRESH)
    draw = np.array([draw_of(work.scenarios[0], trial) for trial in FRESH])
    difference = paired_difference(
        values, base=at_once, draw=draw, bounds=(-1.0, 1.0), fixed=asked.fixed, lower_is_better=False
    )
    return Ordered(
        asked.months,
        best=asked.ways[work.best].said,
        worst=name,
        kept=float(np.nanmean(values)),
        at_once=float(np.nanmean(at_once)),
        difference=difference,
        tried=tuple(
            (way.said, float(np.nanmean(work.worst(k, SIFT)[1]))) for k, way in enumerate(asked.ways)
        ),
        lives=len(work.free) + len(work.left),
    )


def order_of(
    asked: Asked | str,
    months: int,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    folder: str | os.PathLike[str] | None = None,
) -> Ordered:
    """Live the orders that are asked for, kept in a folder of their own within ``folder``.

    Raises
    ------
    ValueError
        For fewer or more months than may be.
    """
    if not LEAST_MONTHS <= months <= MOST_MONTHS:
        raise ValueError(f"months is {months}; use {LEAST_MONTHS} to {MOST_MONTHS}")
    if isinstance(asked, str):
        return Ordered(months, why=asked)
    lived, base = asked.lived, asked.first
    own = None if folder is None else os.path.join(folder, FOLDER)
    others = {one.name: one.scenario for one in base.alternatives}
    with kept_in(own, FOLDER, base, others=others, options=lived.options) as kept:
        return ordered(asked, Runner(kept, executor, progress, lived.work))
