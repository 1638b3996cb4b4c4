"""What a keeper should weigh before a run, because the model does not: the second half of ``rockshy check``.

Each flag says what it rests on: keys of the bibliography, "common practice, no source", "computed"
or "assumption". Nothing here says that a stock is all right.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from ....sim.fish.population import GROWN_SHARE
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import FishOut
from ....sim.scenario.units import say_length_cm
from ....sim.species.species import Species
from ...document.plain import many, percent
from ...measures.groups import SEXES
from .drawn import DrawnTanks
from .stocked import foods, most_at_once

PRACTICE = "common practice, no source"
FEMALES_A_MALE = 2  # at least: common practice, no source
TRIO_FEMALES = 3  # with one male the smallest harem keepers aim at: common practice, no source
LENGTHS_CM = (100.0, 120.0, 150.0)  # bare floor, usual minimum, preferred, for mixed mbuna: common practice

_WATER = (
    ("temperature", "temp_low_c", "temp_high_c", " C"),
    ("pH", "ph_low", "ph_high", ""),
    ("GH", "gh_low", "gh_high", " degrees"),
    ("KH", "kh_low", "kh_high", " degrees"),
)


@dataclass(frozen=True)
class Flag:
    """Something for the keeper to judge, and what it rests on."""

    text: str
    rests_on: str


def flags(scenario: Scenario, drawn: DrawnTanks) -> tuple[Flag, ...]:
    """Every flag of a scenario, the water first."""
    of_stock = (water_flags, food_flags, look_alike_flags, hybrid_flags, sex_ratio_flags, partner_flags)
    found = [flag for asked in (*of_stock, unsexed_flags, length_flags) for flag in asked(scenario)]
    return (*found, *crevice_flags(scenario, drawn), *date_flags(scenario))


def _stocked(scenario: Scenario) -> list[Species]:
    return [scenario.species[key] for key in dict.fromkeys(row.species for row in scenario.stock)]


def _heads(scenario: Scenario, key: str) -> tuple[int, int, int]:
    """Males, females and unsexed of a species, all its rows together."""
    rows = [row for row in scenario.stock if row.species == key]
    return sum(row.males for row in rows), sum(row.females for row in rows), sum(row.unsexed for row in rows)


def _sources(*sources: str) -> str:
    """Sources once each, in order; the keeper's own values are called that."""
    parts = [part.strip() for source in sources for part in source.split(";")]
    return "; ".join(dict.fromkeys("your own value" if part == "keeper" else part for part in parts))


# ---- water and food


def water_flags(scenario: Scenario) -> Iterator[Flag]:
    """Ranges of lake water that do not meet, and a tank too warm or too cold for one of the species."""
    stocked = _stocked(scenario)
    for name, lowest, highest, unit in _WATER:
        most = max(stocked, key=lambda one: one.traits[lowest].value)
        least = min(stocked, key=lambda one: one.traits[highest].value)
        low, high = most.traits[lowest], least.traits[highest]
        if low.value > high.value:
            yield Flag(
                f"Water: {most.key} comes from {name} of at least {low.value:g}{unit}, {least.key} from at "
                f"most {high.value:g}{unit}. The model does not know the water.",
                _sources(low.source, high.source),
            )
    warm = scenario.tank.temperature_c
    for one in stocked:
        low, high = one.traits["temp_low_c"], one.traits["temp_high_c"]
        if not low.value <= warm <= high.value:
            yield Flag(
                f"Temperature: {warm:g} C is outside the {low.value:g} to {high.value:g} C of {one.key}.",
                _sources(low.source, high.source),
            )


def food_flags(scenario: Scenario) -> Iterator[Flag]:
    """Pairs of species with no food in common."""
    for a, b in combinations(_stocked(scenario), 2):
        mine, theirs = a.words["guild"], b.words["guild"]
        if not set(mine.value) & set(theirs.value):
            yield Flag(
                f"Food: {a.key} eats {foods(a)}, {b.key} {foods(b)}. What suits one may not suit the other; "
                "the model feeds them all the same.",
                _sources(mine.source, theirs.source),
            )


# ---- who looks like whom


def look_alike_flags(scenario: Scenario) -> Iterator[Flag]:
    """Species that share the pattern word of an adult."""
    for a, b in combinations(_stocked(scenario), 2):
        both = product(*([one.words[f"pattern_{sex}"] for sex in SEXES] for one in (a, b)))
        shared = {
            one.value: _sources(one.source, other.source) for one, other in both if one.value == other.value
        }
        for pattern, sources in shared.items():
            yield Flag(
                f'Look-alikes: {a.key} and {b.key} both wear "{pattern}". The model takes such a fish as '
                "target more often than another; how alike yours look to a fish only your eye can tell.",
                _sources(f"Pauers2008 (2nd); {sources}"),
            )


def hybrid_flags(scenario: Scenario) -> Iterator[Flag]:
    """Species of one genus."""
    by_genus: dict[str, list[str]] = {}
    for one in _stocked(scenario):
        by_genus.setdefault(one.genus, []).append(one.key)
    for genus, keys in by_genus.items():
        if len(keys) > 1:
            named = f"{', '.join(keys[:-1])} and {keys[-1]}"
            yield Flag(
                f"Hybrids: {named} belong to one genus, {genus}, and may cross. The model has no spawning.",
                PRACTICE,
            )


# ---- sexes


def sex_ratio_flags(scenario: Scenario) -> Iterator[Flag]:
    """Harem species with fewer than two females for a male."""
    for one in _stocked(scenario):
        males, females, unsexed = _heads(scenario, one.key)
        if one.words["mating"].value != "harem" or males == 0 or females >= FEMALES_A_MALE * males:
            continue
        more = f" ({unsexed} unsexed not counted)" if unsexed else ""
        yield Flag(
            f"Sex ratio: {one.key}, {many(males, 'male')} and {many(females, 'female')}{more}. Keepers give "
            "a male two to three females at least, so that no one of them is driven all day.",
            f"{PRACTICE}; aggression rises with the share of males, up to about two males a female, then "
            "falls: Weir2011 (abstract)",
        )


def partner_flags(scenario: Scenario) -> Iterator[Flag]:
    """Fish of pair and group species that have no partner."""
    for one in _stocked(scenario):
        males, females, unsexed = _heads(scenario, one.key)
        mating = one.words["mating"]
        if mating.value == "pair" and males != females and not unsexed:
            yield Flag(
                f"Partners: {one.key} lives in pairs; {many(males, 'male')} and {many(females, 'female')} "
                f"leave {abs(males - females)} without a partner. The model pairs by number; yours may not "
                "take to each other.",
                _sources(mating.source),
            )
        if mating.value == "group" and males + females + unsexed == 1:
            yield Flag(
                f"Partners: {one.key} lives in groups, and this is one alone.", _sources(mating.source)
            )


def unsexed_flags(scenario: Scenario) -> Iterator[Flag]:
    """What unsexed juveniles may turn out to be: exact odds."""
    for one in _stocked(scenario):
        males, females, unsexed = _heads(scenario, one.key)
        if unsexed == 0:
            continue
        wanted = TRIO_FEMALES if one.words["mating"].value == "harem" else 1
        odds = odds_of_sexes(unsexed, males=1 - males, females=wanted - females)
        known = f", with the {males + females} of known sex," if males + females else ""
        yield Flag(
            f"Unsexed: {one.key}, {unsexed} of them{known} come out as at least 1 male and "
            f"{many(wanted, 'female')} in {percent(odds)} of such batches, and as all of one sex in "
            f"{percent(2.0 * 0.5**unsexed)} of the unsexed alone.",
            "computed (binomial); that each is male or female by even chance is an assumption",
        )


def odds_of_sexes(juveniles: int, *, males: int, females: int) -> float:
    """Chance that of so many juveniles at least ``males`` are male and at least ``females`` female.

    Exact binomial with a half each.
    """
    from scipy.stats import binom  # half a second to load, and most stocks do not ask for it

    fits = np.arange(max(males, 0), juveniles - max(females, 0) + 1)
    return float(binom.pmf(fits, juveniles, 0.5).sum())


# ---- room


def length_flags(scenario: Scenario) -> Iterator[Flag]:
    """A tank shorter than keepers give a mixed stock of harem species."""
    tank = scenario.tank.length_cm
    bare, usual, preferred = LENGTHS_CM
    if all(one.words["mating"].value != "harem" for one in _stocked(scenario)) or tank >= preferred:
        return
    if tank < bare:
        place = f"below the {say_length_cm(bare)} that keepers call the bare floor"
    elif tank < usual:
        place = f"below the {say_length_cm(usual)} that is the usual minimum"
    else:
        place = (
            f"no less than the usual minimum of {say_length_cm(usual)}, but below the "
            f"{say_length_cm(preferred)} that keepers prefer"
        )
    yield Flag(
        f"Length: {say_length_cm(tank)} is {place}. The figures are for mixed mbuna; for other grazers they "
        "are borrowed.",
        PRACTICE,
    )


def crevice_flags(scenario: Scenario, drawn: DrawnTanks) -> Iterator[Flag]:
    """Fewer crevices than fish, and species whose grown fish fit into none."""
    fish = most_at_once(scenario)
    if drawn.fewest < fish:
        yield Flag(
            f"Crevices: {drawn.fewest} in the simulated tank with the fewest, for "
            f"{many(fish, 'fish', 'fish')}. Keepers count a cave for each fish.",
            PRACTICE,
        )
    for one in _stocked(scenario):
        traits = one.traits
        longest = max(traits["length_max_male_cm"].value, traits["length_max_female_cm"].value)
        grown = GROWN_SHARE[0] * longest
        if drawn.most and drawn.admitting(grown * traits["depth_ratio"].value)[1] == 0:
            yield Flag(
                f"Crevices: no crevice drawn lets in a {one.key} of {say_length_cm(grown)}, which "
                "they grow to.",
                _sources("assumption", traits["depth_ratio"].source),
            )


def date_flags(scenario: Scenario) -> Iterator[Flag]:
    """Fish taken out after the end, or before anything is measured."""
    measured, end = scenario.measured_days
    told = scenario.measured_fish
    for one in scenario.timeline.events:
        if one.day >= end:
            yield Flag(
                f"Dates: {one.about}, {one.deed} on day {one.day:g}, but the run ends on day {end:g}: it "
                "does not happen.",
                "your own dates",
            )
        elif isinstance(one, FishOut) and one.day <= measured and not told & set(one.fish):
            yield Flag(
                f"Dates: {one.about} is taken out on day {one.day:g}, before measuring starts on day "
                f"{measured:g}: the answer says nothing about it, only about what it left behind.",
                "your own dates",
            )
