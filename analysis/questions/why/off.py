"""Switching mechanisms off that lie in fish and rock, each a function Scenario -> Scenario.

Traits keep their ranges and each has a generator of its own, so that every other draw is what it was.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from ....sim.fish.population import GROWN_SHARE, YOUNG_SHARE, Individual, individuals
from ....sim.rules.support.random_numbers import generator
from ....sim.scenario.scenario import CreviceSpec, RockSpec, Scenario
from ....sim.species.overrides import with_overrides
from ....sim.species.species import TRAITS, Species, Trait

SIGHT_CM = 30.0  # two to three lengths of such fish: only who is close by is seen (assumption)
FLAT = 1.0
NEVER_S = 1e30  # time in which a place would be claimed: so long that the claim of a run rounds to 0
TEMPERS = ("temper", "temper_female")
_GOLDEN = (0.618034, 0.754878)  # steps that spread any number of places evenly
_POT_CM = 15.0  # depth of a crevice where there is no rock: assumption
_LEAST_CM = 0.5  # a mouth


# ---- lengths


def length_range(scenario: Scenario, one: Individual) -> tuple[float, float]:
    """Lengths that a fish may have, cm, with the traits of its species in the middle of their ranges."""
    if one.row.length_cm is not None:
        return one.row.length_cm
    traits = scenario.species[one.species].traits
    male, female = (traits[f"length_max_{sex}_cm"].value for sex in ("male", "female"))
    if one.sex == "unsexed":
        longest, shares = (male + female) / 2.0, YOUNG_SHARE
    else:
        longest, shares = (male if one.sex == "male" else female), GROWN_SHARE
    return shares[0] * longest, shares[1] * longest


def middle_cm(scenario: Scenario, one: Individual) -> float:
    """The middle of the lengths that a fish may have, cm."""
    return sum(length_range(scenario, one)) / 2.0


def common_cm(scenario: Scenario) -> float:
    """The mean of these over all fish, cm, to a millimetre: the length that all get."""
    return round(float(np.mean([middle_cm(scenario, one) for one in individuals(scenario.stock)])), 1)


def one_size(scenario: Scenario, *, length_cm: float) -> Scenario:
    """Every fish of one length. Bodies stay as deep, and grown fish stay grown and young ones young.

    The ratio of body depth to length is changed species by species, so that the fish fit into the
    crevices that they fitted into before; the bounds of the trait are kept. Where a species has grown
    fish and young ones, all count as grown.
    """
    people = individuals(scenario.stock)
    species = {
        key: _resized(kind, scenario, [one for one in people if one.species == key], length_cm)
        for key, kind in scenario.species.items()
    }
    rows = tuple(replace(row, length_cm=(length_cm, length_cm)) for row in scenario.stock)
    return replace(scenario, stock=rows, species=species)


def is_young(scenario: Scenario, one: Individual) -> bool:
    """Whether a fish of middle length is not grown."""
    return middle_cm(scenario, one) < scenario.species[one.species].traits["maturity_cm"].value


def _resized(kind: Species, scenario: Scenario, fish: list[Individual], length_cm: float) -> Species:
    if not fish:
        return kind
    before = float(np.mean([middle_cm(scenario, one) for one in fish]))
    depth = _scaled(kind.traits["depth_ratio"], before / length_cm)
    young = all(is_young(scenario, one) for one in fish)
    maturity = kind.traits["maturity_cm"]
    ends = (maturity.low, maturity.value, maturity.high)
    if not young:  # adult is whoever is at least as long as its maturity
        ripe, longest = [min(one, length_cm) for one in ends], {}
    else:
        above = min(1.01 * length_cm, TRAITS["maturity_cm"].high)
        ripe = [max(one, above) for one in ends]
        longest = {  # never looked at where a length is given, but no maturity may lie above it
            name: [max(trait.low, ripe[2]), max(trait.high, ripe[2])]
            for name, trait in kind.traits.items()
            if name.startswith("length_max")
        }
    changed = {"depth_ratio": depth, "maturity_cm": {"value": ripe[1], "range": [ripe[0], ripe[2]]}}
    return with_overrides(kind, {**changed, **longest})


def _scaled(trait: Trait, times: float) -> dict[str, object]:
    rule = TRAITS[trait.name]
    low, value, high = (
        float(np.clip(times * one, rule.low, rule.high)) for one in (trait.low, trait.value, trait.high)
    )
    return {"value": value, "range": [low, high]}


# ---- temper, looks, sight, ground


def one_temper(scenario: Scenario, *, species: str) -> Scenario:
    """Every species with the temper, and the temper of its females, of one of them."""
    own = scenario.species[species].traits
    like = {name: {"value": own[name].value, "range": [own[name].low, own[name].high]} for name in TEMPERS}
    others = {
        key: kind if key == species else with_overrides(kind, like) for key, kind in scenario.species.items()
    }
    return replace(scenario, species=others)


def flat_looks(scenario: Scenario) -> Scenario:
    """Look-alikes weigh in the choice of target as anybody else."""
    return with_parameter(scenario, "look_alike", FLAT)


def short_sight(scenario: Scenario) -> Scenario:
    """Nobody sees farther than SIGHT_CM."""
    return with_parameter(scenario, "sight_cm", SIGHT_CM)


def no_ground(scenario: Scenario) -> Scenario:
    """No fish ever claims any ground, neither by being there nor by winning a contest."""
    return with_parameter(with_parameter(scenario, "claim_s", NEVER_S), "claim_beaten", 0.0)


def anybody_defends(scenario: Scenario) -> bool:
    """Whether any fish is of a species and sex that claims ground; of unsexed fish some may be."""
    defends = {key: kind.words["defends"].value for key, kind in scenario.species.items()}
    able = {"male": ("male", "both"), "female": ("female", "both"), "unsexed": ("male", "female", "both")}
    return any(defends[one.species] in able[one.sex] for one in individuals(scenario.stock))


def with_parameter(scenario: Scenario, name: str, value: float) -> Scenario:
    """With a parameter set; those that are not set are drawn as before."""
    return replace(scenario, parameters={**scenario.parameters, name: value})


# ---- crevices


def own_crevices(scenario: Scenario, *, drawn: float) -> Scenario:
    """A crevice of its own for each fish, instead of those that the rock happens to have.

    Its mouth is as high as the body of that fish can be deep, so that no larger one gets in; it is as deep
    as a piece of rock is large. There are about as many as before, but one for each fish at least. They
    are spread evenly over the tank and lie in the rock nearest to there.

    Parameters
    ----------
    drawn : crevices that there are before, mean over some tanks.
    """
    people = individuals(scenario.stock)
    each = max(1, round(drawn / len(people)))
    mouths = [max(_LEAST_CM, deepest_cm(scenario, one)) for one in people for _ in range(each)]
    mixed = generator(scenario.run.seed, "crevices of their own").permutation(len(mouths))
    return _with_crevices(scenario, scenario.rock, [mouths[k] for k in mixed])


def deepest_cm(scenario: Scenario, one: Individual) -> float:
    """The deepest that the body of a fish may be, cm, over all guesses."""
    traits = scenario.species[one.species].traits
    if one.row.length_cm is not None:
        longest = one.row.length_cm[1]
    else:
        sexes = ("male", "female") if one.sex == "unsexed" else (one.sex,)
        share = (YOUNG_SHARE if one.sex == "unsexed" else GROWN_SHARE)[1]
        longest = share * max(traits[f"length_max_{sex}_cm"].high for sex in sexes)
    return traits["depth_ratio"].high * longest


def clear_view(scenario: Scenario, *, mouths_cm: list[float]) -> Scenario:
    """No rock that blocks view or way; crevices with these mouths stand in the open in its place."""
    bare = replace(scenario.rock, cover=0.0, height_cm=0.0, sketch=None)
    return _with_crevices(scenario, bare, mouths_cm)


def _with_crevices(scenario: Scenario, rock: RockSpec, mouths_cm: list[float]) -> Scenario:
    tank, was = scenario.tank, scenario.rock
    rows = was.sketch or ()
    highest = max((int(digit) for row in rows for digit in row), default=0) * was.sketch_step_cm
    high = min(max(was.height_cm, highest, tank.cell_cm), tank.water_cm)
    depth = was.piece_cm if was.cover > 0 or rows else _POT_CM
    many = len(mouths_cm)
    crevices = tuple(
        CreviceSpec(
            x_cm=(k + 0.5) / many * tank.length_cm,
            y_cm=(k * _GOLDEN[0] % 1.0) * tank.width_cm,
            z_cm=(k * _GOLDEN[1] % 1.0) * high,
            mouth_cm=mouth,
            depth_cm=depth,
        )
        for k, mouth in enumerate(mouths_cm)
    )
    return replace(scenario, rock=replace(rock, crevices=crevices))


# ---- looks of the fish of a tank


def alike(scenario: Scenario, labels: tuple[str, ...]) -> tuple[int, int]:
    """How many other fish look like some fish, and how many there are in all besides one of them.

    Of unsexed fish the pattern of the male is taken.
    """
    people = individuals(scenario.stock)
    pattern = {one.label: _pattern(scenario, one) for one in people}
    mine = pattern[labels[0]]
    return sum(pattern[one.label] == mine for one in people) - 1, len(people) - 1


def looks_differ(scenario: Scenario) -> bool:
    """Whether any fish can choose between a look-alike and another."""
    count = Counter(_pattern(scenario, one) for one in individuals(scenario.stock))
    return len(count) > 1 and max(count.values()) > 1


def _pattern(scenario: Scenario, one: Individual) -> str:
    words = scenario.species[one.species].words
    return words["pattern_female" if one.sex == "female" else "pattern_male"].value
