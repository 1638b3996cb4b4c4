"""A scenario to make alternatives of, and shortcuts shared by their tests."""

from __future__ import annotations

from reading_examples import LIBRARY, STOCK, TANK, problem, read
from rockshy.sim.scenario.reading import Problem
from rockshy.sim.scenario.scenario import Alternative, Scenario

MILD, HOT, CAVE = LIBRARY
ROCK = '[rock]\ncover = "40 %"\nheight = 35\n'
MORE = '[[stock]]\nspecies = "hot grazer"\nmales = 3\nfemales = 5\nlength = "8-10 cm"\nday = 2\n'
WATCH = '[run]\nwatch = "mild grazer"\n'
BASE = TANK + ROCK + STOCK + MORE + WATCH
START = BASE.count("\n") + 1  # line of the first [[alternative]]


def with_(body: str, *, base: str = BASE) -> str:
    return f'{base}[[alternative]]\nname = "other"\n{body}\n'


def alternative(body: str, *, base: str = BASE) -> Alternative:
    (one,) = read(with_(body, base=base)).alternatives
    return one


def other(body: str, *, base: str = BASE) -> Scenario:
    return alternative(body, base=base).scenario


def wrong(body: str, *, base: str = BASE) -> Problem:
    """The one problem; it must lie within the alternative."""
    found = problem(with_(body, base=base))
    assert found.line is not None
    assert found.line > base.count("\n")
    assert found.key.startswith("alternative")
    return found


def counts(scenario: Scenario) -> list[tuple[str, int, int, int]]:
    return [(row.species, row.males, row.females, row.unsexed) for row in scenario.stock]
