"""How much rock: a sweep over amounts of rock on common seeds, and what it answers.

Every amount gets a round of simulated tanks first; then the amounts that may lie on either side of the
wanted level get more rounds, until the answer hinges on none of them or each has as many as were asked
for. A round is as many guesses at what nobody has measured as can tell the wanted level from nothing, and
every tank of an amount has a guess of its own: a second tank of the same guess would tell less than one
of another. Tank k has the same guess, fish and luck at every amount. Rows are small and are all that is
kept of a tank.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from ....sim.run.trials import Job
from ....sim.scenario.reading.limits import LIMITS
from ....sim.scenario.scenario import Scenario
from ...measures.registry import BITES, FREE, HIDDEN, PINNED, RECEIVED
from ...measures.row import BOTH, TankRow, row_of
from ...statistics.intervals import CONFIDENCE, NAN, Count, Estimate
from ...statistics.multiple import holm
from ...statistics.paired import Difference
from ...study.runner import Run as JobsRun
from .grid import Grid, Point
from .least import CANNOT_TELL, Least, guesses_needed, hinges, least, trials_needed
from .rows import SWEPT, Table

SEED = 20  # of the bootstrap: the same rows give the same answer
LEVEL = 0.1  # wanted pinned chance: one tank in ten

Run = Callable[[Sequence[Scenario], Sequence[Job]], Iterable[TankRow]]
Announce = Callable[[int, Sequence[int], int], None]


@dataclass(frozen=True)
class Plan:
    """How a sweep is to be run: at most ``trials`` at one amount, ``a_round`` at a time."""

    grid: Grid
    species: str
    level: float
    trials: int
    a_round: int
    fixed: bool
    monotone: bool = False

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        return tuple(point.scenario for point in self.grid.points)


@dataclass(frozen=True)
class SweepRun:
    """The rows of a sweep that was run or broken off."""

    rows: tuple[TankRow, ...]
    seconds: float  # it took
    fresh: int  # tanks that were simulated in that time
    stopped: bool


@dataclass(frozen=True)
class AmountFigures:
    """What was seen at one amount of rock."""

    values: tuple[float, ...]
    said: str
    own: bool
    run: int  # simulated tanks
    pinned: Count
    received: Estimate  # this and bites on model scale
    hidden: Estimate
    free: Estimate
    bites: Estimate
    against_own: Difference | None  # pinned here less pinned in the keeper's tank now, trial by trial


@dataclass(frozen=True)
class Change:
    """The surest rise or fall of a measure with more rock along a line, trial by trial."""

    measure: str
    less: int  # places of the two amounts
    more: int
    difference: Difference  # with more rock less with less
    p_value: float  # corrected for all pairs of amounts looked at (Holm)
    pairs: int

    @property
    def rises(self) -> bool:
        """Whether there is more of it with more rock."""
        return self.difference.value > 0

    @property
    def is_worse(self) -> bool:
        """Whether the species is the worse off by it."""
        return not self.difference.improved


@dataclass(frozen=True)
class Line:
    """The answer along one line: everything at one height, say, or the whole sweep."""

    places: tuple[int, ...]  # of the amounts, ascending
    other: float | None  # value of the second axis
    least: Least
    within: tuple[int, ...]  # places with at most the wanted share of their tanks, each by itself
    changes: tuple[Change, ...]
    trials_more: float  # at the largest amount, until it can be told; 0 when it can, inf where it never will
    ask_for: int  # trials at each amount that would be enough, in whole rounds; 0 where none would
    minutes_more: float

    @property
    def found(self) -> int | None:
        """Place of the least amount, or None."""
        return self.places[self.least.place] if self.least.place < len(self.places) else None


@dataclass(frozen=True)
class RockAnswer:
    """Every number of the printed answer about how much rock."""

    title: str
    question: str
    species: str
    why: str  # why it is this species
    mild: bool  # it is the mild species that is watched
    level: float
    fixed: bool
    monotone: bool
    guesses: int
    most_trials: int
    measured_hours: int
    tanks: int
    stopped: bool
    remarks: tuple[str, ...]
    amounts: tuple[AmountFigures, ...]
    lines: tuple[Line, ...]


def plan_of(
    scenario: Scenario,
    grid: Grid,
    *,
    species: str,
    level: float = LEVEL,
    trials: int | None = None,
    monotone: bool = False,
) -> Plan:
    """A plan in which every trial is a guess of its own, whatever the scenario says.

    A trial's guess is its number, however many are asked for: more can be added later.

    Parameters
    ----------
    trials : at most so many at one amount; the scenario's, and at least one round, when None.
    """
    a_round = guesses_needed(level)
    most = max(scenario.run.trials, a_round) if trials is None else trials
    room = int(LIMITS["run.trials"].high)
    sized = replace(scenario.run, guesses=room, trials=room, controls=True)
    points = tuple(_prepared(point, replace(point.scenario, run=sized)) for point in grid.points)
    return Plan(replace(grid, points=points), species, level, most, a_round, sized.fixed, monotone)


def _prepared(point: Point, scenario: Scenario) -> Point:
    return replace(point, scenario=replace(scenario, alternatives=()))


def sweep(
    plan: Plan,
    run: Run,
    *,
    told: Announce | None = None,
    there: Callable[[Job], bool] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> SweepRun:
    """Run the first round at every amount, then the rounds that decide.

    Parameters
    ----------
    run : carries out jobs and yields their rows, in any order.
    told : called before each round with its number, its places and how many tanks are to be simulated.
    there : whether a job was finished by an earlier run, so that it says nothing about speed.
    clock : seconds, for the measured speed.

    Returns
    -------
    SweepRun
        With KeyboardInterrupt during the run: of what was done so far, at least one tank.
    """
    began = clock()
    rows: list[TankRow] = []
    done = [0] * len(plan.grid.points)
    places: tuple[int, ...] = tuple(range(len(done)))
    number, fresh, stopped = 0, 0, False
    try:
        while places:
            number += 1
            jobs = _next_jobs(plan, places, done)
            kept = {(job.which, job.trial) for job in jobs if there is not None and there(job)}
            if told is not None and len(kept) < len(jobs):
                told(number, places, len(jobs) - len(kept))
            for row in run(plan.scenarios, jobs):
                rows.append(row)  # one by one: a run that is broken off keeps what it has
                fresh += (row.which, row.trial) not in kept
            for place in places:
                done[place] = min(plan.trials, done[place] + plan.a_round)
            places = undecided(plan, rows)
    except KeyboardInterrupt:
        if not rows:
            raise
        stopped = True
    return SweepRun(tuple(rows), clock() - began, fresh, stopped)


def rows_of(run: JobsRun) -> Run:
    """Rows of what carries out jobs."""

    def rows(scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[TankRow]:
        for job, outcomes in run(scenarios, jobs):
            yield row_of(scenarios[job.which], job, outcomes)

    return rows


def _next_jobs(plan: Plan, places: Sequence[int], done: Sequence[int]) -> list[Job]:
    """The next round at some places, trial by trial: a run cut short has tried all of them alike."""
    return [
        Job(place, done[place] + k, BOTH)
        for k in range(plan.a_round)
        for place in places
        if done[place] + k < plan.trials
    ]


def undecided(plan: Plan, rows: Iterable[TankRow]) -> tuple[int, ...]:
    """The places at which a further round may decide and is still asked for."""
    table = Table(rows, species=plan.species, amounts=len(plan.grid.points), fixed=plan.fixed)
    wanted = {places[k] for places in plan.grid.lines for k in hinges(_least(plan, table, places))}
    return tuple(sorted(place for place in wanted if table.run(place) < plan.trials))


def _least(plan: Plan, table: Table, places: Sequence[int]) -> Least:
    tried = [table.tried(place) for place in places]
    rng = np.random.default_rng(SEED)
    return least(tried, level=plan.level, rng=rng, monotone=plan.monotone)


def answer_of(plan: Plan, swept: SweepRun, *, scenario: Scenario, why: str, mild: bool = True) -> RockAnswer:
    """Work out the answer.

    Parameters
    ----------
    scenario : the keeper's own, for its title and question.
    why, mild : why it is this species that is looked at, and whether it is the mild one.

    Raises
    ------
    ValueError
        When no tank judges the species.
    """
    table = Table(swept.rows, species=plan.species, amounts=len(plan.grid.points), fixed=plan.fixed)
    if not any(len(table.tried(place).hits) for place in range(table.amounts)):
        raise ValueError(f"no simulated tank has a fish of {plan.species} that counts")
    each_s = swept.seconds / swept.fresh if swept.fresh else NAN
    run = plan.scenarios[0].run
    return RockAnswer(
        title=scenario.title,
        question=scenario.question,
        species=plan.species,
        why=why,
        mild=mild,
        level=plan.level,
        fixed=plan.fixed,
        monotone=plan.monotone,
        guesses=1 if plan.fixed else len({row.guess for row in swept.rows}),
        most_trials=plan.trials,
        measured_hours=max(1, math.floor((run.days - run.settle_days) * run.lit_hours + 1e-9)),
        tanks=len(swept.rows),
        stopped=swept.stopped,
        remarks=plan.grid.remarks,
        amounts=tuple(_amounted(plan.grid, table, place) for place in range(table.amounts)),
        lines=tuple(_line(plan, table, k, each_s) for k in range(len(plan.grid.lines))),
    )


def _amounted(grid: Grid, table: Table, place: int) -> AmountFigures:
    own = grid.own
    against = None
    if own is not None and own != place:
        against = table.difference(own, place, name=PINNED)
    return AmountFigures(
        values=grid.points[place].values,
        said=grid.short(place),
        own=grid.points[place].own,
        run=table.run(place),
        pinned=table.count(place),
        received=table.estimate(place, name=RECEIVED),
        hidden=table.estimate(place, name=HIDDEN),
        free=table.estimate(place, name=FREE),
        bites=table.estimate(place, name=BITES),
        against_own=against,
    )


def _line(plan: Plan, table: Table, number: int, each_s: float) -> Line:
    places = plan.grid.lines[number]
    found = _least(plan, table, places)
    more, minutes, asked = 0.0, 0.0, 0
    if found.verdict == CANNOT_TELL:
        more = minutes = trials_needed(table.tried(places[-1]), level=plan.level)
        if math.isfinite(more):
            rounds = math.ceil((table.run(places[-1]) + more) / plan.a_round)
            asked = plan.a_round * max(1, rounds)
            tanks = sum(max(0, asked - table.run(places[k])) for k in hinges(found))
            minutes = tanks * each_s / 60.0
    other = plan.grid.axes[1].values[number] if len(plan.grid.axes) == 2 else None
    within = tuple(place for place in places if table.tried(place).share <= plan.level)
    return Line(places, other, found, within, tuple(changes(table, places)), more, asked, minutes)


def changes(table: Table, places: Sequence[int]) -> list[Change]:
    """The surest rise and the surest fall of each measure along a line, where they are beyond doubt.

    All pairs of amounts are compared trial by trial and the p values corrected for their number.
    """
    pairs = list(combinations(places, 2))
    found: list[Change] = []
    for measure in SWEPT:
        compared = [table.difference(less, more, name=measure) for less, more in pairs]
        corrected = holm([one.p_value for one in compared])
        seen = [
            Change(measure, *pair, difference, float(p_value), len(pairs))
            for pair, difference, p_value in zip(pairs, compared, corrected, strict=True)
            if p_value <= 1 - CONFIDENCE
        ]
        for rises in (True, False):
            told = [one for one in seen if one.rises == rises]
            found += sorted(told, key=lambda one: (one.p_value, -abs(one.difference.value)))[:1]
    return found
