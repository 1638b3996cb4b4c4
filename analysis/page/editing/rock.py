"""Changes to the rock: a sketch, a cover drawn anew in every simulated tank, none, and things beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ....sim.scenario.reading.limits import LIMITS, MOST_OBJECTS, MOST_SKETCH
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.rock import RESCAPE
from ....sim.scenario.reading.tables import one_of
from ..viewing.fields import amount
from ..viewing.rock import OBJECT_SIDES
from .bench import Bench
from .written import EditError

_COVER = ("cover", "height", "piles")
_DRAWN = (*_COVER, RESCAPE)
_SKETCH = ("sketch", "sketch_step")
_OBJECT = ("kind", *OBJECT_SIDES)


def sketched(bench: Bench, change: Mapping[str, Any]) -> None:
    """A sketch instead of the rock; stones stay as large, crevices listed for other rock leave."""
    rows, step = change.get("rows"), change.get("step")
    if not isinstance(rows, list) or any(not isinstance(row, str) or len(row) > MOST_SKETCH for row in rows):
        raise EditError(f"rows is {show(rows)}; use a list of rows of at most {MOST_SKETCH} digits")
    if not 0 < len(rows) <= MOST_SKETCH:
        raise EditError(f"there are {len(rows)} rows; use 1 to {MOST_SKETCH}")
    gone = _DRAWN if _holds(bench, "sketch") else (*_DRAWN, "crevice")
    given = {"sketch": rows} | ({} if step is None else {"sketch_step": plain_value("step", step)})
    _changed(bench, gone, given, in_doubt=_SKETCH)


def covered(bench: Bench, change: Mapping[str, Any]) -> None:
    """Rock that is drawn in every simulated tank; what is not named stays, None takes it out."""
    gone = (*_SKETCH, "crevice") if _holds(bench, "sketch") else ()
    given = {key: plain_value(key, change[key]) for key in _COVER if key in change}
    _changed(bench, gone, given, in_doubt=("height", "piles", "cover"))


def bared(bench: Bench, change: Mapping[str, Any]) -> None:
    """No rock; things to hide behind stay."""
    given: dict[str, object] = {"cover": 0} if bench.which else {}
    if bench.which and bench.sheet.get("rock", "crevice"):
        given["crevice"] = []
    _changed(bench, (*_DRAWN, *_SKETCH, "crevice"), given, in_doubt=("crevice", "cover"))


def _changed(
    bench: Bench, gone: Sequence[str], given: Mapping[str, object], *, in_doubt: Sequence[str]
) -> None:
    """With keys of the rock taken out and given, those in doubt only where they make a difference."""
    there = bench.sheet.get(*bench.own, "rock")
    kept = {key: one for key, one in there.items() if key not in gone} if isinstance(there, Mapping) else {}
    new = {key: one for key, one in {**kept, **given}.items() if one is not None}
    bench.put(("rock",), new or None)
    bench.prune([("rock", key) for key in in_doubt])


def _holds(bench: Bench, key: str) -> bool:
    """Whether the rock that is meant has a key, of its own or from the tank that it is a copy of."""
    own = bench.sheet.get(*bench.own, "rock")
    own = own if isinstance(own, Mapping) else {}
    if key in own:
        return True
    other = "cover" if key == "sketch" else "sketch"
    return other not in own and bench.sheet.get("rock", key) is not None


def furnished(bench: Bench, change: Mapping[str, Any]) -> None:
    """Other wood, filters and heaters; those that stay as they are stay as they are written."""
    wanted = _objects(change.get("objects"))
    there = bench.sheet.get(*bench.own, "rock", "object")
    now = there if isinstance(there, list) else []
    rows = [_as_before(row, now[k] if k < len(now) else {}) for k, row in enumerate(wanted)]
    bench.put(("rock", "object"), rows or ([] if bench.which or there == [] else None))
    bench.prune([("rock", "object")])


def _objects(rows: object) -> list[dict[str, Any]]:
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise EditError(f"objects is {show(rows)}; use a list of things")
    if len(rows) > MOST_OBJECTS:
        raise EditError(f"there are {len(rows)} objects; use at most {MOST_OBJECTS}")
    for row in rows:
        for key in row:
            if key not in _OBJECT:
                raise EditError(f"objects: there is no {show(key)}; use {one_of(_OBJECT)}")
    given = [{key: plain_value(key, row[key]) for key in _OBJECT if row.get(key) is not None} for row in rows]
    return [{key: one for key, one in row.items() if not _is_floor(key, one)} for row in given]


def _is_floor(key: str, value: object) -> bool:
    """On the base, which need not be said."""
    return key == "above_base" and value == 0 and not isinstance(value, bool)


def _as_before(row: Mapping[str, Any], before: object) -> dict[str, Any]:
    """Written as before where it says the same."""
    old = before if isinstance(before, Mapping) else {}
    return {key: old[key] if _alike(key, old.get(key), value) else value for key, value in row.items()}


def _alike(key: str, before: object, after: object) -> bool:
    if key == "kind" or before is None:
        return before == after
    one, other = (amount(value, LIMITS[f"rock.object.{key}"]) for value in (before, after))
    return one is not None and one == other


def plain_value(name: str, value: object) -> Any:
    """A value that can be written: text, a number, a switch; None takes the key out."""
    if value is None or isinstance(value, str | int | float | bool):
        return value
    raise EditError(f"{name} is {show(value)}; use text, a number, true or false")
