"""Draws of a scenario as normal scores and back, so that they can be moved without leaving their ranges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import ndtr, ndtri

from ....sim.run.drawing import parameters_of, traits_of
from ....sim.scenario.changes import everywhere
from ....sim.scenario.given import GivenDraws, name_of
from ....sim.scenario.scenario import Scenario
from ...statistics.intervals import Floats
from ..guesses.inputs import Input, guesses_of

_EDGE = 1e-4  # a draw this near the end of its range is taken as lying so near


def inputs_of(scenario: Scenario) -> list[Input]:
    """Every number that is drawn, in order; raises GuessError when there is none."""
    return [one for guess in guesses_of(scenario) for one in guess.inputs]


def named(one: Input) -> str:
    """What an input is called in a table of given draws."""
    return name_of(one.name, one.species)


def values_of(scenario: Scenario, inputs: Sequence[Input], draws: Sequence[int]) -> Floats:
    """Values of the inputs in some draws of a scenario, [draws, inputs]."""
    found = np.empty((len(draws), len(inputs)))
    for k, draw in enumerate(draws):
        p, traits = parameters_of(scenario, draw), traits_of(scenario, draw)
        found[k] = [traits[one.species][one.name] if one.species else p[one.name] for one in inputs]
    return found


def scores_of(inputs: Sequence[Input], values: Floats) -> Floats:
    """Normal scores of values [n, inputs]: their place in the range they are drawn from."""
    places = np.column_stack([_place(one, values[:, k]) for k, one in enumerate(inputs)])
    found: Floats = ndtri(np.clip(places, _EDGE, 1.0 - _EDGE))
    return found


def _place(one: Input, values: Floats) -> Floats:
    if one.how == "log":
        return np.log(values / one.low) / math.log(one.high / one.low)
    return (values - one.low) / (one.high - one.low)


def given_of(inputs: Sequence[Input], scores: Floats) -> GivenDraws:
    """The table of given draws of normal scores [n, inputs]."""
    rows = [tuple(one.at(float(u)) for one, u in zip(inputs, row, strict=True)) for row in ndtr(scores)]
    return GivenDraws(tuple(map(named, inputs)), tuple(rows))


def under(scenario: Scenario, given: GivenDraws) -> Scenario:
    """The scenario and its alternatives under given draws, each of which gets trials of its own."""

    def change(one: Scenario) -> Scenario:
        run = replace(one.run, guesses=min(len(given.rows), one.run.trials))
        return replace(one, given=given, run=run)

    return everywhere(scenario, change)
