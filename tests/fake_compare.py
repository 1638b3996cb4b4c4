"""A tank with alternatives whose made-up outcomes follow a rule: hot males cost mild fish free swimming."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
import pytest
from fake_trials import HOT, MILD, quiet_columns, tank_file
from rockshy.analysis.study import runner
from rockshy.sim.fish.population import Individual, individuals
from rockshy.sim.rules.support.random_numbers import generator
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, Trials
from rockshy.sim.run.trials import Job, Outcome, table_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

HOURS = 3
LIT_S = 3600.0 * HOURS
ALONE = 0.8  # share of lit time that every fish swims free when left alone
BASE = tank_file(
    "Club tank",
    "Which change?",
    glass=(100, 40, 40),
    rock="cover = 0.3\nheight = 20",
    stock=((MILD, "males = 1\nfemales = 2"), (HOT, "males = 3\nfemales = 1")),
    run=f'days = 0.4\nsettle = 0.1\ntrials = 8\nguesses = 4\nwatch = "{MILD}"',
)
NOTHING = '[[alternative]]\nname = "the same rock"\nrock = { cover = 0.3 }\n'
FEWER = f'[[alternative]]\nname = "one hot male"\nrecount = [{{ species = "{HOT}", males = 1 }}]\n'
GONE = f'[[alternative]]\nname = "no mild female 2"\nremove = [{{ species = "{MILD}", fish = "female 2" }}]\n'
LATER = f'[[alternative]]\nname = "hot ones later"\nwhen = [{{ species = "{HOT}", day = 2 }}]\n'

Rule = Callable[[Scenario, Individual], float]


def club(*alternatives: str, base: str = BASE) -> Scenario:
    """The tank with some of the alternatives above."""
    return parse(base + "".join(alternatives), name="club.toml")


def per_hot_male(scenario: Scenario, fish: Individual) -> float:
    """What a fish loses of its free swimming: a mild one 0.2 for every hot male, others 0.1 in all."""
    males = sum(one.species == HOT and one.sex == "male" for one in individuals(scenario.stock))
    return 0.2 * males if fish.species == MILD else 0.1


def made_up(
    scenario: Scenario,
    trial: int,
    *,
    arms: Sequence[str] | None = None,
    lost: Rule = per_hot_male,
    luck: float = 0.05,
    also: str = "",
) -> tuple[Outcome, ...]:
    """Outcomes of a trial: ``lost`` and luck that a fish has in this trial in every scenario.

    A fish hides what it does not swim free, is chased ten times an hour for each unit it loses, and
    is pinned when it loses 0.5 or more. ``also`` makes the luck another one.
    """
    people = tuple(individuals(scenario.stock))
    loss = np.array([lost(scenario, one) for one in people])
    loss += [luck * generator(trial, one.label, also).uniform(-1, 1) for one in people]
    names = (AS_STOCKED, LEFT_ALONE) if arms is None else arms
    return tuple(
        Outcome(
            name,
            trial,
            draw_of(scenario, trial),
            people,
            _columns(people, loss if name == AS_STOCKED else 0 * loss),
        )
        for name in names
    )


def _columns(people: Sequence[Individual], loss: np.ndarray) -> dict[str, np.ndarray]:
    n = len(people)
    free = ALONE * (1 - loss)
    hourly = np.full((n, HOURS), 3600.0)
    got = np.zeros((n, n), dtype=np.int64)
    got[0, 1:] = np.maximum(np.round(10 * loss * HOURS), 0)[1:]
    got[-1, 0] = max(round(10 * loss[0] * HOURS), 0)
    held = (loss >= 0.5)[:, None]
    return quiet_columns(
        n,
        HOURS,
        sex=np.array([0 if one.sex == "male" else 1 for one in people], np.int8),
        hidden_s=LIT_S * (1 - free),
        free_s=LIT_S * free,
        chases=got,
        hour_share=np.where(held, 0.9, 0.5) * np.ones((1, HOURS)),
        hour_outside_s=hourly * np.where(held, 0.1, 1.0) * free[:, None],
        hour_hidden_s=hourly * (1 - free)[:, None],
    )


def table(scenario: Scenario, *, trials: int | Sequence[int] = 8, **how: object) -> Trials:
    """A Trials table of made-up outcomes."""
    numbers = range(trials) if isinstance(trials, int) else trials
    return table_of(scenario, [made_up(scenario, trial, **how) for trial in numbers])  # type: ignore[arg-type]


def tables(scenario: Scenario, *, trials: int = 8, **how: object) -> list[Trials]:
    """A table for the scenario and each of its alternatives."""
    scenarios = [scenario, *(one.scenario for one in scenario.alternatives)]
    return [table(one, trials=trials, **how) for one in scenarios]


def simulated_as(monkeypatch: pytest.MonkeyPatch, *, stop_after: int | None = None) -> list[tuple[int, int]]:
    """Put made-up outcomes instead of the simulator, one job after another.

    The list fills with (number of fish, trial) of each run. With ``stop_after`` the next one is Ctrl-C.
    """
    ran: list[tuple[int, int]] = []

    def run_trial(
        scenario: Scenario, trial: int, *, arms: Sequence[str] | None = None
    ) -> tuple[Outcome, ...]:
        if len(ran) == stop_after:
            raise KeyboardInterrupt
        ran.append((len(individuals(scenario.stock)), trial))
        return made_up(scenario, trial, arms=arms)

    def each_job(
        scenarios: Sequence[Scenario], jobs: Iterable[Job], *, executor: object = None
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in jobs:
            yield job, run_trial(scenarios[job.which], job.trial, arms=job.arms)

    monkeypatch.setattr(runner, "each_job", each_job)
    return ran
