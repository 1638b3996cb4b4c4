"""Species that are no match for each other, by temper and by length, as they stand in the stock list."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

from ....sim.fish.population import MEEKEST
from ....sim.scenario.called import shown_name
from ....sim.scenario.scenario import Scenario
from ....sim.species.species import Species
from ...document.plain import listed
from ...document.typed import plural_of
from .stocked import middling_cm

HOT = 1.4  # temper from which a kind is called hot, a typical male mbuna being 1: assumption
TEMPER_TIMES = 2.0  # as hot as another kind, from which that one is called mild beside it: assumption
LENGTH_TIMES = 1.5  # as long as another kind, from which that one is called small beside it: assumption


@dataclass(frozen=True)
class Pair:
    """One species beside another that is milder, or smaller and no hotter; how many times it is either."""

    over: Species
    under: Species
    heat: float  # temper of ``over``
    temper: float
    length: float

    @property
    def is_hot(self) -> bool:
        return self.heat >= HOT and self.temper >= TEMPER_TIMES

    @property
    def is_large(self) -> bool:
        return self.length >= LENGTH_TIMES


def hot_pairs(scenario: Scenario) -> list[Pair]:
    """Hot kinds beside mild ones, the greatest difference first."""
    return sorted((one for one in _pairs(scenario) if one.is_hot), key=lambda one: -one.temper)


def large_pairs(scenario: Scenario) -> list[Pair]:
    """Large kinds beside small ones that are no hotter, the greatest first; none of the hot pairs."""
    pairs = [one for one in _pairs(scenario) if one.is_large and one.temper >= 1.0]
    return sorted((one for one in pairs if not one.is_hot), key=lambda one: -one.length)


def by_under(pairs: list[Pair]) -> list[list[Pair]]:
    """Pairs gathered by the kind that is the milder or smaller, in the order of the first of each."""
    gathered: dict[str, list[Pair]] = {}
    for one in pairs:
        gathered.setdefault(one.under.key, []).append(one)
    return list(gathered.values())


def beside(scenario: Scenario, pairs: list[Pair]) -> str:
    """``"auratus (about 5.5 times as hot) and kenyi (about 4.5 times as hot) beside yellow lab"``."""
    overs = [(plural_of(shown_name(scenario, one.over.key), one.over.key), one) for one in pairs]
    named = [f"{name} ({_times(one)})" for name, one in overs]
    under = pairs[0].under.key
    return f"{listed(named)} beside {plural_of(shown_name(scenario, under), under)}"


def _times(pair: Pair) -> str:
    """In halves: tempers are not known any better."""
    said = [f"{round(2 * pair.temper) / 2:g} times as hot"] if pair.is_hot else []
    said += [f"{round(2 * pair.length) / 2:g} times as long"] if pair.is_large else []
    return f"about {', '.join(said)}"


def temper_of(scenario: Scenario, species: Species) -> float:
    """Temper of the hotter sex that is stocked; unsexed fish may be males."""
    rows = [row for row in scenario.stock if row.species == species.key]
    his, hers = (species.traits[name].value for name in ("temper", "temper_female"))
    tempers = [his] if any(row.males or row.unsexed for row in rows) else []
    tempers += [his * hers] if any(row.females for row in rows) else []
    return max(*tempers, MEEKEST)


def _pairs(scenario: Scenario) -> list[Pair]:
    stocked = [scenario.species[key] for key in dict.fromkeys(row.species for row in scenario.stock)]
    return [
        Pair(
            over,
            under,
            temper_of(scenario, over),
            temper_of(scenario, over) / temper_of(scenario, under),
            middling_cm(scenario, over) / middling_cm(scenario, under),
        )
        for over, under in permutations(stocked, 2)
    ]
