"""From the stock list to individual fish: lengths, sexes, traits, pairs, and what each is to the other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..rules.support.draws import placed
from ..rules.support.parameters import draw_between
from ..rules.support.random_numbers import generator, stream_key
from ..scenario.scenario import Scenario
from ..scenario.stock import SEXES as SEXES
from ..scenario.stock import Individual as Individual
from ..scenario.stock import individuals as individuals
from ..species.species import TRAITS, Species
from .shoal import BOXED, NOBODY, PURPOSES, Shoal
from .traits import derived

GROWN_SHARE = (0.7, 0.95)  # of the maximum length: an adult whose length is not given (assumption)
YOUNG_SHARE = (0.35, 0.6)  # of the maximum length: an unsexed fish whose length is not given (assumption)
MEEKEST = 0.02  # a temper below this counts as this in a contest: assumption
WARM_C = (22.0, 27.0)  # between these temperatures the Q10 applies, where the scenario switches it on


def draw_traits(
    species: Species, *, seed: int, draw: int, fixed: bool, given: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Numeric traits of a species in one draw; each trait is drawn by its name.

    ``given``: values of this draw by name, which are not drawn.
    """
    values: dict[str, float] = {}
    for name, trait in species.traits.items():
        if fixed or trait.low == trait.high:
            values[name] = trait.value
            continue
        if given and name in given:
            values[name] = given[name]
            continue
        u = placed(seed, draw, "trait", species.key, name)
        values[name] = draw_between(trait.low, trait.high, TRAITS[name].drawn, u)
    return values


@dataclass(frozen=True)
class Draw:
    """What one fish turned out to be in one trial."""

    male: bool
    adult: bool
    length_cm: float


def draw_individual(fish: Individual, traits: Mapping[str, float], *, trial_seed: int) -> Draw:
    """Sex and total length of a fish; the draws depend on who it is and on nothing else."""
    rng = generator(trial_seed, fish.label, "body")
    toss, share = rng.random(2)
    male = fish.sex == "male" or (fish.sex == "unsexed" and toss < 0.5)
    if fish.row.length_cm is not None:
        low, high = fish.row.length_cm
    else:
        longest = traits["length_max_male_cm" if male else "length_max_female_cm"]
        low, high = (longest * x for x in (YOUNG_SHARE if fish.sex == "unsexed" else GROWN_SHARE))
    length = low + share * (high - low)
    return Draw(male, length >= traits["maturity_cm"], length)


def warmth(scenario: Scenario, p: Any) -> float:
    """Factor on rates and speeds by temperature; 1 unless the scenario switches it on.

    Source: ClarkeJohnston1999 (Q10); assumption (the range).
    """
    if not scenario.tank.temperature_effect:
        return 1.0
    low, high = WARM_C
    return float(p.q10 ** ((min(max(scenario.tank.temperature_c, low), high) - 25.0) / 10.0))


def fill(
    shoal: Shoal,
    fish: list[Individual],
    traits: Mapping[str, Mapping[str, float]],
    scenario: Scenario,
    p: Any,
    *,
    trial_seed: int,
    first: int = 0,
) -> None:
    """Write the bodies and tempers of ``fish`` into places ``first`` onwards, then all relations anew."""
    names = sorted(scenario.species)
    for i, one in enumerate(fish, first):
        body = draw_individual(one, traits[one.species], trial_seed=trial_seed)
        shoal.fish.species[i] = names.index(one.species)
        shoal.fish.male[i], shoal.fish.holding[i] = body.male, one.holding
        shoal.fish.length_cm[i] = body.length_cm
        shoal.streams[i] = [stream_key(trial_seed, one.label, purpose) for purpose in PURPOSES]
    derive(shoal, range(first, first + len(fish)), traits, scenario, p)


def derive(
    shoal: Shoal, places: Iterable[int], traits: Mapping[str, Mapping[str, float]], scenario: Scenario, p: Any
) -> None:
    """Work out the traits of fish from their state (see :mod:`rockshy.sim.fish.traits`), then all relations.

    ``places``: of the fish whose state is new.
    """
    names = sorted(scenario.species)
    warm = warmth(scenario, p)
    for i in places:
        key = names[shoal.fish.species[i]]
        found = derived(
            scenario.species[key],
            traits[key],
            p,
            male=bool(shoal.fish.male[i]),
            holding=bool(shoal.fish.holding[i]),
            length_cm=float(shoal.fish.length_cm[i]),
            vigour=float(shoal.fish.vigour[i]),
            guard=float(shoal.fish.guard[i]),
            warm=warm,
        )
        for name, value in found._asdict().items():
            shoal.fish[name][i] = value
    relate(shoal, scenario, traits, p)
    bind(shoal, scenario)


GROUP = 100_000  # bonds of groups are numbered from here; those of pairs by the place of a mate


def bind(shoal: Shoal, scenario: Scenario) -> None:
    """Pairs and groups among the fish in the tank.

    A pair stays one while both are there. Adults without a mate pair up in the order in which they
    stand in the stock; a group is all fish of a group species. Mates share a territory and do not
    provoke each other. Fish of two parts of the tank are no mates, and a fish in a box is nobody's.
    """
    fish = shoal.fish
    before = fish.ground.copy()
    for s, name in enumerate(sorted(scenario.species)):
        mating = scenario.species[name].words["mating"].value
        of_kind = fish.species == s
        free = fish.present & (fish.doing != BOXED)
        if mating == "group":
            fish.bond[of_kind] = NOBODY
        if mating == "pair":
            for i in np.flatnonzero(of_kind & (fish.bond >= 0)):
                mates = free & (fish.bond == fish.bond[i]) & (fish.part == fish.part[i])
                if not free[i] or np.count_nonzero(mates) < 2:
                    fish.bond[i], fish.leads[i] = NOBODY, True
        for part in np.unique(fish.part[of_kind & free]):
            here = np.flatnonzero(of_kind & free & (fish.part == part))
            if mating == "group":
                _bond(shoal, here, GROUP * (1 + int(part)) + s)
            if mating == "pair":
                single = here[fish.adult[here] & (fish.bond[here] < 0)]
                pairs = zip(single[fish.male[single]], single[~fish.male[single]], strict=False)
                for pair in pairs:
                    _bond(shoal, np.array(pair), int(min(pair)))
    _share_ground(shoal, before)
    _weigh_mates(shoal)


def _share_ground(shoal: Shoal, before: Any) -> None:
    """Who defends has claims of its own, a pair or group those of its leader; in a box nobody has any.

    Whose ground is another's from now on brings along what it claimed before.
    """
    fish = shoal.fish
    fish.ground[:] = np.where(fish.capable & (fish.doing != BOXED), np.arange(len(fish)), NOBODY)
    for bond in np.unique(fish.bond[fish.bond >= 0]):
        members = np.flatnonzero(fish.bond == bond)
        leader = members[fish.leads[members]]
        fish.ground[members] = leader[0] if len(leader) else NOBODY
    for i in np.flatnonzero((fish.ground >= 0) & (before >= 0) & (before != fish.ground)):
        shoal.claims[fish.ground[i]] = np.maximum(shoal.claims[fish.ground[i]], shoal.claims[before[i]])


def _bond(shoal: Shoal, members: Any, number: int) -> None:
    """One pair or group, led by its longest member that can defend; a newcomer shares what is held."""
    fish = shoal.fish
    fish.leads[members] = True
    if len(members) < 2:
        return
    fish.bond[members] = number
    able = members[fish.capable[members]]
    fish.leads[members] = False
    if len(able):
        leader = able[np.argmax(fish.length_cm[able])]
        fish.leads[leader] = True
        held = fish.centre[able][fish.centre[able] >= 0]
        fish.centre[members] = fish.centre[leader] if fish.centre[leader] >= 0 else (*held, NOBODY)[0]


def _weigh_mates(shoal: Shoal) -> None:
    """Mates provoke nobody of their pair or group; whoever is none of it does, by its state."""
    bond = shoal.fish.bond
    mates = (bond[:, None] == bond[None, :]) & (bond[:, None] >= 0)
    shoal.pair.weight[:] = np.where(mates, 0.0, shoal.fish.provokes[None, :])
    np.fill_diagonal(shoal.pair.weight, 0.0)


def relate(shoal: Shoal, scenario: Scenario, traits: Mapping[str, Mapping[str, float]], p: Any) -> None:
    """What every fish is to every other: tolerance, radius, look-alike weight, odds of size and kind.

    A fish that defends tolerates its rivals, of its own kind and sex, nowhere on its ground, and minds them
    from farthest; its own kind otherwise, and who eats the same, half as much as all others. An injured fish
    fights like one that is so much shorter (assumption).
    """
    names = sorted(scenario.species)
    known = shoal.fish.length_cm > 0.0
    length = np.where(known, shoal.fish.length_cm * shoal.fish.vigour, 1.0)
    guild = np.array([scenario.species[name].words["guild"].value[0] for name in names])[shoal.fish.species]
    temper = np.array([traits[name]["temper"] for name in names])[shoal.fish.species]
    hers = np.array([traits[name]["temper_female"] for name in names])[shoal.fish.species]
    temper = np.maximum(np.where(shoal.fish.male, temper, temper * hers), MEEKEST)
    own = shoal.fish.species[:, None] == shoal.fish.species[None, :]
    rival = shoal.fish.capable[:, None] & (shoal.fish.male[:, None] == shoal.fish.male[None, :])
    alike = own | (guild[:, None] == guild[None, :])
    shoal.pair.tolerated[:] = p.tolerance * np.where(own & rival, 0.0, np.where(alike, 0.5, 1.0))
    shoal.pair.radius_cm[:] = np.maximum(shoal.fish.core_cm[:, None] * (1.0 - shoal.pair.tolerated), 1.0)
    pattern = np.array(
        [
            _pattern(scenario.species[names[s]], m)
            for s, m in zip(shoal.fish.species, shoal.fish.male, strict=True)
        ]
    )
    shoal.pair.choice[:] = np.where(pattern[:, None] == pattern[None, :], p.look_alike, 1.0)
    shoal.pair.odds[:] = p.size_odds * np.log(length[:, None] / length[None, :])
    shoal.pair.odds[:] += p.temper_odds * np.log(temper[:, None] / temper[None, :])


def _pattern(species: Species, male: bool) -> str:
    return species.words["pattern_male" if male else "pattern_female"].value


def measured_individuals(scenario: Scenario) -> list[Individual]:
    """The fish of the stock list that are in the tank for any of the measured time, in its order."""
    there = scenario.measured_fish
    return [one for one in individuals(scenario.stock) if one.label in there]


def mildest(scenario: Scenario) -> str:
    """The species with the lowest temper for its timidity of those that are there in the measured time.

    The first by name in a tie.
    """
    fish = measured_individuals(scenario) or individuals(scenario.stock)
    there = {one.species for one in fish}

    def heat(key: str) -> float:
        traits = scenario.species[key].traits
        return traits["temper"].value / max(traits["timidity"].value, 1e-6)

    return min(there, key=lambda key: (heat(key), key))
