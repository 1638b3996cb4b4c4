"""Changes to what happens when: an [[event]] row put in, moved, changed or taken out, of the tank or a copy.

A change after which the file could not be run is refused with what the reader says of it, and nothing is
written; where it could not be run before, a row can still be taken out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ....sim.scenario.reading import ScenarioError, limits
from ....sim.scenario.reading.events import EVENT
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.tables import one_of
from ..viewing.events import event_rows
from .bench import Bench, refusing
from .written import EditError

KEYS = limits.keys_of(EVENT)


def add_event(bench: Bench, change: Mapping[str, Any]) -> None:
    """A row at the end."""
    values = change.get("values")
    if not isinstance(values, Mapping) or not values:
        raise EditError(f"values is {show(values)}; use the names and values of an event")
    row = {_key(key): value for key, value in values.items() if value is not None}
    rows = _rows(bench)
    if len(rows) >= limits.MOST_EVENTS:
        raise EditError(f"there are {len(rows)} events already; use at most {limits.MOST_EVENTS}")
    _put(bench, len(rows), (), row)


def set_in_event(bench: Bench, change: Mapping[str, Any]) -> None:
    """One field of one row, as the day of one that is moved; None takes the field out."""
    _put(bench, _number(change, _rows(bench)), (_key(change.get("field")),), change.get("value"))


def drop_event(bench: Bench, change: Mapping[str, Any]) -> None:
    """Without a row."""
    rows = _rows(bench)
    number = _number(change, rows)
    if len(rows) == 1:
        bench.put((EVENT,), None)  # no list is left empty
    else:
        _put(bench, number, (), None)


def _put(bench: Bench, number: int, key: tuple[str, ...], value: object) -> None:
    was_good = _is_good(bench)
    bench.put((EVENT, number, *key), value)
    if was_good:
        with refusing():
            bench.alone()


def _is_good(bench: Bench) -> bool:
    try:
        bench.alone()
    except ScenarioError:
        return False
    return True


def _rows(bench: Bench) -> list[Mapping[str, Any]]:
    """The rows of the table that is meant, written as a list."""
    own: Mapping[str, Any] = (bench.sheet.get(*bench.own) if bench.own else bench.sheet.values) or {}
    rows = event_rows(own)
    if rows and not isinstance(own.get(EVENT), list):
        bench.put((EVENT,), [dict(row) for row in rows])
    return rows


def _number(change: Mapping[str, Any], rows: list[Mapping[str, Any]]) -> int:
    row = change.get("row")
    if type(row) is not int or not 0 <= row < len(rows):
        allowed = f"0 to {len(rows) - 1}" if rows else "none: there are no events"
        raise EditError(f"row is {show(row)}; use {allowed}")
    return row


def _key(key: object) -> str:
    if key not in KEYS:
        raise EditError(f"field is {show(key)}; use {one_of(list(KEYS))}")
    return str(key)
