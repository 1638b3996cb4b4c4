"""How much rock: which tanks are simulated at which amount, and what cannot be asked.

Every amount gets a round of tanks; then those that may lie on either side of the wanted level get more,
until the answer hinges on none. A round is as many guesses as can tell the wanted level from nothing, every
tank with a guess of its own: a second tank of the same guess would tell less. Tank k has the same guess,
fish and luck at every amount.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ....sim.fish.population import individuals
from ....sim.run.drawing import check_water
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.reading.limits import LIMITS
from ....sim.scenario.scenario import Scenario
from ....sim.tank.tank import WaterError
from ...measures.row import BOTH
from ...measures.whom import FishGroup
from ...study import runner
from ...study.choosing import choose_victim
from ...study.runner import Announce, Batch, Run, Study
from .grid import Grid, grid_of
from .least import Least, draws_needed, hinges, least
from .rows import Table

SEED = 20  # of the bootstrap: the same rows give the same answer
LEVEL = 0.1  # wanted pinned chance: one tank in ten


class CountError(ValueError):
    """No fish of the species can be pinned; the message says why."""


@dataclass(frozen=True)
class Plan(runner.Plan):
    """At most ``trials`` at one amount, ``a_round`` at a time; ``scenario`` is the keeper's own."""

    tank: Scenario  # the same as the file says
    grid: Grid
    whom: FishGroup | None  # all of a species that was asked for; None: that of the victim
    level: float
    a_round: int
    monotone: bool = False

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        return tuple(point.scenario for point in self.grid.points)

    def least(self, table: Table, places: Sequence[int]) -> Least:
        """The least amount along a line of places."""
        tried = [table.tried(place) for place in places]
        rng = np.random.default_rng(SEED)
        return least(tried, level=self.level, rng=rng, monotone=self.monotone)


def plan_of(
    scenario: Scenario,
    grid: Grid,
    *,
    whom: FishGroup | None = None,
    level: float = LEVEL,
    trials: int | None = None,
    monotone: bool = False,
) -> Plan:
    """A plan in which every trial is a guess of its own, whatever the scenario says.

    A trial's guess is its number, however many are asked for: more can be added later.

    Parameters
    ----------
    whom : all fish of a species; that of the victim when None.
    trials : at most so many at one amount; the scenario's, and at least one round, when None.
    """
    a_round = draws_needed(level)
    most = max(scenario.run.trials, a_round) if trials is None else trials
    room = int(LIMITS["run.trials"].high)
    sized = replace(scenario.run, guesses=room, trials=room, controls=True)
    points = tuple(
        replace(point, scenario=replace(point.scenario, run=sized, alternatives=())) for point in grid.points
    )
    own = replace(scenario, run=sized)
    return Plan(own, most, scenario, replace(grid, points=points), whom, level, a_round, monotone)


def check_counts(scenario: Scenario, species: str) -> None:
    """Refuse a species of which no fish can be pinned: holding females never count.

    Raises
    ------
    CountError
    """
    there = scenario.measured_fish
    staying = [one for one in individuals(scenario.stock) if one.species == species and one.label in there]
    if not staying:
        begins = scenario.measured_days[0]
        raise CountError(f"{species}: all of it is out before day {begins:g}, when measuring begins")
    if all(one.holding for one in staying):
        raise CountError(
            f"{species} has only holding females, which never count as pinned; use another species"
        )


def watered_grid(scenario: Scenario, names: Sequence[str], *, level: float = LEVEL) -> Grid:
    """The amounts of rock to try that leave water to swim in, in every tank that may be simulated.

    Raises
    ------
    GridError
        When the rock cannot be varied so.
    """
    run = replace(scenario.run, trials=max(scenario.run.trials, draws_needed(level)))
    return grid_of(scenario, names=names, fits=lambda tried: _has_water(replace(tried, run=run)))


def _has_water(scenario: Scenario) -> bool:
    """Whether the rock of every simulated tank leaves water to swim in."""
    try:
        check_water(scenario)
    except WaterError:
        return False
    return True


class Design(Study):
    """A round at every amount, then the rounds that decide.

    Parameters
    ----------
    there : whether a job was finished by an earlier run, so that it says nothing about speed.
    clock : seconds, for the measured speed.

    Attributes
    ----------
    fresh : tanks that were simulated in :attr:`seconds`.
    whom : whose species is looked at, once it was seen or asked for.
    """

    def __init__(
        self,
        plan: Plan,
        *,
        there: Callable[[Job], bool] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(plan.scenarios)
        self.plan, self.fresh = plan, 0
        self.whom = plan.whom or FishGroup("", (), "", "")
        self._clock, self._began, self._ended = clock, clock(), 0.0
        self._is_there, self._there = there, set[Job]()

    def batches(self) -> Iterator[Batch]:
        """Rounds, trial by trial: a run cut short has tried all places alike."""
        places: Sequence[int] = range(len(self.scenarios))
        number = 0
        while places:
            number += 1
            done = [self.table.run(place) for place in places]
            jobs = [
                Job(place, ran + k, BOTH)
                for k in range(self.plan.a_round)
                for place, ran in zip(places, done, strict=True)
                if ran + k < self.plan.trials
            ]
            self._there = {job for job in jobs if self._is_there is not None and self._is_there(job)}
            new, grid = len(jobs) - len(self._there), self.plan.grid
            named = ", ".join(grid.short(place) for place in places) if number > 1 else "all amounts"
            yield Batch(f"Round {number}: {new} simulated tanks, at {named}." if new else "", jobs)
            places = self.undecided()

    def undecided(self) -> tuple[int, ...]:
        """The places at which a further round may decide and is still asked for."""
        plan, table = self.plan, self.table
        wanted = {places[k] for places in plan.grid.lines for k in hinges(plan.least(table, places))}
        return tuple(sorted(place for place in wanted if table.run(place) < plan.trials))

    def carry_out(self, run: Run, told: Announce | None = None) -> None:
        """See :meth:`rockshy.analysis.study.runner.Study.carry_out`; the victim is seen first.

        Raises
        ------
        CountError
            When no fish of the species can be pinned.
        """
        plan = self.plan
        if plan.whom is None:
            self.whom, _ = choose_victim(plan.tank, run, place=len(plan.scenarios), told=told)
        check_counts(plan.tank, self.species)
        self._began = self._clock()
        super().carry_out(run, told)
        self._ended = self._clock()

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a finished job."""
        super().take(job, outcomes)
        self.fresh += job not in self._there

    @property
    def species(self) -> str:
        """Key of the species that is looked at."""
        return self.whom.species

    @property
    def seconds(self) -> float:
        """How long it took, or has taken so far."""
        return (self._ended or self._clock()) - self._began

    @property
    def table(self) -> Table:
        """The rows so far by amount of rock."""
        plan = self.plan
        return Table(self.rows.values(), species=self.species, amounts=len(plan.scenarios), fixed=plan.fixed)
