"""Rock and tank of one trial: the rock is drawn by the trial, its crevices by the guess."""

from __future__ import annotations

import itertools

from .crevices import RockGuess
from .parameters import resolve
from .random_numbers import generator, stream_key
from .rockwork import Rock, draw_rock, full_rock
from .scenario import Scenario
from .tank import Tank, WaterError, build_tank, open_water


def draw_tank(scenario: Scenario, *, trial: int = 0, guess: int = 0, before_rescape: bool = False) -> Tank:
    """The tank of one trial that is measured: its rock drawn by the trial, its crevices by the guess.

    Parameters
    ----------
    before_rescape : the tank until its rock is laid anew.
    """
    run = scenario.run
    p = resolve(scenario.parameters, seed=run.seed, guess=guess, fixed=run.fixed)
    rock = draw_trial_rock(scenario, trial=trial, guess=guess, before_rescape=before_rescape)
    return build_tank(scenario.tank, rock, sight_cm=p.sight_cm)


def draw_trial_rock(
    scenario: Scenario, *, trial: int = 0, guess: int = 0, before_rescape: bool = False
) -> Rock:
    """The rock that :func:`draw_tank` builds the tank of one trial from."""
    run = scenario.run
    p = resolve(scenario.parameters, seed=run.seed, guess=guess, fixed=run.fixed)
    anew = scenario.rock.rescape_day is not None and not before_rescape
    again = ("laid anew",) if anew else ()
    rng = generator(stream_key(run.seed, "trial", trial), "rock", *again)
    sizes = RockGuess(crevices_per_piece=p.crevices_a_piece)
    return draw_rock(scenario.tank, scenario.rock, rng=rng, guess=sizes)


def check_water(scenario: Scenario) -> None:
    """Make sure that the rock of every trial leaves water to swim in, before and after a re-scape.

    Rock is drawn for that (some 20 ms a trial) only where a full layer of it would leave too little.

    Raises
    ------
    WaterError
        It names the first trial in which too little is left.
    """
    try:
        open_water(scenario.tank, full_rock(scenario.tank, scenario.rock))
        return
    except WaterError:
        pass  # drawn rock leaves more
    trials = range(scenario.run.trials if scenario.rock.sketch is None else 1)
    stages = (False,) if scenario.rock.rescape_day is None else (True, False)
    for trial, stage in itertools.product(trials, stages):
        rock = draw_trial_rock(scenario, trial=trial, before_rescape=stage)  # no guess moves a stone
        try:
            open_water(scenario.tank, rock)
        except WaterError as problem:
            raise WaterError(problem.cells, cell_cm=problem.cell_cm, trial=trial) from None
