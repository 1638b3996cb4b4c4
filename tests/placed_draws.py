"""Known worlds of many unmeasured numbers: intervals from placed draws, do they hold the truth, how wide.

Run ``python -m tests.placed_draws`` for made-up worlds with many repetitions, beside 64 trials that take
turns over 16 draws that are not placed; ``python -m tests.placed_draws tank 200`` for so many runs of one
small simulated tank against the mean of 4,096 of it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import FREE, RECEIVED
from rockshy.analysis.statistics.intervals import estimate
from rockshy.sim import parse
from rockshy.sim.rules.support.draws import placed
from rockshy.sim.run.set_ups import draws_of
from rockshy.sim.run.trials import Job, each_job, table_of
from rockshy.sim.scenario.scenario import RunSpec, Scenario
from scipy import stats
from scipy.stats import qmc

Floats = NDArray[np.float64]
INPUTS = 40
TURNS = 16  # draws that trials took turns over before they were placed
NEW, OLD = RunSpec(), RunSpec(trials=64, guesses=TURNS)


@dataclass(frozen=True)
class World:
    """``answer`` of points [t, inputs] in 0..1, and the luck of a tank as a share of its spread over them."""

    name: str
    answer: Callable[[Floats], Floats]
    luck: float = 0.15


def _sums(points: Floats, shift: int = 0) -> Floats:
    """A sum of all inputs, the first of them weighing most, with a standard deviation of about 1."""
    weights = 1.0 / (1.0 + np.arange(points.shape[1]) / 4.0)
    weights = np.roll(weights * (-1.0) ** np.arange(len(weights)), shift)
    return (2.0 * points - 1.0) @ weights * np.sqrt(3.0 / (weights**2).sum())


def _share(points: Floats, more: float = 0.0) -> Floats:
    """A share of the time, and what it is once it is changed by something that some inputs decide."""
    return 1.0 / (1.0 + np.exp(-1.5 * _sums(points) - more * (1.0 + _sums(points, 3))))


WORLDS = (
    World("adds up", _sums),
    World("a share", _share),
    World("inputs that act together", lambda at: _sums(at) * (1.0 + 0.5 * _sums(at, 3))),
    World("a rate", lambda at: np.exp(0.6 * _sums(at))),
    World("difference of two shares", lambda at: _share(at, 0.5) - _share(at), luck=0.5),
)


def truth(world: World, *, inputs: int = INPUTS) -> tuple[float, float]:
    """Mean and standard deviation over all draws, from 2^16 points of a Sobol sequence."""
    found = world.answer(qmc.Sobol(inputs, seed=0).random_base2(16))
    return float(found.mean()), float(found.std())


def placed_points(seed: int, *, inputs: int = INPUTS) -> Floats:
    """[t, inputs] what the trials of a run would draw."""
    draw = draws_of(NEW, NEW.trials)
    there = [[placed(seed, k, "input", str(one)) for one in range(inputs)] for k in range(draw.max() + 1)]
    return np.array(there)[draw]


def coverage(
    worlds: tuple[World, ...], *, repetitions: int, inputs: int = INPUTS
) -> dict[str, dict[str, tuple[float, float]]]:
    """Of each world and scheme: share of the 95 % intervals that hold the mean; half their mean width."""
    told: dict[str, dict[str, list[tuple[bool, float]]]] = {
        one.name: {"new": [], "old": []} for one in worlds
    }
    known = {one.name: truth(one, inputs=inputs) for one in worlds}
    for seed in range(repetitions):
        rng = np.random.default_rng(seed)
        points = {
            "new": placed_points(seed, inputs=inputs),
            "old": rng.random((TURNS, inputs))[draws_of(OLD, OLD.trials)],
        }
        for scheme, run in (("new", NEW), ("old", OLD)):
            noise = rng.standard_normal(run.trials)
            for one in worlds:
                mean, spread = known[one.name]
                values = one.answer(points[scheme]) + one.luck * spread * noise
                found = estimate(values, draw=draws_of(run, run.trials))
                told[one.name][scheme].append((found.low <= mean <= found.high, (found.high - found.low) / 2))
    return {
        name: {
            key: (float(np.mean(each, axis=0)[0]), float(np.mean(each, axis=0)[1]))
            for key, each in of.items()
        }
        for name, of in told.items()
    }


# ---- the simulator

TANK = """title = "Four fish for a bit over an hour"
[tank]
length = "60 cm"
front_to_back = "30 cm"
height = "30 cm"
[rock]
cover = "40 %"
height = "20 cm"
[[stock]]
species = "Tropheus moorii"
males = 1
females = 1
[[stock]]
species = "Petrochromis trewavasae"
males = 1
females = 1
[run]
days = 0.12
settle = 0.02
[[alternative]]
name = "more rock"
rock = { cover = "70 %" }
"""
WHOLE = 4096
MILD = Group(species="Tropheus moorii")
ANSWERS = (("swims free", FREE), ("is chased", RECEIVED))


def tanks(scenarios: list[Scenario], executor: Executor) -> dict[str, Floats]:
    """[trials] of each answer: its level in the first scenario, and the second less the first."""
    run = scenarios[0].run
    jobs = [Job(which, trial, ("as stocked",)) for trial in range(run.trials) for which in (0, 1)]
    done: list[list[object]] = [[], []]
    for job, outcomes in each_job(scenarios, jobs, executor=executor):
        done[job.which].append(outcomes)
    tables = [table_of(one, of) for one, of in zip(scenarios, done, strict=True)]  # type: ignore[arg-type]
    found = {}
    for name, measure in ANSWERS:
        here, there = (values_of(one, measure=measure, group=MILD) for one in tables)
        found[name], found[f"{name}: difference"] = here, there - here
    return found


def runs_of_tank(repetitions: int, executor: Executor) -> Iterator[str]:
    """Lines: how often the interval of a default run held the mean of WHOLE tanks, and how wide it was."""
    scenario = parse(TANK, name="tank")
    scenarios = [replace(scenario, alternatives=()), scenario.alternatives[0].scenario]

    def at(**run: int) -> list[Scenario]:
        return [replace(one, run=replace(one.run, **run)) for one in scenarios]

    whole = tanks(at(seed=1_000_000, trials=WHOLE), executor)
    runs = [tanks(at(seed=seed), executor) for seed in range(repetitions)]
    draw, all_draws = draws_of(NEW, NEW.trials), draws_of(NEW, WHOLE)
    for name, values in whole.items():
        of_whole = estimate(values, draw=all_draws)
        found = [estimate(one[name], draw=draw) for one in runs]
        held = np.mean([one.low <= of_whole.value <= one.high for one in found])
        wide = np.mean([(one.high - one.low) / 2 for one in found])
        spread = of_whole.between / TURNS + of_whole.within / OLD.trials
        old = float(stats.t.ppf(0.975, TURNS - 1)) * np.sqrt(spread)
        yield (
            f"{name:24s} mean {of_whole.value:.4g}, held by {held:.3f} of {repetitions}; half width "
            f"{wide:.3g}, {wide / old:.2f} of that of {TURNS} draws; ignorance {of_whole.ignorance:.2f}"
        )


def main() -> None:
    """Print coverages and widths; the number of repetitions may be given."""
    if sys.argv[1:2] == ["tank"]:
        with ProcessPoolExecutor() as executor:
            for line in runs_of_tank(int(sys.argv[2]) if len(sys.argv) > 2 else 200, executor):
                print(line, flush=True)
        return
    repetitions = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    for name, of in coverage(WORLDS, repetitions=repetitions).items():
        (held, wide), (before, wide_before) = of["new"], of["old"]
        print(
            f"{name:26s} {held:.3f} of {repetitions} intervals hold the mean, {before:.3f} before; "
            f"width {wide / wide_before:.2f} of what it was"
        )


if __name__ == "__main__":
    main()
