"""A tank of the keeper's own: empty at first, and free of what was said of a demo or of fish now gone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from .... import scenarios
from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.toml import loads
from ..task import Draft
from ..viewing.read import list_rows, names_of, scenario_of, values_of
from .rock import plain_value
from .text import Sheet
from .written import EditError

TITLE, NAME = "My tank", "my-tank.toml"
_NEEDED = ("length", "front_to_back", "height")
_OF_THE_DEMO = ("question", "argument", "alternative")


def empty_tank(sides: Mapping[str, Any]) -> Draft:
    """A tank of three sides, without rock and fish; raises EditError with what is wrong with a side."""
    sheet = Sheet("")
    sheet.put(("title",), TITLE)
    for side in _NEEDED:
        value = plain_value(side, sides.get(side))
        if value is None or value == "":
            raise EditError(f"{side.replace('_', ' ')} is missing; use a length such as 120 cm or 48 in")
        sheet.put(("tank", side), value)
    made = Draft(sheet.text, NAME)
    try:
        scenario_of(made)
    except ScenarioError as error:
        wrong = [one.said for one in error.problems if one.place[:1] == ("tank",)]
        if wrong:
            raise EditError(*wrong) from None
    return made


def own(before: Draft, after: Draft) -> tuple[Draft, list[str]]:
    """A draft whose stock was changed, without what is no longer true of it, and what is to say of that.

    A ready scenario with other species than it came with is the keeper's own tank: its title, question,
    comments, copies and file name are not. Whom a file asks about leaves with the last of those fish.
    """
    then, now = values_of(before.text), values_of(after.text)
    if then is None or now is None or _species(before, then) == _species(after, now):
        return after, []
    sheet, said = Sheet(after.text), []
    watch = now.get("run", {}).get("watch") if isinstance(now.get("run"), dict) else None
    names = names_of(now)
    if isinstance(watch, str) and names.resolve(watch) in _species(before, then) - _species(after, now):
        sheet.drop(("run", "watch"))
        said.append(f"The fish you asked about are gone: {watch}. Now it is about the mildest of the stock.")
    if now.get("title") in _ready_titles():
        kept = {key: one for key, one in sheet.values.items() if key not in (*_OF_THE_DEMO, "title")}
        sheet = Sheet("")
        for key, one in {"title": TITLE, **kept}.items():
            sheet.put((key,), one)
        after = replace(after, name=NAME)
        said.append(f'This is now a tank of your own, "{TITLE}": the words of the ready one are gone.')
    return replace(after, text=sheet.text), said


def _species(draft: Draft, values: Mapping[str, Any]) -> set[str | None]:
    """What the rows of the stock name, by the key where one is known."""
    names, listed = names_of(values), list_rows(draft, values)
    rows = values.get("stock") if listed is None else [vars(one) for one in listed[0]]
    told = [row.get("species") for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []
    return {names.resolve(one) for one in told if isinstance(one, str)}


@cache
def _ready_titles() -> frozenset[str]:
    return frozenset(str(loads(scenarios.text(name)).get("title")) for name in scenarios.names())
