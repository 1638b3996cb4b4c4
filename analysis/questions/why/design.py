"""Which trials are run with which mechanisms off, and what each coalition is worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ....sim.fish.population import individuals
from ....sim.run.set_ups import a_round
from ....sim.run.trials import Job
from ....sim.scenario.scenario import Scenario
from ...measures.registry import LOST, RECEIVED
from ...measures.row import BOTH, STOCKED, TankRow, bounds_over, value_of
from ...measures.victim import first_tanks, victim_of
from ...measures.whom import FishGroup, FishGroupError, kinds_of
from ...statistics.intervals import NAN, Estimate, Floats, estimate
from ...study import runner
from ...study.choosing import CHOOSING
from ...study.runner import Batch, Study
from .game import Order, coalitions_of, everybody, orders_for
from .mechanisms import CROWDING, Switches, base_of

GOALS = (LOST, RECEIVED)
LEAST = {LOST: 0.02, RECEIVED: 0.1}  # share of free swimming; chases a lit hour: less is nothing to explain
LEAST_TRIALS = 16  # with fewer a t interval is not to be trusted (assumption)
MOST_TICKS = 1.4e9  # fish-seconds simulated unless asked for more: four minutes or so on two cores
THINNED = 0.75  # of the fish on the average, where crowding is one of the mechanisms


class WhyError(ValueError):
    """Nothing can be explained; the message says what was found."""


@dataclass(frozen=True)
class Plan(runner.Plan):
    """What is asked. ``trials`` are cut to what MOST_TICKS allows unless they are ``meant``."""

    meant: bool
    watch: str | None  # the species that the file watches


@dataclass(frozen=True)
class Row:
    """One simulated tank with all its coalitions; values are of GOALS, [2]."""

    trial: int
    draw: int
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
            f"there is one fish, {people[0].label}, and nobody to bully it; use a tank of two or more"
        )
    trials = scenario.run.trials
    if trials < LEAST_TRIALS:
        raise WhyError(f"{trials} simulated tanks are too few; use at least {LEAST_TRIALS}")
    return Plan(base_of(scenario), trials, meant, scenario.run.watch)


class Design(Study):
    """Scenario k has the mechanisms off whose bits are set in k; one more is extra.

    Parameters
    ----------
    whom : the fish to explain; when None the victim.

    Attributes
    ----------
    switches, trials, exact : the mechanisms; how many trials, and whether all coalitions, are run.
    whole : by goal, the figure that is to be explained, over all trials of the tank as it is.
    """

    def __init__(self, plan: Plan, whom: FishGroup | None) -> None:
        super().__init__([plan.scenario], slim=True)
        self.plan, self._asked = plan, whom
        self.whom = FishGroup("", (), "", "")
        self.switches: Switches
        self.trials, self.exact = 0, False
        self.whole: dict[str, Estimate] = {}

    # ---- what is run next

    def batches(self) -> Iterator[Batch]:
        """Who the victim is; the rest of the tank as it is; where there is trouble, every other coalition.

        Raises
        ------
        WhyError
            When none of the fish is in the tank while it is measured.
        """
        seen = first_tanks(self.plan.trials) if self._asked is None else range(0)
        yield Batch(CHOOSING, [Job(0, trial, BOTH) for trial in seen])
        self._settle(self._asked or self._victim())
        jobs = [Job(0, trial, BOTH) for trial in range(len(seen), self.trials)]
        yield Batch("The tank as it is, and the same fish when nobody attacks", jobs)
        self.whole = {goal: self._base(goal) for goal in GOALS}
        if self.has_trouble:
            jobs = [
                Job(place, trial, STOCKED)
                for trial in range(self.trials)
                for place in [*self._places(trial), *self._extra]
                if place
            ]
            yield Batch(f"With {self.players} possible causes switched on and off in turn", jobs)

    def _victim(self) -> FishGroup:
        try:
            return victim_of(kinds_of(self.plan.scenario), self.lost, watch=self.plan.watch)
        except FishGroupError as problem:
            raise WhyError(str(problem)) from problem

    @property
    def can_answer(self) -> bool:
        """Whether two trials are done with all of their coalitions."""
        return bool(self.whole) and len(self.finished()[0]) > 1

    @property
    def has_trouble(self) -> bool:
        """Whether there is anything to explain."""
        return any(is_trouble(goal, one) for goal, one in self.whole.items())

    @property
    def players(self) -> int:
        """How many mechanisms there are."""
        return len(self.switches.mechanisms)

    def _settle(self, whom: FishGroup) -> None:
        """Whom to explain, what can be switched off, and how much to run."""
        self.whom = whom
        self.switches = Switches(self.plan.scenario, whom)
        codes = [one.code for one in self.switches.mechanisms]
        self.scenarios += [
            self.switches.without(code for k, code in enumerate(codes) if off >> k & 1)
            for off in range(1, 1 << self.players)
        ]
        clear = self.switches.clear_view()
        self._extra = [] if clear is None else [len(self.scenarios)]
        self.scenarios += [] if clear is None else [clear]
        self.exact, self.trials = self._how_much()

    def _base(self, goal: str) -> Estimate:
        rows = [self.rows[0, trial] for trial in range(self.trials)]
        values = [self._value(row, goal) for row in rows]
        bounds = bounds_over(goal, rows=rows)
        return estimate(values, draw=[row.draw for row in rows], bounds=bounds, fixed=self.plan.fixed)

    def finished(self) -> tuple[tuple[Row, ...], int]:
        """Trials of which everything is done, and how many of these cannot be judged."""
        rows, unjudged = [], 0
        for trial in sorted(self.alone):
            if trial >= self.trials or any((place, trial) not in self.rows for place in self._places(trial)):
                continue
            row = self._row(trial)
            judged = all(np.isfinite(one).all() for one in row.worth.values())
            rows += [row] if judged else []
            unjudged += not judged
        return tuple(rows), unjudged

    def _how_much(self) -> tuple[bool, int]:
        """Whether all coalitions are run, and how many trials."""
        players, asked = self.players, self.plan.trials
        pair = len(coalitions_of(self._orders(0))) if players else 1
        if self._ticks(1 << players) * asked <= MOST_TICKS or (1 << players) <= pair:
            exact, each = True, self._ticks(1 << players)
        else:
            exact, each = False, self._ticks(pair)
        if self.plan.meant:
            return exact, asked
        trials = min(asked, max(LEAST_TRIALS, int(MOST_TICKS // each)))
        whole = a_round(self.plan.scenario.run)
        if whole < trials < asked:
            trials = trials // whole * whole
        return exact, trials

    def _ticks(self, coalitions: int) -> float:
        """Fish-seconds that a trial takes, the yardstick and the extra row with it."""
        scenario = self.plan.scenario
        whole = scenario.measured_days[1] * scenario.lit_hours * 3600.0 * len(individuals(scenario.stock))
        thinned = any(one.code == CROWDING for one in self.switches.mechanisms)
        return whole * (coalitions * (THINNED if thinned else 1.0) + 1 + len(self._extra))

    # ---- one trial

    def _orders(self, trial: int) -> tuple[Order, ...]:
        return orders_for(trial, players=self.players, seed=self.plan.scenario.run.seed)

    def _places(self, trial: int) -> tuple[int, ...]:
        """Scenarios of a trial, by what is off in them."""
        whole = everybody(self.players)
        on = range(1 << self.players) if self.exact else coalitions_of(self._orders(trial))
        return tuple(sorted(whole ^ coalition for coalition in on))

    def _row(self, trial: int) -> Row:
        whole = everybody(self.players)
        extra = [self.rows[place, trial] for place in self._extra if (place, trial) in self.rows]
        return Row(
            trial=trial,
            draw=self.rows[0, trial].draw,
            orders=() if self.exact else self._orders(trial),
            worth={whole ^ place: self._values(self.rows[place, trial]) for place in self._places(trial)},
            clear_view=self._values(extra[0]) if extra else np.full(len(GOALS), NAN),
        )

    def _values(self, row: TankRow) -> Floats:
        return np.array([self._value(row, goal) for goal in GOALS])

    def _value(self, row: TankRow, goal: str) -> float:
        return value_of(row, measure=goal, labels=self.switches.fish)


def is_trouble(goal: str, one: Estimate) -> bool:
    """Whether there is something to explain: it can be told from nothing and is no trifle."""
    return bool(one.low > 0 and one.value >= LEAST[goal])
