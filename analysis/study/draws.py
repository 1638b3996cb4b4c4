"""What the simulated tanks were run with, as CSV: the values of every draw, the events of the scenario."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from ...sim.rules.support.parameters import load
from ...sim.run.drawing import parameters_of, traits_of
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.timeline.fish import OfFish
from .dictionary import RUN_COLUMNS
from .layout import DRAWS, EVENTS


def draws_text(scenario: Scenario, guesses: Iterable[int]) -> Iterator[str]:
    """One line a draw and parameter of the rules, then one a draw, species and numeric trait; in pieces.

    Parameters
    ----------
    guesses : numbers of the draws; there are nearly as many as trials.
    """
    yield _lines([RUN_COLUMNS[DRAWS]])
    for draw in guesses:
        yield _lines(_draw(scenario, int(draw)))


def events_text(scenario: Scenario) -> Iterator[str]:
    """One line an event and fish, in order."""
    rows: list[tuple[object, ...]] = []
    for one in scenario.timeline.events:
        if isinstance(one, OfFish) and one.dated:
            rows += [(one.day, one.deed, label) for label in one.fish]
        else:
            rows.append((one.day, one.words(), ""))
    yield _lines([RUN_COLUMNS[EVENTS], *rows])


def _draw(scenario: Scenario, draw: int) -> Iterator[tuple[object, ...]]:
    values = parameters_of(scenario, draw)
    for name, parameter in load().items():
        yield draw, "", name, parameter.unit, float(values[name])
    for key, traits in traits_of(scenario, draw).items():
        for name, value in traits.items():
            yield draw, key, name, scenario.species[key].traits[name].unit, value


def _lines(rows: Iterable[Iterable[object]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()
