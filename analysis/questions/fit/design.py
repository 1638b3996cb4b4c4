"""Which tanks are simulated for a fit: one for each of many draws, then some of the moved draws.

Scenario 0 has well-spread draws, each in a trial of its own. Only where the tally may be of such a tank, the
draws are moved towards it and some of them simulated again, as scenario 1, which checks them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ....sim.fish.population import individuals
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...measures.row import BOTH, row_of, value_of
from ...statistics.intervals import Floats
from ...statistics.misfit import Misfit
from ...statistics.smoother import smoothed
from ...study.runner import Batch, Plan, Study
from ..guesses.inputs import GuessError, Input
from ..watching.rows import groups_of
from ..watching.tally import Tally
from .draws import given_of, inputs_of, scores_of, under, values_of
from .figures import Figures, figures_of
from .tanks import parted

DRAWS = 256
FEWEST = 200  # with fewer draws the intervals hold the truth too seldom: measured on made-up true tanks
ADAPTED = 64
OUTSIDE = 0.05  # a tally is outside when no more than this share of simulated tanks lies as far out
SURELY = 0.01  # of true tanks next to none lies so far out, some lie between
MORE = (1, 5)  # further watches whose worth is told
GOALS = (LOST, HIDDEN, RECEIVED, PINNED_FISH)
Renew = Callable[[int, Scenario], None]  # makes room for another scenario under a number


class FitError(ValueError):
    """A tally cannot be fitted to; the message says what was found and what is allowed."""


@dataclass(frozen=True)
class FitPlan(Plan):
    """A tally, the figures it gives, the fish that are told of, and everything that is drawn."""

    figures: Figures
    groups: dict[str, frozenset[str]]
    inputs: tuple[Input, ...]

    @property
    def tally(self) -> Tally:
        return self.figures.tally


def plan_of(scenario: Scenario, tally: Tally, *, trials: int | None = None) -> FitPlan:
    """What is simulated for a tally of a scenario's tank.

    Raises FitError when a tally says nothing, too few tanks are asked for, or nothing is drawn.
    """
    many = DRAWS if trials is None else trials
    if many < FEWEST:
        raise FitError(f"{many} simulated tanks are too few; use at least {FEWEST}")
    run = replace(scenario.run, trials=many, guesses=many, controls=False)
    wide = replace(scenario, run=run, alternatives=())
    try:
        return FitPlan(wide, many, figures_of(wide, tally), groups_in(wide), tuple(inputs_of(wide)))
    except GuessError as problem:
        raise FitError(str(problem)) from problem


def groups_in(scenario: Scenario) -> dict[str, frozenset[str]]:
    """The fish that are told of: each sex of each species, by the name a tally gives them."""
    people = individuals(scenario.stock)
    every = groups_of(people) or {people[0].species: frozenset(one.label for one in people)}
    return {name: own for name, own in every.items() if not any(one < own for one in every.values())}


class Design(Study):
    """Carries a plan out.

    Parameters
    ----------
    plan : see :func:`plan_of`.
    renew : called before moved draws are simulated, since those of another tally may have been kept.

    Attributes
    ----------
    seen : by scenario and trial, [1 + MORE, p] the figures of a watch like the keeper's, and of longer ones.
    figured : by scenario and trial, [goals, groups] the figures that are asked for.
    """

    def __init__(self, plan: FitPlan, *, renew: Renew | None = None) -> None:
        super().__init__([plan.scenario])
        self.plan, self._renew = plan, renew
        self.seen: dict[tuple[int, int], Floats] = {}
        self.figured: dict[tuple[int, int], Floats] = {}

    def batches(self) -> Iterator[Batch]:
        """The well-spread draws; then, unless the tally lies outside, some of the moved ones."""
        jobs = [Job(0, trial, BOTH) for trial in range(self.plan.trials)]
        yield Batch("One simulated tank for each guess at what nobody has measured", jobs)
        if self.misfit.beyond <= OUTSIDE:
            return
        self.scenarios.append(self.adapted)
        if self._renew is not None:
            self._renew(1, self.adapted)
        again = [Job(1, trial, BOTH) for trial in range(ADAPTED)]
        yield Batch("Your tally has moved the guesses; some are simulated again as a check", again)

    @property
    def can_answer(self) -> bool:
        """Whether all draws were simulated."""
        return self._done(0) == self.plan.trials

    @property
    def is_checked(self) -> bool:
        """Whether the moved draws were all simulated again."""
        return self._done(1) == ADAPTED

    @property
    def tanks(self) -> int:
        return len(self.seen)

    def _done(self, which: int) -> int:
        return sum(own == which for own, _ in self.seen)

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a finished tank: what a watcher would have said of it, and what it came to."""
        plain, tank = parted(outcomes)
        figures = self.plan.figures
        longer = [figures.watched(tank, more=more) for more in (0, *MORE)]
        self.seen[job.which, job.trial] = np.stack(longer)
        row = row_of(self.scenarios[job.which], job, plain)
        self.figured[job.which, job.trial] = np.array(
            [
                [value_of(row, measure=goal, labels=labels) for labels in self.plan.groups.values()]
                for goal in GOALS
            ]
        )

    def all_seen(self, which: int, more: int = 0) -> Floats:
        """Figures of every tank of a scenario, [n, p]; ``more`` of ``MORE`` watches, by place."""
        return np.stack([self.seen[key][more] for key in sorted(self.seen) if key[0] == which])

    def all_figured(self, which: int) -> Floats:
        """What every tank of a scenario came to, [n, goals, groups]."""
        return np.stack([self.figured[key] for key in sorted(self.figured) if key[0] == which])

    @cached_property
    def misfit(self) -> Misfit:
        """How the tally lies among the simulated tanks; all of them done."""
        return self.misfit_in(0)

    def misfit_in(self, which: int) -> Misfit:
        """How it lies among the tanks of a scenario, by how much its figures are."""
        figures = self.plan.figures
        return figures.misfit(self.all_seen(which), figures.counted)

    @cached_property
    def scores(self) -> tuple[Floats, Floats]:
        """Normal scores of the draws, as drawn and moved, [n, inputs]."""
        inputs = self.plan.inputs
        drawn = scores_of(inputs, values_of(self.plan.scenario, inputs, range(self.plan.trials)))
        return drawn, smoothed(drawn, self.all_seen(0), self.plan.figures.counted)

    @cached_property
    def adapted(self) -> Scenario:
        """The scenario under the moved draws."""
        given = given_of(self.plan.inputs, self.scores[1][:ADAPTED])
        run = replace(self.plan.scenario.run, trials=ADAPTED, guesses=ADAPTED)
        return under(replace(self.plan.scenario, run=run), given)
