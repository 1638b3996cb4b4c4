"""One simulated tank made small: the outline of its rock, and where each watched fish sat most."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial

import numpy as np

from ...sim.run.drawing import draw_trial_rock
from ...sim.run.running import each_done
from ...sim.run.set_ups import draw_of, watched
from ...sim.run.trials import model_of_trial
from ...sim.scenario.scenario import Scenario
from ...sim.tank.tank import Tank, cell_centres_cm

POINTS = 48  # of the outline of the rock


@dataclass(frozen=True)
class Seat:
    """Where a fish was most; lengths in cm."""

    species: str
    label: str
    length_cm: float
    x_cm: float
    y_cm: float  # behind the front glass
    z_cm: float


@dataclass(frozen=True)
class Spots:
    """A tank seen from the front; lengths in cm from the left end and from the base."""

    trial: int
    outline: tuple[tuple[float, float], ...]  # of the rock: x, highest point there
    places: tuple[tuple[float, float], ...]  # where each watched fish was most: x, z
    shares: tuple[float, ...]  # of its time that it was there
    fish: tuple[Seat, ...] = ()  # every fish that was in
    pinned: bool | None = None  # whether the watched fish were; None where it cannot be judged


def spots_of(scenario: Scenario, trial: int) -> Spots:
    """Run a trial as stocked and look where the watched fish were."""
    watch, _ = watched(scenario)
    with model_of_trial(scenario, trial) as model:
        model.run()
        rock = draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial))
        visits = model.ledger.visits
        there = [i for i in range(len(model.people)) if visits[i].any()]
        found = [sat_most(model.tank, visits[i]) for i in there]
        centres = cell_centres_cm(scenario.tank, model.tank.xyz)
        who = [(model.people[i].species, model.people[i].label) for i in there]
        lengths = [float(model.shoal.fish.length_cm[i]) for i in there]
    fish = tuple(
        Seat(kind, label, length, *(float(side) for side in centres[cell]))
        for (kind, label), length, (cell, _) in zip(who, lengths, found, strict=True)
    )
    mine = [k for k, one in enumerate(fish) if one.species == watch]
    places = tuple((fish[k].x_cm, fish[k].z_cm) for k in mine)
    outline = outline_of(rock.top_cm, length_cm=scenario.tank.length_cm)
    return Spots(trial, outline, places, tuple(found[k][1] for k in mine), fish)


def sat_most(tank: Tank, visits: np.ndarray) -> tuple[int, float]:
    """The cell round which a fish was most (all water within 15 cm of swimming), and its share there."""
    held = np.add.reduceat(visits[tank.ball], tank.ball_start[:-1])
    best = int(held.argmax())
    return best, float(held[best] / max(int(visits.sum()), 1))


def outline_of(top_cm: np.ndarray, *, length_cm: float) -> tuple[tuple[float, float], ...]:
    """The highest rock along the tank, whatever stands before it, from its height over the base [x, y]."""
    highest = np.asarray(top_cm, dtype=float).max(axis=1)
    at = (np.arange(len(highest)) + 0.5) / len(highest) * length_cm
    x = np.linspace(0.0, length_cm, POINTS)
    return tuple((float(a), float(z)) for a, z in zip(x, np.interp(x, at, highest), strict=True))


def each_spots(
    scenario: Scenario,
    trials: Sequence[int],
    *,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[Spots]:
    """Several tanks, in any order, on an executor of shared memory; on threads, one a core, without."""
    calls = ((trial, partial(spots_of, scenario, trial)) for trial in trials)
    for done, (_, spots) in enumerate(each_done(calls, executor=executor), 1):
        yield spots
        if progress is not None:
            progress(done, len(trials))


def apart(places: Sequence[tuple[float, float]], *, step: float, width: float) -> list[tuple[float, float]]:
    """Places of fish nearer than ``step`` moved apart, by turns right and left, so that each is seen.

    Nobody is moved out of the tank, ``width`` wide.
    """
    found: list[tuple[float, float]] = []
    for x, z in places:
        tries = [x + turn * k * step for k in range(len(places) + 1) for turn in (1, -1)]
        inside = [one for one in tries if 0 <= one <= width] or [x]
        near = [other for other, height in found if abs(z - height) < 0.4 * step]
        free = (one for one in inside if all(abs(one - other) >= 0.95 * step for other in near))
        found.append((next(free, x), z))
    return found
