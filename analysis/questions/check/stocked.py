"""The stock said back in plain words: species, sex, day, and lengths given or drawn."""

from __future__ import annotations

import math

from ....sim.fish.population import GROWN_SHARE, SEXES, YOUNG_SHARE, individuals
from ....sim.scenario.called import shown_name
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.timeline.again import FEW
from ....sim.scenario.units import say_length_cm
from ....sim.species.species import Species
from ...document import Text, deeper
from ...document.plain import between, many, percent
from .drawn import DrawnTanks

FOODS = {"A": "algae", "P": "plankton", "I": "invertebrates", "F": "fish"}


def fish_sentences(scenario: Scenario, drawn: DrawnTanks) -> list[Text]:
    """Every species, its rows by sex and day, and how its lengths are found."""
    fixed = scenario.run.fixed
    lines: list[Text] = [
        f"{len(individuals(scenario.stock))} fish in all; {most_at_once(scenario)} at most at one time."
    ]
    for key in dict.fromkeys(row.species for row in scenario.stock):
        species = scenario.species[key]
        name = shown_name(scenario, key, in_full=True)
        lines.append(f"{name}, of Lake {species.lake}; eats {foods(species)}; lives as {living(species)}")
        rows = [row for row in scenario.stock if row.species == key]
        for row in rows:
            lines.append(deeper(f"{who(row)}, {when(row, scenario)}"))
            lines.append(deeper(how_long(row, species, fixed=fixed)))
        lines += map(deeper, _fits(scenario, species, drawn))
    return lines


def foods(species: Species) -> str:
    """``"algae and plankton"``."""
    return " and ".join(FOODS[letter] for letter in species.words["guild"].value)


def most_at_once(scenario: Scenario) -> int:
    """The greatest number of fish in the tank at one time."""
    timeline = scenario.timeline
    return max(len(timeline.in_on(one.day)) for one in timeline.events)


def living(species: Species) -> str:
    """The mating system in plain words."""
    return {
        "harem": "a male with several females, no pair bond",
        "pair": "a pair",
        "group": "a group, a pair with helpers",
    }[species.words["mating"].value]


def who(row: StockRow) -> str:
    """``"1 male, 3 females (1 of them holding)"``."""
    parts = []
    if row.males:
        parts.append(many(row.males, "male"))
    if row.females:
        holding = f" ({row.holding} of them holding)" if row.holding else ""
        parts.append(many(row.females, "female") + holding)
    if row.unsexed:
        parts.append(f"{row.unsexed} unsexed (male or female by the toss of a coin in each simulated tank)")
    return ", ".join(parts)


def when(row: StockRow, scenario: Scenario) -> str:
    """From which day to which its fish are in the tank."""
    labels = [one.label for one in individuals(scenario.stock) if one.row is row]
    stays = list(dict.fromkeys(scenario.timeline.stays[label] for label in labels))
    if len(stays) != 1 or len(stays[0]) > FEW + 1:
        return "each as the dates say"
    said = []
    for k, (first, last) in enumerate(stays[0]):
        came = f"{'put back' if k else 'added'} on day {first:g}"
        said.append(came if k or first else "from the start")
        said.append("to the end" if math.isinf(last) else f"taken out on day {last:g}")
    return ", ".join(said)


def length_range_cm(row: StockRow, species: Species, *, sex: str, fixed: bool) -> tuple[float, float]:
    """Shortest and longest total length that a fish of the row can be drawn with, cm."""
    if row.length_cm is not None:
        return row.length_cm
    traits = [species.traits["length_max_female_cm"], species.traits["length_max_male_cm"]]
    traits = [one for one in traits if sex == "unsexed" or one.name == f"length_max_{sex}_cm"]
    low_share, high_share = YOUNG_SHARE if sex == "unsexed" else GROWN_SHARE
    low = min(one.value if fixed else one.low for one in traits)
    high = max(one.value if fixed else one.high for one in traits)
    return low_share * low, high_share * high


def middling_cm(scenario: Scenario, species: Species, *, sex: str = "") -> float:
    """Midway between the shortest and the longest fish of a species, or of a sex of it, as stocked, cm."""
    ends = [
        length_range_cm(row, species, sex=one, fixed=scenario.run.fixed)
        for row in scenario.stock
        for one in ([sex] if sex else SEXES)
        if row.species == species.key and count(row, one)
    ]
    return (min(low for low, _ in ends) + max(high for _, high in ends)) / 2.0


def how_long(row: StockRow, species: Species, *, fixed: bool) -> str:
    """The lengths of a row, how they are found, and whether such fish are adult."""
    sexes = sexes_of([row])
    ranges = {sex: length_range_cm(row, species, sex=sex, fixed=fixed) for sex in sexes}
    low, high = (pick(one[k] for one in ranges.values()) for k, pick in ((0, min), (1, max)))
    grown = _grown(species, low, high, fixed=fixed)
    if row.length_cm is not None:
        each = "each" if low == high else "each drawn between"
        return f"total length {between([low, high], say_length_cm)}, {each}; {grown}"
    said = "; ".join(f"{sex} {between(ends, say_length_cm)}" for sex, ends in ranges.items())
    shares = [YOUNG_SHARE if sex == "unsexed" else GROWN_SHARE for sex in sexes]
    share = " or ".join(dict.fromkeys(between(ends, percent) for ends in shares))
    return (
        f"total length not given, so drawn for each fish of each simulated tank, {share} of the greatest "
        f"known (assumption): {said}; {grown}"
    )


def _grown(species: Species, low: float, high: float, *, fixed: bool) -> str:
    trait = species.traits["maturity_cm"]
    youngest, oldest = (trait.value, trait.value) if fixed else (trait.low, trait.high)
    if low >= oldest:
        return "adult"
    return "juvenile" if high < youngest else "some adult, some juvenile"


def _fits(scenario: Scenario, species: Species, drawn: DrawnTanks) -> list[str]:
    """How many crevices let in a middling fish of each sex."""
    lines = []
    rows = [row for row in scenario.stock if row.species == species.key]
    for sex in sexes_of(rows) if drawn.most else []:
        middle_cm = middling_cm(scenario, species, sex=sex)
        depth_cm = middle_cm * species.traits["depth_ratio"].value
        named = "unsexed fish" if sex == "unsexed" else sex
        lines.append(
            f"an average {named}, {say_length_cm(middle_cm)} long and {say_length_cm(depth_cm)} deep in the "
            f"body, gets into {between(drawn.admitting(depth_cm), str)} of the crevices"
        )
    return lines


def count(row: StockRow, sex: str) -> int:
    """Fish of a sex ("male", "female" or "unsexed") in a row."""
    return {"male": row.males, "female": row.females, "unsexed": row.unsexed}[sex]


def sexes_of(rows: list[StockRow]) -> list[str]:
    """The sexes that any of the rows has."""
    return [sex for sex in SEXES if any(count(row, sex) for row in rows)]


def stocked(scenario: Scenario) -> list[Species]:
    """The species of the stock list, in its order."""
    return [scenario.species[key] for key in dict.fromkeys(row.species for row in scenario.stock)]


def heads(scenario: Scenario, key: str) -> tuple[int, int, int]:
    """Males, females and unsexed of a species, all its rows together."""
    rows = [row for row in scenario.stock if row.species == key]
    return sum(row.males for row in rows), sum(row.females for row in rows), sum(row.unsexed for row in rows)


def living_as_group(scenario: Scenario) -> list[Species]:
    """Species that live as a group, with two fish or more."""
    stock = stocked(scenario)
    return [
        one for one in stock if one.words["mating"].value == "group" and sum(heads(scenario, one.key)) > 1
    ]
