"""What a draft says: its values, its species, its scenario, and that of one copy alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ....sim.scenario.reading import Problem, check, parse
from ....sim.scenario.reading.kinds import Names, read_own_species
from ....sim.scenario.reading.problems import Book
from ....sim.scenario.reading.stock import Asked
from ....sim.scenario.reading.stocklist import read_list
from ....sim.scenario.reading.tables import Table
from ....sim.scenario.reading.toml import loads
from ....sim.scenario.scenario import Scenario
from ....sim.species.species import library
from ..task import Draft


def scenario_of(draft: Draft) -> Scenario:
    """The scenario of a draft with its alternatives; raises ScenarioError with every problem of its text."""
    beside = None if draft.stock_list is None else draft.stock_list.text
    return parse(draft.text, name=draft.name, folder=None, stock_list_text=beside)


def shown(scenario: Scenario, which: int) -> Scenario:
    """The tank as it is (0) or its ``which``-th copy, which has the title and question of the whole."""
    if which == 0:
        return replace(scenario, alternatives=())
    return scenario.alternatives[which - 1].scenario


def alone(draft: Draft, values: Mapping[str, Any], which: int) -> Scenario:
    """The tank as it is with one copy and no other, or with none (0); others may have problems.

    Raises ScenarioError.
    """
    rest = {key: value for key, value in values.items() if key != "alternative"}
    if which:
        rest["alternative"] = [copies_of(values)[which - 1]]
    beside = None if draft.stock_list is None else draft.stock_list.text
    return check(rest, name=draft.name, folder=None, stock_list_text=beside)


def values_of(text: str) -> dict[str, Any] | None:
    """What a TOML text says; None when it is no TOML."""
    try:
        return loads(text.removeprefix("\ufeff"))
    except ValueError:
        return None


def copies_of(values: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The tables of the copies as written; an empty one instead of what is none."""
    rows = values.get("alternative")
    return [row if isinstance(row, Mapping) else {} for row in rows] if isinstance(rows, list) else []


def names_of(values: Mapping[str, Any]) -> Names:
    """Every species that a file can name: the library's and the keeper's own, as far as they can be read."""
    names = Names(library())
    own = values.get("species")
    if isinstance(own, Mapping):
        read_own_species(Table(own, place=("species",), book=Book()), names)
    return names


def list_rows(draft: Draft, values: Mapping[str, Any]) -> tuple[list[Asked], list[Problem]] | None:
    """Rows and problems of the stock list that a file names; None when it names none, or it is not here."""
    if "stock_list" not in values or draft.stock_list is None:
        return None
    problems: list[Problem] = []
    rows = read_list(draft.stock_list.text, file=draft.stock_list.name, problems=problems)
    return rows, problems
