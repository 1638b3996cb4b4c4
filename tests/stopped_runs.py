"""Known worlds from which trials are drawn until a rule stops them: does the printed interval hold the truth?

Run ``python -m tests.stopped_runs`` for the coverages with many repetitions.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rockshy.analysis.statistics.intervals import estimate
from rockshy.analysis.statistics.stopping import RATE, Until, share_count
from rockshy.sim.rules.support.draws import BLOCK
from rockshy.sim.run.set_ups import a_round, draws_of
from rockshy.sim.scenario.scenario import RunSpec

Draw = Callable[[np.random.Generator, NDArray[np.int64]], NDArray[np.float64]]


@dataclass(frozen=True)
class World:
    """Trials of known mean: ``draw`` takes the guess of each trial."""

    name: str
    truth: float
    draw: Draw
    until: Until
    guesses: int | None = 1  # 1: nothing drawn, each trial independent; None: nearly a placed draw each


def bernoulli(p: float, *, rho: float = 0.0) -> Draw:
    """Something happens with chance p; rho > 0 draws the chance of each guess (beta, this correlation)."""

    def draw(rng: np.random.Generator, draw: NDArray[np.int64]) -> NDArray[np.float64]:
        weight = 1 / rho - 1 if rho else math.inf
        chance = rng.beta(p * weight, (1 - p) * weight, draw.max() + 1)[draw] if rho else p
        return (rng.random(len(draw)) < chance).astype(float)

    return draw


def overdispersed(mean: float, *, k: float, spread: float = 0.0) -> Draw:
    """Negative binomial counts, variance mean + mean^2 / k; each guess with a gamma factor of this spread."""

    def draw(rng: np.random.Generator, draw: NDArray[np.int64]) -> NDArray[np.float64]:
        shape = 1 / spread**2 if spread else 1.0
        factor = rng.gamma(shape, 1 / shape, draw.max() + 1)[draw] if spread else 1.0
        return rng.poisson(mean * factor * rng.gamma(k, 1 / k, len(draw))).astype(float)

    return draw


def placed_rate(luck: float, *, inputs: int = 12) -> Draw:
    """A rate of mean 1 that so many numbers decide, placed as in the simulator, and the luck of tanks."""

    def draw(rng: np.random.Generator, draw: NDArray[np.int64]) -> NDArray[np.float64]:
        blocks = draw.max() // BLOCK + 1
        order = rng.random((blocks, BLOCK, inputs)).argsort(axis=1)
        points = ((order + rng.random(order.shape)) / BLOCK).reshape(-1, inputs)
        steep = 0.8 / np.sqrt(np.arange(1, inputs + 1))
        rates = (np.exp(steep * (points - 0.5)) * steep / (2.0 * np.sinh(steep / 2.0))).prod(axis=1)
        return np.asarray(rates[draw] * rng.gamma(1 / luck**2, luck**2, len(draw)))

    return draw


def coverage(world: World, *, repetitions: int, seed: int) -> tuple[float, float]:
    """Share of the printed 95 % intervals that hold the truth, and the mean number of trials run."""
    rng = np.random.default_rng(seed)
    fixed = world.guesses == 1
    run_as = RunSpec(trials=world.until.cap, guesses=world.guesses, fixed=fixed)
    whole = a_round(run_as)
    stated = world.until.looks(a_round=whole)
    draw = np.arange(stated[-1]) if fixed else draws_of(run_as, stated[-1])
    held = run = 0
    for _ in range(repetitions):
        values = world.draw(rng, draw)
        size = next(
            n for n in stated if world.until.done(values[:n], draw=draw[:n], a_round=whole, fixed=fixed)
        )
        if world.until.relative is None:
            printed = share_count(values[:size], draw=draw[:size], fixed=fixed)
            held += printed.low <= world.truth <= printed.high
        else:
            rate = estimate(values[:size], draw=draw[:size], bounds=RATE, fixed=fixed)
            held += rate.low <= world.truth <= rate.high
        run += size
    return held / repetitions, run / repetitions


SHARE = Until(cap=2000, half_width=0.05)
WORLDS = (
    World("chance 0.02", 0.02, bernoulli(0.02), SHARE),
    World("chance 0.1", 0.1, bernoulli(0.1), SHARE),
    World("chance 0.5", 0.5, bernoulli(0.5), SHARE),
    World("chance 0.1, 16 guesses alike", 0.1, bernoulli(0.1), SHARE, 16),
    World("chance 0.1, 64 unlike guesses", 0.1, bernoulli(0.1, rho=0.1), SHARE, 64),
    World(
        "chance 0.5, 16 unlike guesses", 0.5, bernoulli(0.5, rho=0.05), Until(cap=2000, half_width=0.08), 16
    ),
    World("count of 20", 20.0, overdispersed(20.0, k=8.0), Until(cap=2000, relative=0.1)),
    World("count of 3", 3.0, overdispersed(3.0, k=1.0), Until(cap=2000, relative=0.15)),
    World("count of 3, 16 guesses alike", 3.0, overdispersed(3.0, k=1.0), Until(cap=2000, relative=0.15), 16),
    World(
        "count of 3, 16 unlike guesses",
        3.0,
        overdispersed(3.0, k=1.0, spread=0.2),
        Until(cap=1000, relative=0.2),
        16,
    ),
    World("rate of 1, placed draws", 1.0, placed_rate(0.2), Until(cap=2000, relative=0.05), None),
)


def main() -> None:
    """Print the coverages; the number of repetitions may be given."""
    repetitions = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    for world in WORLDS:
        held, run = coverage(world, repetitions=repetitions, seed=11)
        print(f"{world.name:32s} {held:.3f} of {repetitions} intervals, {run:.0f} trials", flush=True)


if __name__ == "__main__":
    main()
