"""Slow laws: what passes over days and weeks, whether or not the days themselves are simulated.

A fish grows towards a length of its own, and with its length its sex shows, it matures, and it fits into
crevices no more. What is refreshed every day (fright, experience, grudges, claims, trust) is carried as it
stands between fish that live together, and fades by its own half-life for a fish that is out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..fish.shoal import BOXED, NOBODY, SHELTERED, SWIMMING
from ..rules.support.draws import placed
from ..rules.support.parameters import Parameter, draw_between, read
from ..rules.support.random_numbers import generator

if TYPE_CHECKING:
    from ..scenario.scenario import Scenario
    from .model import TankModel

Floats = NDArray[np.float64]
YEAR_D = 365.0


@cache
def slow_parameters() -> dict[str, Parameter]:
    """Everything of ``life.toml`` by name, in its order."""
    return read(__package__, "life.toml")


@dataclass(frozen=True)
class Slow:
    """The slow laws of one draw of a scenario.

    Attributes
    ----------
    growth_k : by species key, 1/y.
    owner_growth : factor on it for a fish that holds a territory all day.
    unfed_growth : factor on it for a fish in the worst condition.
    condition_d : days in which condition moves two thirds of the way to what a fish gets to eat.
    brood_d : days after which a female that came in with eggs holds no more.
    injured_strength : of an injured fish against a sound one.
    spawn_wait_d : days that a female waits on average before she holds by herself.
    fry_temper : temper of a holding female at the end against her first day.
    fry : number of a brood, by species key.
    water_change_chases : as quickly as so many chases frighten, a water change does.
    dusk_activity : of fish in dim light against full light.
    """

    growth_k: Mapping[str, float]
    owner_growth: float
    unfed_growth: float
    condition_d: float
    brood_d: float
    injured_strength: float = 1.0
    water_change_chases: float = 0.0
    dusk_activity: float = 1.0
    spawn_wait_d: float = 30.0
    fry_temper: float = 1.0
    fry: Mapping[str, float] = field(default_factory=dict)


def slow_laws(scenario: Scenario, draw: int) -> Slow:
    """What nobody has measured of growing up, drawn by its name as everything else is."""

    growth = {key: drawn(scenario, draw, "growth_k", key) for key in scenario.species}
    shared = (
        *("owner_growth", "unfed_growth", "condition_d", "brood_d"),
        *("injured_strength", "water_change_chases", "dusk_activity", "spawn_wait_d", "fry_temper"),
    )
    fry = {key: drawn(scenario, draw, "fry", key) for key in scenario.species}
    return Slow(growth, **{name: drawn(scenario, draw, name) for name in shared}, fry=fry)


def drawn(scenario: Scenario, draw: int, name: str, *of: str) -> float:
    """A number of ``life.toml`` in one draw of a scenario; ``of``: whose, where each has its own."""
    one = slow_parameters()[name]
    if scenario.run.fixed:
        return one.value
    return draw_between(one.low, one.high, one.draw, placed(scenario.run.seed, draw, "slow", name, *of))


def own_lengths(model: TankModel) -> Floats:
    """[n] the length towards which each fish grows, cm; at least its present one.

    Source: assumption (how far fish of a species and sex differ).
    """
    one, found = slow_parameters()["own_length"], np.zeros(len(model.people))
    for i, fish in enumerate(model.people):
        traits = model.traits[fish.species]
        longest = traits["length_max_male_cm" if model.shoal.fish.male[i] else "length_max_female_cm"]
        share = float(generator(model.trial_seed, fish.label, "own length").random())
        found[i] = longest * (
            one.value if model.scenario.run.fixed else one.low + share * (one.high - one.low)
        )
    return np.maximum(found, model.shoal.fish.length_cm)


def grown(length_cm: Floats, own_cm: Floats, growth_k: Floats, days: float) -> Floats:
    """Lengths after some days: what a fish lacks of its own length falls by the same share every day.

    Parameters
    ----------
    length_cm, own_cm : [n] now, and the length towards which it grows, cm.
    growth_k : [n] pace, 1/y.
    days : d; two jumps of a week come to the same as one of two.

    Source: Egger2004 (fast at first, adult size by three years); assumption (the shape).
    """
    return own_cm - (own_cm - length_cm) * np.exp(-growth_k * days / YEAR_D)


class Growing:
    """The slow laws at work on one model, whose fish they change between two lit days.

    Parameters
    ----------
    model : just made; fish that are added by hand later do not grow.
    draw : its draw.

    Attributes
    ----------
    owned : [n] share of the last measured day that each fish held a territory.
    fed : [n] what each fish got of its share of that day's food, 0 to 1.
    condition : [n] what it has got of late, 0 to 1; all begin well fed.
    """

    def __init__(self, model: TankModel, draw: int) -> None:
        self.model, self.laws = model, slow_laws(model.scenario, draw)
        self.own_cm = own_lengths(model)
        self.owned = np.zeros(len(model.people))
        self.fed, self.condition = np.ones(len(model.people)), np.ones(len(model.people))
        self._was_in = model.shoal.fish.present.copy()
        self._kind_k = np.array([self.laws.growth_k[one.species] for one in model.people])
        self.wear_colours()

    def lengths_after(self, days: float) -> Floats:
        """[n] length of each fish in some days, cm, by its kind, whether it owns, and its condition."""
        pace = self._kind_k * (1.0 + self.owned * (self.laws.owner_growth - 1.0))
        pace *= self.laws.unfed_growth + (1.0 - self.laws.unfed_growth) * self.condition
        return grown(self.model.shoal.fish.length_cm, self.own_cm, pace, days)

    def odds_moved(self, days: float, *, even: float) -> float:
        """How far the odds of a pair move in some days, log-odds: the most of all that are in.

        A pair counts when the weaker is no worse than ``even`` log-odds against, before or after: what is
        decided anyhow stays so.
        """
        fish, p = self.model.shoal.fish, self.model.parameters
        here = np.flatnonzero(fish.present)
        if len(here) < 2:
            return 0.0
        gain = np.log(self.lengths_after(days)[here] / fish.length_cm[here])
        now = self.model.shoal.pair.odds[np.ix_(here, here)]
        moved = p.size_odds * (gain[:, None] - gain[None, :])
        counts = np.minimum(np.abs(now), np.abs(now + moved)) <= even
        return float(np.abs(np.where(counts, moved, 0.0)).max())

    def pass_time(self, days: float, *, simulated: bool) -> None:
        """What a time does between two lit days. The model works traits out of it afterwards.

        ``simulated``: the time itself was run, so what fades in it has faded.
        """
        fish = self.model.shoal.fish
        self._was_in |= fish.present  # who is still to come in has the length that the keeper gave it
        fish.length_cm[:] = np.where(self._was_in, self.lengths_after(days), fish.length_cm)
        self.condition = self.fed + (self.condition - self.fed) * math.exp(-days / self.laws.condition_d)
        if self.model.tick >= self.laws.brood_d * self.model.lit_ticks:
            here = np.arange(len(fish))
            fish.holding[:] &= np.isin(here, list(self.model.broods.now))
        if not simulated:
            lit = self.model.lit_ticks
            self.model.broods.pass_days(days, until=self.model.tick / lit + days)
            self.fade(~fish.present | (fish.doing == BOXED), days)

    def settle_bodies(self) -> None:
        """After traits were worked out anew: colours by sex and age, and crevices that are too small now."""
        self.wear_colours()
        self._leave_what_is_too_small()

    def note_day(self) -> None:
        """Take from the ledger of a day that was just measured who owned and who got food."""
        self.owned, self.fed = owned_share(self.model), fed_share(self.model)

    def wear_colours(self) -> None:
        """A fish that is not adult wears the female's pattern: no sex shows yet. Source: assumption."""
        model, fish = self.model, self.model.shoal.fish
        kinds = model.scenario.species
        worn = np.array(
            [
                kinds[one.species].words["pattern_male" if male and adult else "pattern_female"].value
                for one, male, adult in zip(model.people, fish.male, fish.adult, strict=True)
            ]
        )
        alike = worn[:, None] == worn[None, :]
        model.shoal.pair.choice[:] = np.where(alike, model.parameters.look_alike, 1.0)

    def _leave_what_is_too_small(self) -> None:
        """A fish owns, trusts and hides in no crevice whose mouth its body does not pass any more."""
        shoal, refuges = self.model.shoal, self.model.water.refuges
        fish = shoal.fish
        tight = fish.depth_cm[:, None] > refuges.mouth_cm[None, :]
        shoal.memory[tight] = 0.0
        for i in np.flatnonzero(fish.refuge >= 0):
            if tight[i, fish.refuge[i]]:
                fish.doing[i] = SWIMMING if fish.doing[i] == SHELTERED else fish.doing[i]
                fish.refuge[i] = NOBODY
        for i in np.flatnonzero((fish.centre >= 0) & (fish.ground == np.arange(len(fish)))):
            if tight[i, fish.centre[i]]:
                fish.centre[fish.ground == i] = NOBODY

    def fade(self, out: NDArray[np.bool_], days: float) -> None:
        """For fish that are out or in a box, [n], nothing is refreshed: they forget, and others forget them.

        Source: the half-lives of the rules; assumption (between fish that are together all is refreshed).
        """
        shoal, p = self.model.shoal, self.model.parameters
        shoal.fish.fright[out] *= 0.5 ** (days * 86400.0 / p.fright_half_life_s)
        shoal.fish.slow_fright[out] *= 0.5 ** (days / p.slow_half_life_d)
        shoal.fish.experience[out] *= 0.5 ** (days / p.experience_half_life_d)
        apart = out[:, None] | out[None, :]
        shoal.pair.standing[apart] *= 0.5 ** (days / p.pair_half_life_d)
        lit = self.model.days
        lit_h = days * lit.hours_of(lit.planned(lit.of(self.model.tick)))
        shoal.claims[out] *= math.exp(-lit_h / p.claim_fade_h)


def owned_share(model: TankModel) -> Floats:
    """[n] share of the measured time that each fish held a territory; 0 for one that was out."""
    hours: Any = model.ledger.hours
    lit = hours.lit.sum(axis=1)
    return np.divide(hours.owner.sum(axis=1), lit, out=np.zeros(len(lit)), where=lit > 0)


def fed_share(model: TankModel) -> Floats:
    """[n] share of its part of the food that each fish got in the measured time; 1 for one that was out.

    Where the keeper feeds nobody, whoever swims in the tank got nothing.
    """
    fish: Any = model.ledger.fish
    if len(model.meal_at) and model.meal_at[0] > model.lit_ticks:
        return np.where(model.ledger.hours.lit.sum(axis=1) > 0, 0.0, 1.0)
    part = fish.meals * model.parameters.portions
    return np.minimum(np.divide(fish.food, part, out=np.ones(len(part)), where=part > 0), 1.0)
