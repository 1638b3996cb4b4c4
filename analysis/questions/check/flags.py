"""What a keeper should weigh before a run, fish first: the second half of ``rockshy check --full``.

Each flag says what it rests on: keys of the bibliography, "common practice, no source", "computed"
or "assumption". Nothing here says that a stock is all right.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from ....sim.fish.population import GROWN_SHARE
from ....sim.run.set_ups import watched
from ....sim.scenario.called import shown_name
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import BoxIn, FishOut
from ....sim.scenario.units import say_length_cm
from ....sim.species.species import Species
from ...document.plain import listed, many, percent
from ...document.typed import Typed
from ...measures.groups import SEXES
from ..life.reach import end_of, months_in
from .drawn import DrawnTanks
from .stocked import foods, heads, living_as_group, middling_cm, most_at_once, stocked
from .unequal import beside, by_under, hot_pairs, large_pairs

PRACTICE = "common practice, no source"
LITTLE_ROCK = 0.1  # share of the floor under rock below which it is called hardly any: assumption
FEMALES_A_MALE = 2  # at least: common practice, no source
TRIO_FEMALES = 3  # with one male the smallest harem keepers aim at: common practice, no source
LENGTHS_CM = (100.0, 120.0, 150.0)  # bare floor, usual minimum, preferred, for mixed mbuna: common practice
PAIRS_CM = 60.0  # usual minimum where nobody lives as a harem: common practice, no source

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
    """Every flag of a scenario: the fish among each other, the tank, the water, the dates."""
    of_fish = (flag for asked in OF_FISH for flag in asked(scenario))
    of_tank = (*length_flags(scenario), *rock_flags(scenario, drawn), *water_flags(scenario))
    return (*of_fish, *of_tank, *(long_flags(scenario) or date_flags(scenario)))


def name_of(scenario: Scenario, species: Species) -> str:
    """A species as the keeper typed it."""
    return shown_name(scenario, species.key)


def _sources(*sources: str) -> str:
    """Sources once each, in order; the keeper's own values are called that."""
    parts = [part.strip() for source in sources for part in source.split(";")]
    return "; ".join(dict.fromkeys("your own value" if part == "keeper" else part for part in parts))


# ---- water and food


def water_flags(scenario: Scenario) -> Iterator[Flag]:
    """Ranges of lake water that do not meet, and a tank too warm or too cold for one of the species."""
    for name, lowest, highest, unit in _WATER:
        most = max(stocked(scenario), key=lambda one: one.traits[lowest].value)
        least = min(stocked(scenario), key=lambda one: one.traits[highest].value)
        low, high = most.traits[lowest], least.traits[highest]
        if low.value > high.value:
            yield Flag(
                f"Water: {name_of(scenario, most)} comes from {name} of at least {low.value:g}{unit}, "
                f"{name_of(scenario, least)} from at most {high.value:g}{unit}. The model does not know the "
                "water.",
                _sources(low.source, high.source),
            )
    warm = scenario.tank.temperature_c
    for one in stocked(scenario):
        low, high = one.traits["temp_low_c"], one.traits["temp_high_c"]
        if not low.value <= warm <= high.value:
            yield Flag(
                f"Temperature: {warm:g} C is outside the {low.value:g} to {high.value:g} C of "
                f"{name_of(scenario, one)}.",
                _sources(low.source, high.source),
            )


def food_flags(scenario: Scenario) -> Iterator[Flag]:
    """Pairs of species with no food in common."""
    for a, b in combinations(stocked(scenario), 2):
        mine, theirs = a.words["guild"], b.words["guild"]
        if not set(mine.value) & set(theirs.value):
            yield Flag(
                f"Food: {name_of(scenario, a)} eats {foods(a)}, {name_of(scenario, b)} {foods(b)}. What "
                "suits one may not suit the other; the model feeds them all the same.",
                _sources(mine.source, theirs.source),
            )


# ---- who is no match for whom


def unequal_flags(scenario: Scenario) -> Iterator[Flag]:
    """Hot kinds beside mild ones, and large ones beside small ones that are no hotter."""
    for pairs in by_under(hot_pairs(scenario)):
        yield Flag(
            f"Hot beside mild: {beside(scenario, pairs)}. In the model the hot one attacks that much more "
            "readily; most tempers are judged by reputation and not measured.",
            _sources("assumption", *(one.over.traits["temper"].source for one in pairs)),
        )
    for pairs in by_under(large_pairs(scenario)):
        yield Flag(
            f"Large beside small: {beside(scenario, pairs)}, each of average length as stocked, and the "
            "large one no milder. In the model the longer of two mostly wins.",
            "assumption",
        )


# ---- who looks like whom


def look_alike_flags(scenario: Scenario) -> Iterator[Flag]:
    """Species that share the pattern word of an adult."""
    for a, b in combinations(stocked(scenario), 2):
        both = product(*([one.words[f"pattern_{sex}"] for sex in SEXES] for one in (a, b)))
        shared = {
            one.value: _sources(one.source, other.source) for one, other in both if one.value == other.value
        }
        for pattern, sources in shared.items():
            yield Flag(
                f"Look-alikes: {name_of(scenario, a)} and {name_of(scenario, b)} both wear "
                f'"{pattern}". The model takes such a fish as target more often than another; how alike '
                "yours look to a fish only your eye can tell.",
                _sources(f"Pauers2008 (2nd); {sources}"),
            )


def hybrid_flags(scenario: Scenario) -> Iterator[Flag]:
    """Species of one genus."""
    for genus, found in of_one_genus(scenario).items():
        named = listed([name_of(scenario, one) for one in found])
        yield Flag(
            f"Hybrids: {named} belong to one genus, {genus}, and may cross. The model has no spawning.",
            PRACTICE,
        )


def of_one_genus(scenario: Scenario) -> dict[str, list[Species]]:
    """Genera of which there are several species, with these."""
    by_genus: dict[str, list[Species]] = {}
    for one in stocked(scenario):
        by_genus.setdefault(one.genus, []).append(one)
    return {genus: found for genus, found in by_genus.items() if len(found) > 1}


# ---- sexes


def sex_ratio_flags(scenario: Scenario) -> Iterator[Flag]:
    """Harem species with fewer than two females for a male."""
    for one in short_of_females(scenario):
        males, females, unsexed = heads(scenario, one.key)
        more = f" ({unsexed} unsexed not counted)" if unsexed else ""
        yield Flag(
            f"Sex ratio: {name_of(scenario, one)}, {many(males, 'male')} and {many(females, 'female')}{more}."
            " Keepers give a male two to three females at least, so that no one of them is driven all day.",
            f"{PRACTICE}; aggression rises with the share of males, up to about two males a female, then "
            "falls: Weir2011 (abstract)",
        )


def short_of_females(scenario: Scenario) -> list[Species]:
    """Harem species with fewer than two females for a male, those with the most males first."""
    counts = {one.key: heads(scenario, one.key) for one in stocked(scenario)}
    found = [
        one
        for one in stocked(scenario)
        if one.words["mating"].value == "harem" and counts[one.key][1] < FEMALES_A_MALE * counts[one.key][0]
    ]
    return sorted(found, key=lambda one: -counts[one.key][0])


def partner_flags(scenario: Scenario) -> Iterator[Flag]:
    """Fish of pair and group species that have no partner."""
    for one, alone in without_partner(scenario):
        males, females, _ = heads(scenario, one.key)
        mating = one.words["mating"]
        if mating.value == "pair":
            text = (
                f"lives in pairs; {many(males, 'male')} and {many(females, 'female')} leave {alone} without "
                "a partner. The model pairs by number; yours may not take to each other."
            )
        else:
            text = "lives in groups, and this is one alone."
        yield Flag(f"Partners: {name_of(scenario, one)} {text}", _sources(mating.source))


def group_flags(scenario: Scenario) -> Iterator[Flag]:
    """Species whose fish let each other be, whatever a keeper may see."""
    for one in living_as_group(scenario):
        yield Flag(
            f"Groups: {name_of(scenario, one)} lives as a group, a pair with helpers. In the model fish of a "
            "group never chase each other, so it says nothing of them among themselves.",
            _sources("assumption", one.words["mating"].source),
        )


def without_partner(scenario: Scenario) -> list[tuple[Species, int]]:
    """Species that live in pairs or groups, and how many of their fish have nobody."""
    found = []
    for one in stocked(scenario):
        males, females, unsexed = heads(scenario, one.key)
        mating = one.words["mating"].value
        if mating == "pair" and males != females and not unsexed:
            found.append((one, abs(males - females)))
        if mating == "group" and males + females + unsexed == 1:
            found.append((one, 1))
    return found


def unsexed_flags(scenario: Scenario) -> Iterator[Flag]:
    """What unsexed juveniles may turn out to be: exact odds."""
    for one in stocked(scenario):
        males, females, unsexed = heads(scenario, one.key)
        if unsexed == 0:
            continue
        wanted, odds = wanted_sexes(scenario, one)
        known = f", with the {males + females} of known sex," if males + females else ""
        yield Flag(
            f"Unsexed: {name_of(scenario, one)}, {unsexed} of them{known} come out as at least 1 male and "
            f"{many(wanted, 'female')} in {percent(odds)} of such batches, and as all of one sex in "
            f"{percent(2.0 * 0.5**unsexed)} of the unsexed alone.",
            "computed (binomial); that each is male or female by even chance is an assumption",
        )


def wanted_sexes(scenario: Scenario, species: Species) -> tuple[int, float]:
    """How many females are wanted beside one male, and the chance that unsexed fish come out so."""
    males, females, unsexed = heads(scenario, species.key)
    wanted = TRIO_FEMALES if species.words["mating"].value == "harem" else 1
    return wanted, odds_of_sexes(unsexed, males=1 - males, females=wanted - females)


def odds_of_sexes(juveniles: int, *, males: int, females: int) -> float:
    """Chance that of so many juveniles at least ``males`` are male and at least ``females`` female.

    Exact binomial with a half each.
    """
    from scipy.stats import binom  # half a second to load, and most stocks do not ask for it

    fits = np.arange(max(males, 0), juveniles - max(females, 0) + 1)
    return float(binom.pmf(fits, juveniles, 0.5).sum())


# ---- room


def length_flags(scenario: Scenario) -> Iterator[Flag]:
    """A tank shorter than keepers give a mixed stock of harem species, or pairs."""
    tank = scenario.tank.length_cm
    bare, usual, preferred = LENGTHS_CM
    if all(one.words["mating"].value != "harem" for one in stocked(scenario)):
        if tank < PAIRS_CM:
            yield Flag(
                f"Length: {say_length_cm(tank)} is below the {say_length_cm(PAIRS_CM)} that is the usual "
                "minimum for fish that live as pairs.",
                PRACTICE,
            )
        return
    if tank >= preferred:
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
    borrowed = "; for these fish it is borrowed" if is_borrowed(scenario) else ""
    yield Flag(f"Length: {say_length_cm(tank)} is {place} for mixed mbuna{borrowed}.", PRACTICE)


def is_borrowed(scenario: Scenario) -> bool:
    """Whether what keepers give mixed mbuna is said of a tank without any: none is of Lake Malawi."""
    return all(one.lake != "Malawi" for one in stocked(scenario))


def rock_flags(scenario: Scenario, drawn: DrawnTanks) -> Iterator[Flag]:
    """Hardly any rock, fewer crevices than fish, and fish that fit into none, as stocked or grown."""
    if hardly_any_rock(drawn):
        yield Flag(f"Rock: it covers less than {percent(LITTLE_ROCK)} of the floor.", "assumption")
    fish = most_at_once(scenario)
    if drawn.fewest < fish:
        yield Flag(
            f"Crevices: {drawn.fewest} in the simulated tank with the fewest, for "
            f"{many(fish, 'fish', 'fish')}. Keepers count a cave for each fish.",
            PRACTICE,
        )
    for one in without_crevice(scenario, drawn):
        yield Flag(
            f"Crevices: in some simulated tanks none lets in a {name_of(scenario, one)} of average size, "
            f"{say_length_cm(middling_cm(scenario, one))} as stocked.",
            _sources("assumption", one.traits["depth_ratio"].source),
        )
    for one in stocked(scenario):
        traits = one.traits
        longest = max(traits["length_max_male_cm"].value, traits["length_max_female_cm"].value)
        grown = GROWN_SHARE[0] * longest
        if drawn.most and drawn.admitting(grown * traits["depth_ratio"].value)[1] == 0:
            yield Flag(
                f"Crevices: no crevice drawn lets in a {name_of(scenario, one)} of {say_length_cm(grown)}, "
                "which they grow to.",
                _sources("assumption", traits["depth_ratio"].source),
            )


def hardly_any_rock(drawn: DrawnTanks) -> bool:
    """Whether some simulated tank has next to no rock."""
    return min(one.cover for one in drawn.rock) < LITTLE_ROCK


def without_crevice(scenario: Scenario, drawn: DrawnTanks) -> list[Species]:
    """Of the largest and the mild kind, those whose middling fish fit nowhere in some simulated tank."""
    largest = max(stocked(scenario), key=lambda one: middling_cm(scenario, one))
    asked = {one.key: one for one in (largest, scenario.species[watched(scenario)[0]])}
    return [
        one
        for one in asked.values()
        if drawn.most
        and drawn.admitting(middling_cm(scenario, one) * one.traits["depth_ratio"].value)[0] == 0
    ]


def long_flags(scenario: Scenario) -> list[Flag]:
    """That a file reaches over weeks: then all its dates happen."""
    months = months_in(scenario)
    if months is None:
        return []
    return [
        Flag(
            f"Dates: the file reaches day {end_of(scenario):g}, so rockshy run lives through it in blocks of "
            f"days, as rockshy life --months {months} does.",
            "your own dates",
        )
    ]


def date_flags(scenario: Scenario) -> Iterator[Flag]:
    """Fish taken out after the end, or before anything is measured."""
    measured, end = scenario.measured_days
    told, typed = scenario.measured_fish, Typed(scenario)
    for one in (event for event in scenario.timeline.events if event.dated and not event.endless):
        about = typed.name(one.about)
        if one.day >= end:
            yield Flag(
                f"Dates: {about}, {one.deed} on day {one.day:g}, but the run ends on day {end:g}: it "
                "does not happen.",
                "your own dates",
            )
        elif isinstance(one, FishOut | BoxIn) and one.day <= measured and not told & set(one.fish):
            yield Flag(
                f"Dates: {about} is {one.deed} on day {one.day:g}, before measuring starts on day "
                f"{measured:g}: the answer says nothing about it, only about what it left behind.",
                "your own dates",
            )


OF_FISH = (
    unequal_flags,
    look_alike_flags,
    hybrid_flags,
    sex_ratio_flags,
    partner_flags,
    group_flags,
    unsexed_flags,
    food_flags,
)
