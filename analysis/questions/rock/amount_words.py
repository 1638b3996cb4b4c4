"""An amount of rock in words: kilograms and pounds, the load on the base, water, crevices, cautions."""

from __future__ import annotations

from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import KG_PER_LB, say_length_cm, say_volume_l
from ...document import Document, Note, Section, Table, Text, deeper, document, section, table
from ...document.cautions import CAUTIONS, Caution, cautions
from ...document.plain import between, many, percent, tenths
from ..check.understood import crevice_sentences
from ..sources.source_counts import cited
from .amount import SOLID, Amount, Spread, Weight, pressure_kpa
from .grid import Grid, is_bare

HANDS_IN = "power"  # rock is laid by hand, so this caution applies whatever else the tank holds


def amount_words(grid: Grid, amount: Amount | None, *, place: int | None, found: bool) -> Document:
    """The weights, the water and the crevices of one amount of rock, then the cautions and the sources.

    Parameters
    ----------
    amount : of the rock at ``place``; None without any.
    found : the amount is the one found; otherwise it is the keeper's own.
    """
    if place is None or amount is None or is_bare(grid.points[place].scenario.rock):
        bare = (
            "No rock, so nothing to weigh."
            if found
            else "Your tank has no rock, so there is nothing to weigh."
        )
        return document(section("What the rock comes to", bare), cautions_words(None))
    scenario = grid.points[place].scenario
    whose = "the least amount found" if found else "your tank now"
    return document(
        weight_words(amount, head=f"What {grid.say(place)} comes to ({whose})"),
        section("Crevices", *crevice_sentences(scenario, amount.drawn), *fit_sentences(amount)),
        cautions_words(scenario),
        section("Sources", *cited([SOLID.source, *(one.source for one in amount.weights)])),
    )


def weight_words(amount: Amount, *, head: str) -> Section:
    """Litres, kilograms by kind of stone and the load on the base, under a head."""
    return section(head, *heap_sentences(amount), weight_table(amount), _load_note(amount))


def heap_sentences(amount: Amount) -> list[str]:
    """Litres of the heap, floor, height and water displaced."""
    low, high = amount.displaced_l.low, amount.displaced_l.high
    return [
        f"In {many(amount.tanks, 'simulated tank')}, middle and lowest to highest: heaps of "
        f"{_of(amount.bulk_l, 'L')}, water between the stones counted, on {amount.floor_m2.middle:.2f} of "
        f"the {amount.base_m2:.2f} square metres of the base, up to {say_length_cm(amount.highest_cm.high)} "
        f"high. Stone is {percent(SOLID.low)} to {percent(SOLID.high)} of such a heap.",
        f"Water displaced: {between([low, high], say_volume_l)}; take that much out before the rock goes in. "
        f"{say_volume_l(amount.water_l)} would fit without rock.",
    ]


def weight_table(amount: Amount) -> Table:
    """Kilograms and pounds by kind of stone, and what they load the base with."""
    rows = []
    for one in amount.weights:
        pounds = Spread(*(kg / KG_PER_LB for kg in (one.kg.middle, one.kg.low, one.kg.high)))
        rows.append(
            (
                one.stone,
                tenths(one.kg.middle),
                _range(one.kg),
                tenths(pounds.middle),
                _range(pounds),
                _range(one.in_water_kg),
                _range(one.kg_m2),
                _range(one.highest_kg_m2),
            )
        )
    heads = ("", "kg", "", "lb", "", "in water\nkg", "on the base\nkg/m2", "highest\nkg/m2")
    return table(heads, rows, widths=(23, 6, 13, 6, 13, 12, 13, 14))


def _load_note(amount: Amount) -> Note:
    heaviest = max(amount.weights, key=lambda one: one.kg.high)
    return Note(
        "in water: what the stones still weigh once the tank is full; on the base: the dry stones over the "
        f"part of it that they stand on ({_kpa(heaviest)} for {heaviest.stone}); highest: under the highest "
        "stones. A stone stands on a few points: the load there is far more than these means."
    )


def _kpa(one: Weight) -> str:
    low, high = pressure_kpa(one.kg_m2.low), pressure_kpa(one.kg_m2.high)
    return f"{low:.1f} to {high:.1f} kPa"


def fit_sentences(amount: Amount) -> list[Text]:
    """Crevices by body size: how many let in a middling fish of each sex."""
    lines: list[Text] = [f"On average {amount.crevices.middle:.0f} in a tank."]
    for one in amount.fits:
        named = "unsexed fish" if one.sex == "unsexed" else one.sex
        counts = between([one.crevices.low, one.crevices.high], lambda count: f"{count:.0f}")
        said = (
            f"{one.species}: an average {named}, {say_length_cm(one.length_cm)} long and "
            f"{say_length_cm(one.depth_cm)} deep in the body, gets into {counts} of them (on average "
            f"{one.crevices.middle:.0f})"
        )
        lines.append(deeper(said))
    return lines


def cautions_words(scenario: Scenario | None) -> Section:
    """What applies to the tank with this rock in it, and to laying it."""
    return section("Cautions", *(one.text for one in laying_cautions(scenario)))


def laying_cautions(scenario: Scenario | None) -> list[Caution]:
    """The cautions of a tank whose rock is laid by hand; None: of any tank."""
    applying = set(cautions(scenario)) if scenario is not None else set()
    always = {"sick fish", "law", HANDS_IN}
    return [one for one in CAUTIONS if one in applying or one.about in always]


def _of(one: Spread, unit: str) -> str:
    if tenths(one.low) == tenths(one.high):
        return f"{tenths(one.middle)} {unit}"
    return f"{tenths(one.middle)} {unit} ({_range(one)})"


def _range(one: Spread) -> str:
    low, high = tenths(one.low), tenths(one.high)
    return low if low == high else f"{low} to {high}"
