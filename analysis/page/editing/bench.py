"""A draft while it is changed: its text, which tank is meant, and the scenario of one copy alone."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from typing import Any

from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.problems import Place, show
from ....sim.scenario.reading.stock import Asked
from ....sim.scenario.scenario import Scenario, StockRow, TankSpec
from ....sim.scenario.stock import individuals
from ..task import Draft
from ..viewing.fields import plain
from ..viewing.read import alone, copies_of, list_rows, shown
from ..viewing.stock import COUNTS, Spelled, spelling
from .text import Sheet, drop_at
from .written import EditError

BEFORE = "the tank as it is has problems; fix these first"
NO_TANK = TankSpec(math.nan, math.nan, math.nan, math.nan)  # nothing is longer than it


class Bench:
    """A draft being changed; ``own`` is the table that is meant: () for the tank as it is, or a copy's."""

    def __init__(self, draft: Draft, which: int) -> None:
        """Raises EditError when the text is no TOML or has no such copy."""
        self.draft, self.which = draft, which
        self.said: list[str] = []  # what there is to say of the change
        self.sheet = Sheet(draft.text)
        copies = len(copies_of(self.sheet.values))
        if not 0 <= which <= copies:
            raise EditError(f"there is no copy {which}; use 0 for the tank as it is, or 1 to {copies}")
        self.own: Place = ("alternative", which - 1) if which else ()

    def done(self) -> Draft:
        """The draft with its new text."""
        return dataclasses.replace(self.draft, text=self.sheet.text)

    def put(self, key: Place, value: object) -> None:
        """Set a key of the table that is meant; None takes it out."""
        self.sheet.put((*self.own, *key), value)

    def alone(self) -> Scenario:
        """The tank as it is with no copy but the one that is meant; raises ScenarioError."""
        return alone(self.draft, self.sheet.values, self.which)

    def prune(self, keys: Sequence[Place]) -> None:
        """Take out of a copy what makes no difference to the tank as it is."""
        if not self.which:
            return
        for key in keys:
            if self.sheet.get(*self.own, *key) is None:
                continue
            without = deepcopy(self.sheet.values)
            drop_at(without, (*self.own, *key))
            try:
                now = shown(self.alone(), 1)
                then = shown(alone(self.draft, without, self.which), 1)
            except ScenarioError:
                continue
            if alike(now, then) and now.run.watch == then.run.watch:
                self.put(key, None)


@contextmanager
def refusing(before: str = "") -> Iterator[None]:
    """What the reader says of a change inside the block, without lines, as a refusal of it."""
    try:
        yield
    except ScenarioError as error:
        said = [str(dataclasses.replace(one, line=None)) for one in error.problems]
        raise EditError(*filter(None, [before, *said, error.more])) from None


def alike(one: Scenario, other: Scenario) -> bool:
    """Whether two scenarios are of the same tank, but for errors of rounding, and for what is watched."""
    return near(_compared(one), _compared(other)) and dict(one.species) == dict(other.species)


def _compared(scenario: Scenario) -> list[Any]:
    same = {"typed": ""}  # one species by two of its names
    rows = [{**dataclasses.asdict(row), "left_out": sorted(row.left_out), **same} for row in scenario.stock]
    run = {**dataclasses.asdict(scenario.run), "watch": None}
    tank, rock = dataclasses.asdict(scenario.tank), dataclasses.asdict(scenario.rock)
    return [tank, rock, run, rows, _events(scenario), dict(scenario.parameters)]


def _events(scenario: Scenario) -> list[list[Any]]:
    """What is done to whom by those of which something is left; a rounding error moves none."""
    labels = {one.label for one in individuals(scenario.stock)}
    left = filter(None, (one.among(labels) for one in scenario.events))
    told = [[event.deed, event.about, event.settle, event.day] for event in left]
    return sorted(told, key=lambda one: (*one[:3], round(one[3], 6)))


def near(one: Any, other: Any) -> bool:
    """Whether plain values are the same but for errors of rounding."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(near(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(near, one, other))
    if isinstance(one, int | float) and isinstance(other, int | float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return bool(one == other)


def row_values(row: StockRow | Asked, spelled: Spelled) -> dict[str, object]:
    """A row of stock as it is written, what holds without being written left out."""
    found: dict[str, object] = {"species": row.species}
    found |= {field: getattr(row, field) for field in COUNTS if getattr(row, field)}
    if row.length_cm is not None:
        low, high = row.length_cm
        found["length"] = spelling((plain(low), plain(high)), spelled)
    if row.day:
        found["day"] = plain(row.day)
    if row.out_day is not None:
        found["out"] = plain(row.out_day)
    return found


def write_in_list(bench: Bench) -> None:
    """Write the rows of a stock list into the file as [[stock]]; EditError when lost or with problems."""
    values = bench.sheet.values
    if "stock_list" not in values:
        return
    listed = list_rows(bench.draft, values)
    if listed is None:
        name = show(values["stock_list"])
        near = "open the file together with its stock list, or paste it"
        raise EditError(f"stock_list: {name} is not here; {near}")
    rows, problems = listed
    if problems:
        raise EditError(*ScenarioError(bench.draft.name, problems).sentences())
    bench.sheet.drop(("stock_list",))
    bench.sheet.put(("stock",), [row_values(one, {}) for one in rows] or None)
    bench.draft = dataclasses.replace(bench.draft, stock_list=None)
