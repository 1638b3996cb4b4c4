"""Switching mechanisms off that lie in who is in the tank: crowding and the sexes. Scenario -> Scenario.

Whoever stays keeps its number and its draws. The fish that are measured must be in the tank whatever is
switched off, so which fish go is settled once, from the stock as it is.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from ....sim.fish.population import Individual, individuals
from ....sim.scenario import changes as sim
from ....sim.scenario.scenario import Scenario, StockRow
from ....sim.scenario.stock_changes import numbers

FEMALES_A_MALE = {"harem": 2}  # at least: common practice, no source; of pairs and groups 1


def going(scenario: Scenario, whom: Collection[str]) -> frozenset[str]:
    """Labels of the fish that go when the tank is thinned to half.

    Every second fish of the stock list, in its order, so that each species and sex is thinned about
    alike; begun so that at least half of the fish asked about stay, and of an odd number the larger half.
    """
    labels = [one.label for one in individuals(scenario.stock)]
    even, odd = labels[::2], labels[1::2]
    mine = [sum(label in whom for label in half) for half in (even, odd)]
    return frozenset(even if mine[1] > mine[0] else odd)


def thinned(scenario: Scenario, gone: Collection[str], *, known: Collection[str]) -> Scenario:
    """Without some fish, and without every second of those that are not known yet.

    Parameters
    ----------
    gone : see :func:`going`; those that are not there are skipped.
    known : labels of the stock as it was when ``gone`` was settled; who is not among them was added later.
    """
    added = [one.label for one in individuals(scenario.stock) if one.label not in known]
    return without(scenario, {*gone, *added[::2]})


def without(scenario: Scenario, labels: Collection[str]) -> Scenario:
    """Without some fish, measured on the same days; nobody is renumbered."""
    rows: list[StockRow] = []
    people = individuals(scenario.stock)
    for row in scenario.stock:
        out = [f"{one.sex} {one.number}" for one in people if one.row is row and one.label in labels]
        rows.append(replace(row, left_out=(*row.left_out, *out)) if out else row)
    return restocked(scenario, tuple(rows))


def restocked(scenario: Scenario, stock: tuple[StockRow, ...]) -> Scenario:
    """With another stock, measured on the same days."""
    base = sim.with_run(scenario, watch=None)
    return sim.measured_like(sim.with_stock(replace(base, stock=stock), ()), base)


def apart(scenario: Scenario) -> Scenario:
    """No two rows of the stock one object, so that a fish can be asked which row it is of."""
    return replace(scenario, stock=tuple(replace(row) for row in scenario.stock))


def surplus(scenario: Scenario, species: str) -> int:
    """Males of a species beyond the ratio, of as many fish; 0 where there are none or no sex is known."""
    count = numbers(scenario.stock, species)
    sexed = count["males"] + count["females"]
    mating = scenario.species[species].words["mating"].value
    most = max(1, sexed // (1 + FEMALES_A_MALE.get(mating, 1)))
    return max(0, count["males"] - most)


def balanced(scenario: Scenario, *, staying: Collection[str], whom: Collection[str]) -> Scenario:
    """Surplus males of every species replaced by as many females of it.

    The last males go first; of those asked about only when no other is left, and of these first those
    that are not ``staying`` when the tank is thinned.
    """
    for key in dict.fromkeys(row.species for row in scenario.stock):
        many = surplus(scenario, key)
        if not many:
            continue
        males = [one for one in individuals(scenario.stock) if one.species == key and one.sex == "male"]
        last = sorted(males, key=lambda one: (_worth(one, staying, whom), -one.number))[:many]
        females = numbers(scenario.stock, key)["females"] + many
        scenario = without(scenario, {one.label for one in last})
        scenario = sim.measured_like(sim.recounted(scenario, key, females=females), scenario)
    return scenario


def _worth(one: Individual, staying: Collection[str], whom: Collection[str]) -> int:
    return (one.label in whom) + (one.label in whom and one.label in staying)
