"""One sheet to take to a club mentor, a forum or a vet: what is known filled in, gaps for the rest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ...sim.fish.population import individuals
from ...sim.scenario.called import shown_name
from ...sim.scenario.scenario import Scenario, StockRow
from ...sim.scenario.units import say_length_cm, say_temperature_c, say_volume_l
from ..document.cautions import cautions
from ..document.plain import many, percent
from ..questions.check.stocked import when
from ..questions.watching.tally import Tally
from .page import page

SIGNS = (
    *("does not eat", "hangs in a corner or at the surface", "torn fins", "breathes fast"),
    *("clamped fins, faded or dark colours", "scales missing, wounds, swelling", "thin, or belly sunken"),
)
WATER = (  # what is measured, unit, traits of the range that the library has for the species
    ("temperature", "C", ("temp_low_c", "temp_high_c")),
    ("pH", "", ("ph_low", "ph_high")),
    ("ammonia", "mg/L", None),
    ("nitrite", "mg/L", None),
    ("nitrate", "mg/L", None),
    ("general hardness", "degrees", ("gh_low", "gh_high")),
    ("carbonate hardness", "degrees", ("kh_low", "kh_high")),
)
MOST_TALLIED = 8  # rows that still leave the sheet one page
_SEXES = (("males", "m"), ("females", "f"), ("unsexed", "unsexed"))


def ask_html(scenario: Scenario, *, tally: Sequence[tuple[str, str, str]] = ()) -> str:
    """The whole sheet, made to print on one page; ``tally``: who, whom, how often, or gaps for it."""
    return page(
        "report/ask.html",
        f"Asking for advice: {scenario.title}",
        styles=("style.css", "ask.css"),
        question=scenario.question,
        cautions=[one.text for one in cautions(scenario)],
        water=[
            (f"{name}{f', {unit}' if unit else ''}", _range(scenario, *traits) if traits else "")
            for name, unit, traits in WATER
        ],
        signs=[*SIGNS, "other:"],
        tank=_tank(scenario),
        fish=[_fish_row(row, scenario) for row in scenario.stock],
        count=len(individuals(scenario.stock)),
        tally=tally,
    )


def counted_rows(tally: Tally) -> tuple[tuple[str, str, str], ...]:
    """Who, whom and how often of each act in a tally, the most frequent first."""
    counts: Counter[tuple[str, str, str]] = Counter()
    for one in tally.acts:
        counts[one.chaser.name, one.chased.name, one.act] += one.count
    minutes = f"in {tally.minutes:g} minutes"
    return tuple(
        (who, whom, f"{act}, {many(count, 'time')} {minutes}")
        for (who, whom, act), count in counts.most_common(MOST_TALLIED)
        if count
    )


def _range(scenario: Scenario, low: str, high: str) -> str:
    """What suits all species of the stock, or that nothing does."""
    species = list(scenario.species.values())
    bottom = max(one.traits[low].value for one in species)
    top = min(one.traits[high].value for one in species)
    return f"{bottom:g} to {top:g}" if bottom <= top else "no common range"


def _tank(scenario: Scenario) -> list[str]:
    tank, rock = scenario.tank, scenario.rock
    litres = tank.length_cm * tank.width_cm * tank.water_cm / 1000.0
    sides = " x ".join(say_length_cm(side) for side in (tank.length_cm, tank.width_cm, tank.height_cm))
    lines = [
        f"{sides} (length, front to back, height); {say_volume_l(litres)} of water before rock.",
        f"Kept at {say_temperature_c(tank.temperature_c)}.",
    ]
    if rock.sketch is not None:
        lines.append("Rock as in a sketch of heights, enclosed.")
    elif rock.cover > 0:
        height = say_length_cm(rock.height_cm)
        lines.append(f"Rock on {percent(rock.cover)} of the floor, up to {height}, piles: {rock.piles}.")
    else:
        lines.append("No rock.")
    return lines


def _fish_row(row: StockRow, scenario: Scenario) -> tuple[str, str, str, str]:
    """Species, number by sex, length, from when to when."""
    name, species = shown_name(scenario, row.species, in_full=True), scenario.species[row.species]
    if name == row.species and species.common:
        name += f" ({species.common[0]})"
    number = ", ".join(f"{getattr(row, sex)} {short}" for sex, short in _SEXES if getattr(row, sex))
    if row.holding:
        number += f", {row.holding} holding"
    ends = [] if row.length_cm is None else [say_length_cm(end) for end in dict.fromkeys(row.length_cm)]
    return name, number, " to ".join(ends), when(row, scenario)
