"""Made-up tanks whose answer is a known function of a few guesses, and the study of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np
from fake_trials import quiet_columns, tank_file
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.guesses.answer import Study, answer_of
from rockshy.analysis.questions.guesses.design import REPEATS, Plan
from rockshy.analysis.questions.guesses.inputs import guesses_of
from rockshy.sim.fish.population import individuals
from rockshy.sim.rules.support.parameters import load
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

MILD, HOT = "Eretmodus cyanostictus", "Tropheus moorii"
TINY = tank_file(
    "Tiny tank",
    "What decides about so few?",
    glass=(60, 30, 30),
    rock="cover = 0.2\nheight = 15\npiece_size = 10",
    stock=((HOT, "males = 1\nfemales = 2"), (MILD, "males = 1\nfemales = 1")),
    run=f'days = 0.2\nsettle = 0.1\ntrials = 16\nguesses = 4\nseed = 5\nwatch = "{MILD}"',
)
HOURS = 2
# what is lost: 3/4 of its spread by how often males attack, 1/4 by how hot the hot species is
WEIGHTS = {"attack_rate_s": math.sqrt(0.75), "temper": math.sqrt(0.25)}


@cache
def scenario(text: str = TINY) -> Scenario:
    return parse(text, name="tiny.toml")


def uniform_of(asked: Scenario, name: str) -> float:
    """Where in its range an input stands, 0 to 1, found back from the value; both are drawn by logarithm."""
    if name in asked.parameters:
        low, high = load()[name].low, load()[name].high
        value = asked.parameters[name]
    else:
        trait = scenario().species[HOT].traits[name]
        low, high, value = trait.low, trait.high, asked.species[HOT].traits[name].value
    return math.log(value / low) / math.log(high / low)


def outcome(asked: Scenario, trial: int, arm: str, *, luck: float) -> Outcome:
    """One set-up: what is lost follows WEIGHTS, chases the rate of attack, pinned the rate of coming out.

    Nobody is pinned or chased when left alone; then only how much fish are on the move shows.
    """
    people = tuple(individuals(asked.stock))
    n = len(people)
    rng = np.random.default_rng([trial, round(1e6 * uniform_of(asked, "attack_rate_s"))])
    alone = arm == LEFT_ALONE
    lost = 0.5 + 0.3 * sum(w * (uniform_of(asked, name) - 0.5) for name, w in WEIGHTS.items())
    lost = 0.0 if alone else lost + luck * rng.normal()
    pinned = not alone and uniform_of(asked, "out_rate_s") < 0.3
    lit = np.full((n, HOURS), 3600.0)
    could = 0.5 + 0.5 * asked.parameters["activity"]  # swims free when left alone; in what is lost it cancels
    outside = lit * (asked.parameters["activity"] if alone else 0.5 * (not pinned))
    chases = np.zeros((n, n), np.int64)
    if not alone:
        chases[0, 3:] = round(400.0 * uniform_of(asked, "attack_rate_s")) + rng.poisson(4.0)
    columns = quiet_columns(
        n,
        HOURS,
        hidden_s=lit.sum(axis=1) * lost,
        free_s=lit.sum(axis=1) * could * (1.0 - lost),
        chases=chases,
        hour_share=np.full((n, HOURS), 0.95 if pinned else 0.5),
        hour_outside_s=outside,
        hour_hidden_s=lit * lost,
    )
    return Outcome(arm, trial, 0, people, columns)


class Tanks:
    """Instead of the simulator; counts what it is asked for."""

    def __init__(self, *, luck: float = 0.05, stop_after: int | None = None) -> None:
        self.luck, self.stop_after = luck, stop_after
        self.jobs: list[Job] = []

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in reversed(jobs):  # no order is promised but by the head, and this one is the worst
            if self.stop_after is not None and len(self.jobs) == self.stop_after:
                raise KeyboardInterrupt
            self.jobs.append(job)
            asked = scenarios[job.which]
            assert asked.run.fixed and job.arms is not None
            yield job, tuple(outcome(asked, job.trial, arm, luck=self.luck) for arm in job.arms)


def plan(*, rows: int = 32, text: str = TINY, screened: int | None = None, most: int = 3) -> Plan:
    asked = scenario(text)
    return Plan(asked, REPEATS, guesses_of(asked), rows, screened or 4 * rows, most)


@cache
def studied(rows: int = 32) -> Study:
    return answer_of(plan(rows=rows), Tanks(), whom=asked_for(scenario(), MILD))
