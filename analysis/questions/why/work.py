"""Running a tank with mechanisms off: which trials, which coalitions, and what each is worth."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ....sim.fish.population import individuals
from ....sim.run.set_ups import watched
from ....sim.run.trials import Job
from ....sim.scenario.scenario import Scenario
from ...measures.registry import LOST, RECEIVED
from ...measures.row import BOTH, STOCKED, TankRow, bounds_over, value_of
from ...measures.whom import FishGroup, Kind, kinds_of, whom_of
from ...statistics.intervals import NAN, Estimate, Floats, estimate
from ...study.runner import Announce, Run, Study
from .game import Order, coalitions_of, everybody, orders_for
from .mechanisms import CROWDING, Switches, base_of

GOALS = (LOST, RECEIVED)
LEAST = {LOST: 0.02, RECEIVED: 0.1}  # share of free swimming; chases a lit hour: less is nothing to explain
LEAST_TRIALS = 16  # with fewer a t interval is not to be trusted (assumption)
PICKING = 16  # further trials in which the fish is chosen
MOST_TICKS = 1.4e9  # fish-seconds simulated unless asked for more: four minutes or so on two cores
THINNED = 0.75  # of the fish on the average, where crowding is one of the mechanisms


class WhyError(ValueError):
    """Nothing can be explained; the message says what was found."""


@dataclass(frozen=True)
class Plan:
    """What is asked. ``trials`` are cut to what MOST_TICKS allows unless they are ``meant``."""

    scenario: Scenario
    trials: int
    meant: bool
    mild: str  # species key
    kinds: tuple[Kind, ...]  # of the mild species: the worst off is explained when nobody is named


@dataclass(frozen=True)
class Row:
    """One simulated tank with all its coalitions; values are of GOALS, [2]."""

    trial: int
    guess: int
    orders: tuple[Order, ...]
    worth: dict[int, Floats]  # by coalition: bit i set where mechanism i is on
    clear_view: Floats  # nan where it was not run


def plan_of(scenario: Scenario, *, meant: bool = False) -> Plan:
    """Check that there are fish and trials enough.

    Parameters
    ----------
    meant : the number of trials was asked for and is not to be cut.

    Raises
    ------
    WhyError
        For a fish on its own, or fewer than LEAST_TRIALS trials.
    """
    people = individuals(scenario.stock)
    if len(people) < 2:
        raise WhyError(
            f"found one fish, {people[0].label}, that nobody can bully; allowed: a tank of two or more"
        )
    trials = scenario.run.trials
    if trials < LEAST_TRIALS:
        raise WhyError(f"found {trials} simulated tanks; allowed: at least {LEAST_TRIALS}")
    mild, _ = watched(scenario)
    return Plan(base_of(scenario), trials, meant, mild, _kinds_there(scenario, mild))


def _kinds_there(scenario: Scenario, species: str) -> tuple[Kind, ...]:
    """Kinds of a species of which some fish is in the tank while it is measured."""
    there = scenario.measured_fish
    kinds = kinds_of(scenario)
    return tuple(kind for kind in kinds if kind.species == species and there & set(kind.labels))


class Work:
    """What was run so far. Scenario k has the mechanisms off whose bits are set in k; one more is extra.

    Attributes
    ----------
    whom, switches : once :meth:`choose` was called.
    trials : that are run, after :meth:`choose`.
    exact : whether all coalitions are run in each trial.
    base : values in the tank as it is, by trial.
    rows : trials of which all coalitions are done, see :meth:`finished`.
    """

    def __init__(self, plan: Plan, run: Run, *, told: Announce | None = None) -> None:
        self.plan, self._study = plan, Study(run, told=told, slim=True)
        self.scenarios: list[Scenario] = [plan.scenario]
        self.whom = FishGroup("", (), "", "")
        self.switches: Switches
        self.trials, self.exact = 0, False
        self.seen, self.alone = self._study.rows, self._study.alone

    # ---- the steps

    def choose(self, whom: FishGroup | None) -> None:
        """Settle whom to explain, by trials of their own unless it was said, and how much to run.

        Raises
        ------
        WhyError
            When none of them is in the tank while it is measured.
        """
        if whom is None:
            whom = self._worst_off()
        self.whom = whom
        self.switches = Switches(self.plan.scenario, whom)
        players = self.players
        codes = [one.code for one in self.switches.mechanisms]
        self.scenarios = [
            self.switches.without(code for k, code in enumerate(codes) if off >> k & 1)
            for off in range(1 << players)
        ]
        self.scenarios[0] = self.plan.scenario
        clear = self.switches.clear_view()
        self.has_clear_view = clear is not None
        self.scenarios += [] if clear is None else [clear]
        self.exact, self.trials = self._how_much()

    @property
    def players(self) -> int:
        """How many mechanisms there are."""
        return len(self.switches.mechanisms)

    def run_base(self) -> None:
        """The tank as it is, and the same fish when nobody attacks, in all trials."""
        jobs = [Job(0, trial, BOTH) for trial in range(self.trials)]
        self._carry_out(jobs, "The tank as it is, and the same fish when nobody attacks")

    def base(self, goal: str) -> Estimate:
        """The figure that is to be explained, over all trials of the base."""
        rows = [self.seen[0, trial] for trial in range(self.trials)]
        values = [self._value(row, goal) for row in rows]
        bounds = bounds_over(goal, rows=rows)
        fixed = self.plan.scenario.run.fixed
        return estimate(values, guess=[row.guess for row in rows], bounds=bounds, fixed=fixed)

    def run_rest(self) -> None:
        """Every other coalition, trial by trial, so that what is broken off has whole trials."""
        extra = [1 << self.players] if self.has_clear_view else []
        jobs = [
            Job(place, trial, STOCKED)
            for trial in range(self.trials)
            for place in [*self._places(trial), *extra]
            if place
        ]
        self._carry_out(jobs, f"With {self.players} mechanisms on and off by turns")

    def finished(self) -> tuple[tuple[Row, ...], int]:
        """Trials of which everything is done, and how many of these cannot be judged."""
        rows, unjudged = [], 0
        for trial in sorted(self.alone):
            places = self._places(trial)
            if trial >= self.trials or any((place, trial) not in self.seen for place in places):
                continue
            row = self._row(trial, places)
            judged = all(np.isfinite(one).all() for one in row.worth.values())
            rows += [row] if judged else []
            unjudged += not judged
        return tuple(rows), unjudged

    @property
    def tanks(self) -> int:
        """How many tanks were simulated, those of the yardstick too."""
        return self._study.tanks

    # ---- choosing

    def _worst_off(self) -> FishGroup:
        kinds, nowhere = self.plan.kinds, "the mild species: none is in the tank while it is measured"
        if not kinds:
            raise WhyError(f"{self.plan.mild}, {nowhere}")
        if len(kinds) == 1:
            return whom_of(kinds[0], why="the mild species")
        trials = range(self.plan.trials, self.plan.trials + PICKING)
        self._carry_out([Job(0, trial, BOTH) for trial in trials], "To see which fish is the worst off")
        lost = [self._mean_lost(kind.labels, trials) for kind in kinds]
        if not np.isfinite(lost).any():
            raise WhyError(f"{self.plan.mild}, {nowhere}")
        worst = kinds[int(np.nanargmax(lost))]
        return whom_of(worst, why=f"the worst off of the mild species in {PICKING} further simulated tanks")

    def _mean_lost(self, labels: tuple[str, ...], trials: Iterable[int]) -> float:
        values = [value_of(self.seen[0, trial], measure=LOST, labels=labels) for trial in trials]
        known = [value for value in values if math.isfinite(value)]
        return float(np.mean(known)) if known else NAN

    def _how_much(self) -> tuple[bool, int]:
        """Whether all coalitions are run, and how many trials."""
        players, asked = self.players, self.plan.trials
        pair = len(self._chains(0)) if players else 1
        if self._ticks(1 << players) * asked <= MOST_TICKS or (1 << players) <= pair:
            exact, each = True, self._ticks(1 << players)
        else:
            exact, each = False, self._ticks(pair)
        if self.plan.meant:
            return exact, asked
        trials = min(asked, max(LEAST_TRIALS, int(MOST_TICKS // each)))
        guesses = self.plan.scenario.run.guesses
        if guesses < trials < asked:
            trials = trials // guesses * guesses
        return exact, trials

    def _ticks(self, coalitions: int) -> float:
        """Fish-seconds that a trial takes, the yardstick and the extra row with it."""
        scenario = self.plan.scenario
        run = scenario.run
        whole = scenario.measured_days[1] * run.lit_hours * 3600.0 * len(individuals(scenario.stock))
        thinned = any(one.code == CROWDING for one in self.switches.mechanisms)
        return whole * (coalitions * (THINNED if thinned else 1.0) + 1 + self.has_clear_view)

    # ---- running

    def _chains(self, trial: int) -> tuple[int, ...]:
        orders = orders_for(trial, players=self.players, seed=self.plan.scenario.run.seed)
        return coalitions_of(orders)

    def _places(self, trial: int) -> tuple[int, ...]:
        """Scenarios of a trial, by what is off in them."""
        whole = everybody(self.players)
        on = range(1 << self.players) if self.exact else self._chains(trial)
        return tuple(sorted(whole ^ coalition for coalition in on))

    def _row(self, trial: int, places: Iterable[int]) -> Row:
        whole = everybody(self.players)
        extra = self.seen.get((1 << self.players, trial)) if self.has_clear_view else None
        return Row(
            trial=trial,
            guess=self.seen[0, trial].guess,
            orders=()
            if self.exact
            else orders_for(trial, players=self.players, seed=self.plan.scenario.run.seed),
            worth={whole ^ place: self._values(self.seen[place, trial]) for place in places},
            clear_view=np.full(len(GOALS), NAN) if extra is None else self._values(extra),
        )

    def _values(self, seen: TankRow) -> Floats:
        return np.array([self._value(seen, goal) for goal in GOALS])

    def _value(self, seen: TankRow, goal: str) -> float:
        return value_of(seen, measure=goal, labels=self.switches.fish)

    def _carry_out(self, jobs: Sequence[Job], what: str) -> None:
        self._study.carry_out(self.scenarios, jobs, what=what)
