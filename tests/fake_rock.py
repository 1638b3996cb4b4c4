"""Made-up simulated tanks of a sweep over rock, with known pinned chances."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from typing import Any

import numpy as np
from fake_relief import relief_tank
from fake_trials import MILD
from rockshy.analysis.measures.registry import (
    BITES,
    FREE,
    HIDDEN,
    PINNED_FISH,
    RECEIVED,
    SECONDS_PER_HOUR,
    Parts,
)
from rockshy.analysis.measures.row import TankRow
from rockshy.analysis.measures.whom import FishGroup
from rockshy.analysis.questions.rock.answer import RockAnswer, answer_of
from rockshy.analysis.questions.rock.design import Design, Plan, plan_of
from rockshy.analysis.questions.rock.grid import COVER, grid_of
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

TEXT = relief_tank(
    question="How much rock does the tank need?",
    rock="cover = 0.35\nheight = 20\npiles = 2",
    hot="males = 1",
    run=f'trials = 64\nseed = 7\nwatch = "{MILD}"',
)


MILD_FISH = FishGroup(MILD, (f"{MILD} 1",), MILD, "as you asked")


def base(old: str = "", new: str = "") -> Scenario:
    """The made-up tank, with a piece of its text replaced."""
    assert old in TEXT
    return parse(TEXT.replace(old, new, 1), name="made-up.toml")


def made_up_row(
    which: int, trial: int, draw: int, held: float, chases: float, hidden: float, free: float, bites: float
) -> TankRow:
    """A tank of one fish that was in for an hour; ``held`` nan: a holding female, which does not count."""
    hour = np.array([3600.0])
    counts = np.array([float(not np.isnan(held))])
    parts = {
        PINNED_FISH: Parts(np.nan_to_num(np.array([held])), counts),
        RECEIVED: Parts(np.array([chases]), hour / SECONDS_PER_HOUR),
        HIDDEN: Parts(hidden * hour, hour),
        FREE: Parts(free * hour, hour),
        BITES: Parts(np.array([bites]), hour / SECONDS_PER_HOUR),
    }
    return TankRow(which, trial, draw, (f"{MILD} 1",), (MILD,), hour, parts)


class Sweep(Design):
    """A sweep whose made-up rows come as they are."""

    def take(self, job: Job, outcomes: Any) -> None:
        self.rows[job.which, job.trial] = outcomes
        self.fresh += job not in self._there


def made_up(
    chances: Callable[[tuple[float, ...]], float], *, plan: Plan, seed: int = 0, spread: float = 0.0
) -> Callable[[Sequence[Scenario], Sequence[Job]], Iterator[Any]]:
    """Tanks that are pinned with a chance by the values of their point, alike in all points of one trial.

    ``spread`` moves the chance of a whole guess up or down by up to so much. Chases fall with the chance
    and hiding rises with it.
    """
    points = plan.grid.points

    def run(scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Any]:
        for job in jobs:
            draw = draw_of(scenarios[job.which], job.trial)
            shift = np.random.default_rng([seed, 1, draw]).uniform(-spread, spread)
            luck = np.random.default_rng([seed, 2, job.trial])
            common, own = luck.random(), np.random.default_rng([seed, 3, job.trial, job.which]).random()
            chance = chances(points[job.which].values)
            if 0 < chance < 1:
                chance = min(1.0, max(0.0, chance + shift))
            held = (common if luck.random() < 0.3 else own) < chance
            noise = luck.uniform(-0.05, 0.05)
            hidden, free = 0.2 + 0.5 * chance + noise, 0.7 - 0.5 * chance - noise
            chases = 6.0 - 4.0 * chance + 10 * noise
            row = made_up_row(job.which, job.trial, draw, float(held), chases, hidden, free, 0.1 * chases)
            yield job, row

    return run


def swept(
    chances: Callable[[tuple[float, ...]], float],
    *,
    scenario: Scenario | None = None,
    names: Sequence[str] = (COVER,),
    level: float = 0.1,
    monotone: bool = False,
    seed: int = 0,
    spread: float = 0.0,
) -> Sweep:
    """A whole sweep of made-up tanks; its clock says that all of it took ten minutes."""
    scenario = base() if scenario is None else scenario
    plan = plan_of(scenario, grid_of(scenario, names=names), whom=MILD_FISH, level=level, monotone=monotone)
    ticks = iter((0.0, 0.0, 600.0))
    sweep = Sweep(plan, clock=lambda: next(ticks))
    sweep.carry_out(made_up(chances, plan=plan, seed=seed, spread=spread))
    return sweep


# curves of the pinned chance over the cover; the wanted level is 0.1


def steep(values: tuple[float, ...]) -> float:
    return float(1 / (1 + np.exp((values[0] - 0.45) / 0.04)))  # above 0.1 up to 50 %


def hollow(values: tuple[float, ...]) -> float:
    return float(min(1.0, 0.02 + 4 * (values[0] - 0.4) ** 2))


def never(_: tuple[float, ...]) -> float:
    return 0.0


def always(_: tuple[float, ...]) -> float:
    return 1.0


def near(_: tuple[float, ...]) -> float:
    return 0.06


@cache
def answered(curve: Callable[[tuple[float, ...]], float], monotone: bool = False) -> tuple[Plan, RockAnswer]:
    done = swept(curve, monotone=monotone)
    return done.plan, answer_of(done, scenario=base())
