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
        return _checked(scenario.rock)
    return _written({**_table(values), **_table(own)})


def _table(values: Values) -> dict[str, Any]:
    rock = values.get("rock")
    return dict(rock) if isinstance(rock, Mapping) else {}


def _checked(rock: RockSpec) -> dict[str, Any]:
    kind = "sketch" if rock.sketch is not None else "drawn" if rock.cover > 0 else "none"
    return {
        "kind": kind,
        "sketch": None if rock.sketch is None else list(rock.sketch),
        "step_cm": plain(rock.sketch_step_cm),
        "listed_crevices": len(rock.crevices or ()),
        "objects": [_object(one) for one in rock.objects],
    }


def _object(one: ObjectSpec) -> dict[str, Any]:
    return {"kind": one.kind, **{key: plain(getattr(one, name)) for key, name in OBJECT_SIDES.items()}}


def _written(rock: Mapping[str, Any]) -> dict[str, Any]:
    sketch = _sketch(rock.get("sketch"))
    cover = amount(rock.get("cover"), LIMITS["rock.cover"])
    step = amount(rock.get("sketch_step"), LIMITS["rock.sketch_step"])
    listed, objects = rock.get("crevice"), rock.get("object")
    things = objects if isinstance(objects, list) else []
    return {
        "kind": "sketch" if sketch else "drawn" if cover else "none",
        "sketch": sketch,
        "step_cm": RockSpec.sketch_step_cm if step is None else step,
        "listed_crevices": len(listed) if isinstance(listed, list) else 0,
        "objects": [_written_object(one) for one in things[:MOST_OBJECTS] if isinstance(one, Mapping)],
    }


def _written_object(one: Mapping[str, Any]) -> dict[str, Any]:
    sides = {key: amount(one.get(key, 0), LIMITS[f"rock.object.{key}"]) for key in OBJECT_SIDES}
    kind = one.get("kind")
    return {"kind": kind if isinstance(kind, str) else "", **sides}


def _sketch(rows: object) -> list[str] | None:
    """Rows of digits of equal length; None where it is none."""
    lines = rows.split("\n") if isinstance(rows, str) else rows
    if not isinstance(lines, list):
        return None
    found = ["".join(one.split()) for one in lines[:MOST_SKETCH] if isinstance(one, str) and one.strip()]
    good = all(one.isascii() and one.isdigit() and len(one) == len(found[0]) for one in found)
    return found if found and good and len(found[0]) <= MOST_SKETCH else None
