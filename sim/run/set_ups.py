"""What each trial of a scenario is run as: its draw, the species that is watched, the set-ups."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..fish.population import measured_individuals, mildest
from ..rules.support.draws import BLOCK
from ..scenario.scenario import RunSpec, Scenario
from .table import AS_STOCKED, LEFT_ALONE, OWN_KIND

ROUND, FIRST_AGAIN = 9 * BLOCK, 5 * BLOCK  # trials; half of a round has repeats of its own (assumption)


def draw_of(scenario: Scenario, trial: int) -> int:
    """Which draw a trial belongs to; see :func:`draws_of`."""
    return _turn(scenario.run, trial)


def draws_of(run: RunSpec, trials: int) -> NDArray[np.int64]:
    """[trials] the draw of each trial.

    Every trial is a draw of its own, but in each round of nine blocks the sixth runs the draws of the fifth
    once more, so that luck and what was drawn can be told apart. Where a number of guesses is
    stated the trials take turns over so many draws. Any number of whole blocks of trials is balanced.
    """
    return np.array([_turn(run, trial) for trial in range(trials)], dtype=np.int64)


def a_round(run: RunSpec) -> int:
    """Number of trials after which every draw, or every part of each range, had its turn equally often."""
    if run.fixed:
        return 1
    return BLOCK if run.guesses is None else min(run.guesses, run.trials)


def draws_in(run: RunSpec) -> int:
    """How many different draws all trials of a run have."""
    if run.fixed or run.guesses is not None:
        return a_round(run)
    rounds, place = divmod(run.trials, ROUND)
    return rounds * (ROUND - BLOCK) + min(place, max(FIRST_AGAIN, place - BLOCK))


def _turn(run: RunSpec, trial: int) -> int:
    if run.fixed:
        return 0
    if run.guesses is not None:
        return trial % min(run.guesses, run.trials)
    rounds, place = divmod(trial, ROUND)
    return trial - BLOCK * (rounds + (place >= FIRST_AGAIN))


def watched(scenario: Scenario) -> tuple[str, str]:
    """The mild species that the answer looks at, and why it is that one.

    It is one that is in the tank in the measured time: of a species that is out by then nothing is known.
    """
    named = scenario.run.watch
    there = {one.species for one in measured_individuals(scenario)}
    if named in there:
        return str(named), "named in the scenario"
    if named is not None:
        gone = f"{named}, named in the scenario, is out before measuring begins"
        return mildest(scenario), f"the mildest of those that stay; {gone}"
    if any(row.species not in there for row in scenario.stock):
        reason = "the mildest of those that stay until it is measured; name another with watch"
        return mildest(scenario), reason
    return mildest(scenario), "the mildest of the stock by temper and timidity; name another with watch"


def set_ups(scenario: Scenario) -> tuple[str, ...]:
    """The set-ups run in each trial. Own kind is left out where the stock is of one kind already."""
    if not scenario.run.controls:
        return (AS_STOCKED,)
    several = len({row.species for row in scenario.stock}) > 1
    return (AS_STOCKED, OWN_KIND, LEFT_ALONE) if several else (AS_STOCKED, LEFT_ALONE)
