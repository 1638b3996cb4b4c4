"""What happens when, row by row of the file, in words and with its days: the timeline below the tank."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ....sim.scenario.reading.events import EVENT
from ....sim.scenario.reading.limits import MOST_EVENTS
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.timeline import Event
from ....sim.scenario.timeline.again import say_days
from ....sim.scenario.timeline.event import EVENTS
from ....sim.scenario.timeline.fish import FishIn

ADDED = "added"  # the kind of a row of the stock that comes in later
_FIRST = ("when",)  # a rule of thumb has out as well
MOST_DAYS = 60  # marks of one row that is done again and again


def event_rows(own: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The [[event]] rows of the file, or of a copy's table, as written; one row may stand alone."""
    rows = own.get(EVENT)
    listed = rows if isinstance(rows, list) else [] if rows is None else [rows]
    return [row if isinstance(row, Mapping) else {} for row in listed]


def events_told(
    own: Mapping[str, Any], which: int, scenario: Scenario | None, called: Callable[[str], str]
) -> list[dict[str, Any]]:
    """Each row with ``row``, its number in the table that is meant, None where it cannot be changed there.

    ``stock`` and ``field`` instead where a row of the stock says it. ``days``: on which it happens, ``text``:
    in words, ``called`` as the keeper calls the fish; ``kind``: its key in the file. Where the file has
    problems, rows as they are written, so that a wrong one can be taken out.
    """
    rows = event_rows(own)
    if scenario is None:
        return [_as_written(row, k) for k, row in enumerate(rows[:MOST_EVENTS])]
    found: dict[tuple[Any, ...], list[Event]] = {}
    for one in scenario.timeline.events:
        if one.day > 0 or one.place[-2:-1] == (EVENT,):
            end = type(one).__name__ if one.place[:1] == ("stock",) else ""
            found.setdefault((*one.place, end), []).append(one)
    told = [_told(place[:-1], events, rows, which, called) for place, events in found.items()]
    return sorted(told, key=lambda one: (one["days"][0], one["text"]))


def _told(
    place: Sequence[Any],
    events: Sequence[Event],
    rows: Sequence[Mapping[str, Any]],
    which: int,
    called: Callable[[str], str],
) -> dict[str, Any]:
    first = events[0]
    is_own = place[-2:-1] == (EVENT,) and (place[0] == "alternative") == bool(which)
    days = [one.day for one in events if isinstance(one, type(first))]
    words = dict.fromkeys(called(one.words()) for one in events)
    told: dict[str, Any] = {"row": None, "stock": None, "field": "day", "kind": "", "rule": not first.dated}
    if is_own:
        row = rows[place[-1]]
        told |= {"row": place[-1], "kind": next((key for key in (*_FIRST, *EVENTS) if key in row), "")}
    elif place[:1] == ("stock",):
        is_in = isinstance(first, FishIn)
        told |= {"stock": place[1], "kind": ADDED if is_in else "out", "field": "day" if is_in else "out"}
    when = "from the beginning" if told["rule"] and days[0] == 0 else say_days(days)
    if any(one.endless for one in events):
        when = when.partition(" until ")[0]
    return {**told, "days": days[:MOST_DAYS], "text": "; ".join(words), "when": when}


def _as_written(row: Mapping[str, Any], number: int) -> dict[str, Any]:
    """A row of a file with problems."""
    day = row.get("day")
    days = [float(day)] if isinstance(day, int | float) and not isinstance(day, bool) else [0.0]
    text = ", ".join(f"{key} = {value}" for key, value in row.items() if key != "day")[:120]
    key = next((key for key in (*_FIRST, *EVENTS) if key in row), "")
    return {
        "row": number,
        "stock": None,
        "field": "day",
        "kind": key,
        "rule": key == "when",
        "days": days,
        "text": text,
        "when": say_days(days),
    }
