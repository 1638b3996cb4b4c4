"""Rock and things beside it as the page shows them: drawn, a sketch or none, and the boxes to hide behind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ....sim.scenario.reading.limits import FIELDS, LIMITS, MOST_OBJECTS, MOST_SKETCH
from ....sim.scenario.scenario import ObjectSpec, RockSpec, Scenario
from .fields import Values, amount, plain

OBJECT_SIDES = {one.key: one.of for one in FIELDS if one.table == "rock.object" and one.key != "kind"}


def rock_told(values: Values, own: Values, scenario: Scenario | None) -> dict[str, Any]:
    """The rock of the table that is shown; of a file with problems as much as can be read."""
    if scenario is not None:
        rock = scenario.rock
        sketch = None if rock.sketch is None else list(rock.sketch)
        objects = [object_told(one) for one in rock.objects]
        return _told(sketch, rock.cover, plain(rock.sketch_step_cm), rock.crevices, objects)
    tables = [one.get("rock") for one in (values, own)]
    written = {key: one for table in tables if isinstance(table, Mapping) for key, one in table.items()}
    cover, step = (amount(written.get(key), LIMITS[f"rock.{key}"]) for key in ("cover", "sketch_step"))
    things = [one for one in _list(written.get("object"))[:MOST_OBJECTS] if isinstance(one, Mapping)]
    step = RockSpec.sketch_step_cm if step is None else step
    listed = _list(written.get("crevice"))
    return _told(
        _sketch(written.get("sketch")), cover, step, listed, [_written_object(one) for one in things]
    )


def _told(
    sketch: list[str] | None, cover: float | None, step: float, crevices: Any, objects: Any
) -> dict[str, Any]:
    return {
        "kind": "sketch" if sketch else "drawn" if cover else "none",
        "sketch": sketch,
        "step_cm": step,
        "listed_crevices": len(crevices or ()),
        "objects": objects,
    }


def object_told(one: ObjectSpec) -> dict[str, Any]:
    """Wood, a filter or a heater as a file has it, in cm."""
    return {"kind": one.kind, **{key: plain(getattr(one, name)) for key, name in OBJECT_SIDES.items()}}


def _written_object(one: Mapping[str, Any]) -> dict[str, Any]:
    sides = {key: amount(one.get(key, 0), LIMITS[f"rock.object.{key}"]) for key in OBJECT_SIDES}
    kind = one.get("kind")
    return {"kind": kind if isinstance(kind, str) else "", **sides}


def _list(value: object) -> list[Any]:
    return value if isinstance(value, list) else []


def _sketch(rows: object) -> list[str] | None:
    """Rows of digits of equal length; None where it is none."""
    lines = rows.split("\n") if isinstance(rows, str) else rows
    if not isinstance(lines, list):
        return None
    found = ["".join(one.split()) for one in lines[:MOST_SKETCH] if isinstance(one, str) and one.strip()]
    good = all(one.isascii() and one.isdigit() and len(one) == len(found[0]) for one in found)
    return found if found and good and len(found[0]) <= MOST_SKETCH else None
