"""Which lives are lived: those of the tank as it is, and the same without the dated changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ....sim.run.compact import narrowed
from ....sim.run.done import Done
from ....sim.run.life import CONDITION, MOST_DAYS, Pace, done_of, each_day, run_life
from ....sim.run.trials import Job, Outcome, Work
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.stock import individuals
from ...document.plain import many
from ...measures.row import BOTH, TankRow, row_of
from ...measures.whom import FishGroup, Kind, kinds_of
from ...statistics.intervals import Floats
from ...study import runner
from ...study.runner import Batch, Study
from .reach import LATEST_D, MONTH_D

MONTHS = 6
MOST_MONTHS = int(MOST_DAYS / MONTH_D)
LEAST_TRIALS = 4  # with fewer no interval says anything
AS_IT_IS, WITHOUT = 0, 1  # numbers of the scenarios: of the second either what is dated is left out,
FIRST = WITHOUT  # or a first thing is tried


class LifeError(ValueError):
    """Such a life cannot be lived; the message says what was found and what is allowed.

    ``option``: the option of a command that would mend it; "" where the file would.
    """

    def __init__(self, message: str, *, option: str = "") -> None:
        super().__init__(message)
        self.option = option


@dataclass(frozen=True)
class Plan(runner.Plan):
    """What is asked: months and days of the life, the kinds of fish told of, the one ``asked`` about first.

    ``without`` is the tank without its dated changes, None where it has none; the first of them is on
    ``changed_day``.
    """

    months: int
    days: int
    kinds: tuple[Kind, ...]
    asked: FishGroup | None
    without: Scenario | None
    changed_day: float

    @property
    def work(self) -> Work:
        """What carries out one trial."""
        return partial(run_life, days=self.days)

    @property
    def simulated_days(self) -> float:
        """Roughly, the mean of the two set-ups: fish left alone settle none, and repeat days."""
        pace = Pace()
        blocks = 2.5 + self.days / pace.blocks[-1]
        return 0.5 * (1.0 + 1.0 / pace.alone) * blocks + 1.5 * len(self.scenario.timeline.events)


@dataclass(frozen=True)
class Life:
    """One simulated tank over its life; b measured days, n fish."""

    trial: int
    draw: int
    day: NDArray[np.int64]  # [b]
    since: NDArray[np.int64]  # [b] from when on the day stands for the time until the next
    rows: tuple[TankRow, ...]  # [b] with who chased whom
    male: NDArray[np.bool_]  # [n]
    adult: NDArray[np.bool_]  # [b, n]
    length_cm: Floats  # [b, n]
    owner: Floats  # [b, n] share of the day that each holds ground
    unsexed: NDArray[np.bool_]  # [n] as the stock list has them
    condition: Floats  # [b, n] what each has got to eat of late, 0 to 1
    done: tuple[Done, ...] = ()  # by rules of thumb, and broods


def plan_of(scenario: Scenario, *, months: int = MONTHS, whom: FishGroup | None = None) -> Plan:
    """Check that there is a life to live.

    Parameters
    ----------
    whom : whose months; those of the worst off when None.

    Raises
    ------
    LifeError
        For a fish on its own, too few tanks, too many months, or a change dated after the end.
    """
    people = individuals(scenario.stock)
    if len(people) < 2:
        raise LifeError(f"there is one fish, {people[0].label}, and nobody to bully it; use two or more")
    if scenario.run.trials < LEAST_TRIALS:
        few = f"{scenario.run.trials} simulated tanks are too few; use at least {LEAST_TRIALS}"
        raise LifeError(few, option="--trials")
    if not 1 <= months <= MOST_MONTHS:
        raise LifeError(f"{months} months are lived; use 1 to {MOST_MONTHS}")
    days = round(months * MONTH_D)
    late = [one for one in scenario.timeline.events if one.day > days - LATEST_D and not one.endless]
    if late:
        found = f"{late[0].words()} on day {late[0].day:g}, and the life ends on day {days}"
        raise LifeError(f"{found}; let changes come two days before its end, or ask for more months")
    base = replace(scenario, alternatives=())
    dated = [one.day for one in base.events]
    dated += [row.out_day for row in base.stock if row.out_day is not None]
    stock = tuple(replace(row, out_day=None) for row in base.stock)
    asked = () if whom is None else (Kind(whom.name, whom.species, whom.labels),)
    kinds = (one for one in kinds_of(base) if whom is None or set(one.labels) != set(whom.labels))
    return Plan(
        base,
        scenario.run.trials,
        months,
        days,
        (*asked, *kinds),
        whom,
        replace(base, events=(), stock=stock) if dated else None,
        min(dated, default=0.0),
    )


class Design(Study):
    """Lives by scenario and trial.

    Attributes
    ----------
    lives : by number of the scenario, AS_IT_IS or WITHOUT, and trial.
    """

    def __init__(self, plan: Plan) -> None:
        super().__init__([plan.scenario, *([plan.without] if plan.without else [])])
        self.plan = plan
        self.lives: dict[tuple[int, int], Life] = {}

    def batches(self) -> Iterator[Batch]:
        """The tank as it is; then, where something is dated, the same without."""
        trials = range(self.plan.trials)
        yield Batch(
            f"{many(self.plan.months, 'month')} as it is", [Job(AS_IT_IS, trial, BOTH) for trial in trials]
        )
        if self.plan.without is not None:
            jobs = [Job(WITHOUT, trial, BOTH) for trial in trials]
            yield Batch("The same without the dated changes", jobs)

    @property
    def can_answer(self) -> bool:
        """Whether enough lives are over."""
        return len(self.of(AS_IT_IS)) >= LEAST_TRIALS

    @property
    def tanks(self) -> int:
        """How many lives were lived, those of fish left alone not counted."""
        return len(self.lives)

    def of(self, which: int) -> tuple[Life, ...]:
        """The lives of a scenario, in order of their trials."""
        return tuple(life for (number, _), life in sorted(self.lives.items()) if number == which)

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a life: each day as stocked is held against the same day left alone."""
        self.lives[job.which, job.trial] = life_of(self.scenarios[job.which], job, outcomes)


def life_of(scenario: Scenario, job: Job, outcomes: tuple[Outcome, ...]) -> Life:
    """A life from the outcomes of :func:`rockshy.sim.run.life.run_life`, both set-ups."""
    days, stocked = each_day(outcomes[0])
    _, alone = each_day(outcomes[1])
    rows = [row_of(scenario, job, pair) for pair in zip(stocked, alone, strict=True)]
    return Life(
        trial=job.trial,
        draw=outcomes[0].draw,
        day=np.array([one.day for one in days]),
        since=np.array([one.since for one in days]),
        rows=tuple(_slim(row) for row in rows),
        male=np.asarray(stocked[0].columns["sex"]) == 0,
        adult=np.array([one.columns["adult"] for one in stocked]),
        length_cm=np.array([one.columns["length_cm"] for one in stocked]),
        owner=np.array([_owned(one) for one in stocked]),
        unsexed=np.array([one.sex == "unsexed" for one in outcomes[0].people]),
        condition=np.asarray(outcomes[0].columns[CONDITION]),
        done=done_of(outcomes[0]),
    )


def _owned(day: Outcome) -> Floats:
    held, lit = (np.asarray(day.columns[name]).sum(axis=1) for name in ("hour_owner_s", "hour_lit_s"))
    return np.divide(held, lit, out=np.zeros(len(lit)), where=lit > 0)


def _slim(row: TankRow) -> TankRow:
    """With what is told of a life alone, and narrow: two years hold sixty days."""
    assert row.chases is not None
    return replace(row, hour_chased=None, chases=narrowed(row.chases))
