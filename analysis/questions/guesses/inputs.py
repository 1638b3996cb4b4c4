"""Every number that is drawn (a parameter or a trait), gathered into guesses that a keeper can name."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from ....sim.rules.support.parameters import Parameter, draw_between, load
from ....sim.scenario.scenario import Scenario
from ....sim.species.species import TRAITS, Trait

FIXED = "fixed"


class GuessError(ValueError):
    """Nothing can be told; the message says what was found and what is allowed."""


@dataclass(frozen=True)
class Input:
    """One number that is drawn. ``species`` is "" for a parameter of the rules."""

    name: str
    species: str
    value: float
    low: float
    high: float
    how: str  # "uniform" or "log"
    unit: str
    source: str

    def at(self, uniform: float) -> float:
        """Its value for a number from 0 to 1, as a guess draws it."""
        return draw_between(self.low, self.high, self.how, uniform)


@dataclass(frozen=True)
class Guess:
    """Inputs that are moved together, and what a keeper would call them."""

    name: str  # "how timid Tropheus duboisi is"
    entry: str  # in watch.toml
    inputs: tuple[Input, ...]

    @property
    def species(self) -> str:
        return self.inputs[0].species


@dataclass(frozen=True)
class Entry:
    """How a guess is said, what to watch to narrow it, and which traits it gathers."""

    name: str  # with {species} for one of traits
    watch: str
    traits: tuple[str, ...] = ()


@cache
def entries() -> dict[str, Entry]:
    """What is said of every guess, by parameter name or by name of a group of traits."""
    text = files(__package__).joinpath("watch.toml").read_text(encoding="utf-8")
    return {
        key: Entry(told["name"], told["watch"], tuple(told.get("traits", ())))
        for key, told in tomllib.loads(text).items()
    }


def guesses_of(scenario: Scenario) -> tuple[Guess, ...]:
    """Everything that is drawn for a guess of a scenario; what its file settles is none of it.

    Raises
    ------
    GuessError
        When nothing is drawn.
    """
    if scenario.run.fixed:
        raise GuessError(
            "nothing is left open: everything nobody has measured is fixed; take fixed out of the scenario "
            "and leave --fixed out"
        )
    found = [
        Guess(entries()[name].name, name, (_of_parameter(one),))
        for name, one in load().items()
        if one.draw != FIXED and name not in scenario.parameters and one.low < one.high
    ]
    for key in dict.fromkeys(row.species for row in scenario.stock):
        found += _of_species(key, scenario.species[key].traits)
    if not found:
        raise GuessError("the file sets every number; use a scenario that leaves some open")
    return tuple(found)


def _of_parameter(one: Parameter) -> Input:
    return Input(one.name, "", one.value, one.low, one.high, one.draw, one.unit, one.source)


def _of_species(species: str, traits: Mapping[str, Trait]) -> list[Guess]:
    """The groups of traits of a species of which anything is drawn."""
    found = []
    for key, entry in entries().items():
        drawn = [traits[name] for name in entry.traits if traits[name].low < traits[name].high]
        if drawn:
            inputs = tuple(_of_trait(species, one) for one in drawn)
            found.append(Guess(entry.name.format(species=species), key, inputs))
    return found


def _of_trait(species: str, one: Trait) -> Input:
    """How a trait is drawn is said in :func:`rockshy.sim.fish.population.draw_traits`."""
    how = TRAITS[one.name].drawn
    return Input(one.name, species, one.value, one.low, one.high, how, one.unit, one.source)


def columns_of(guesses: Sequence[Guess]) -> list[NDArray[np.int64]]:
    """Columns of a point that belong to each guess: inputs are numbered through."""
    ends = np.cumsum([len(one.inputs) for one in guesses])
    return [
        np.arange(end - len(one.inputs), end, dtype=np.int64) for one, end in zip(guesses, ends, strict=True)
    ]


def scenario_at(scenario: Scenario, guesses: Sequence[Guess], point: NDArray[np.float64]) -> Scenario:
    """The scenario with every input set: nothing is drawn any more but rock, fish and luck.

    Parameters
    ----------
    point : [inputs] numbers from 0 to 1, in the order of the guesses and of their inputs.
    """
    inputs = [one for draw in guesses for one in draw.inputs]
    if len(inputs) != len(point):
        raise ValueError(f"the point has {len(point)} numbers; there are {len(inputs)} inputs")
    parameters, species = dict(scenario.parameters), dict(scenario.species)
    for one, uniform in zip(inputs, point, strict=True):
        value = one.at(float(uniform))
        if not one.species:
            parameters[one.name] = value
            continue
        kind = species[one.species]
        trait = replace(kind.traits[one.name], value=value, low=value, high=value)
        species[one.species] = replace(kind, traits={**kind.traits, one.name: trait})
    run = replace(scenario.run, fixed=True)
    return replace(scenario, parameters=parameters, species=species, run=run, alternatives=())
