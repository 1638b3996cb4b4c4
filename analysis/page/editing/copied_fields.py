"""Tank, rock and run of one scenario written over those of another: as a copy's tables, or into the file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.events import EVENT
from ....sim.scenario.reading.rock import RESCAPE
from ....sim.scenario.scenario import CreviceSpec, ObjectSpec, RockSpec, Scenario
from ..viewing.fields import FIELDS, in_scenario, plain
from ..viewing.rock import OBJECT_SIDES
from .bench import Bench, alike, near, refused
from .written import EditError

_COVER = ("cover", "height", "piles")
_SIDES = ("length", "front_to_back", "height", "water_level")
_CREVICE = {
    "from_left": "x_cm",
    "from_front": "y_cm",
    "above_base": "z_cm",
    "mouth": "mouth_cm",
    "depth": "depth_cm",
    "openings": "openings",
}
_ROUNDS = 4  # of writing what still differs

Read = Callable[[Mapping[str, object]], Scenario | None]


def table_of(
    base: Scenario, wanted: Scenario, table: dict[str, object], read: Read
) -> dict[str, object] | None:
    """A copy's table with what differs of tank, rock and run; None when it cannot be said.

    Parameters
    ----------
    table : its name and the changes to the stock.
    read : the scenario that a table makes of the base, None where something is wrong with it.
    """
    found: dict[str, Any] = {**table}
    _put_lists(found, base.rock, wanted.rock)
    for key in _differing(base, wanted):
        if key != "tank.water_level":  # as far below the rim as before, mostly
            _put(found, key, in_scenario(wanted, key))
    for _ in range(_ROUNDS):
        got = read(found)
        if got is not None and alike(got, wanted):
            return found
        for key in _differing(got or base, wanted):
            _put(found, key, _next_try(found, key, got, wanted))
    return None


def _next_try(found: Mapping[str, Any], key: str, got: Scenario | None, wanted: Scenario) -> Any:
    """The wanted value; where that was written and came to another, since days are shifted, so much more."""
    table, name = key.split(".")
    value = in_scenario(wanted, key)
    written = found.get(table, {}).get(name)
    if got is None or written is None or key not in ("run.days", "run.settle"):
        return value
    return plain(float(written) + float(value or 0) - float(in_scenario(got, key) or 0))


def _put(found: dict[str, Any], key: str, value: Any) -> None:
    table, name = key.split(".")
    inside = dict(found.get(table, {}))
    if value is not None:
        inside[name] = value
        found[table] = inside


def _differing(one: Scenario, other: Scenario) -> list[str]:
    """Fields of tank, rock and run that are not the same in two scenarios."""
    keys = [
        key for key, field in FIELDS.items() if "." in key and field.of is not None and key != "run.watch"
    ]
    if other.rock.sketch is not None:
        keys = [key for key in keys if key.removeprefix("rock.") not in _COVER]
    elif one.rock.sketch is not None:
        return [key for key in keys if not near(in_scenario(one, key), in_scenario(other, key))] + [
            f"rock.{key}" for key in _COVER
        ]
    return [key for key in keys if not near(in_scenario(one, key), in_scenario(other, key))]


def _put_lists(found: dict[str, Any], before: RockSpec, after: RockSpec) -> None:
    """What differs of sketch, crevices and objects."""
    for key, value in _lists(before, after).items():
        if value is not None:
            _put(found, f"rock.{key}", value)


def _lists(before: RockSpec, after: RockSpec) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if after.sketch != before.sketch:
        found["sketch"] = None if after.sketch is None else list(after.sketch)
    if after.crevices != before.crevices:
        listed = after.crevices
        found["crevice"] = None if listed is None else [_crevice(one) for one in listed]
    if after.objects != before.objects:
        found["object"] = [_object(one) for one in after.objects]
    return found


def _crevice(one: CreviceSpec) -> dict[str, Any]:
    values = asdict(one)
    return {key: plain(values[name]) for key, name in _CREVICE.items()}


def _object(one: ObjectSpec) -> dict[str, Any]:
    values = asdict(one)
    return {"kind": one.kind, **{key: plain(values[name]) for key, name in OBJECT_SIDES.items()}}


# ---- into the file


def lay_over(bench: Bench, base: Scenario, wanted: Scenario, own: Mapping[str, Any]) -> None:
    """Write tank, rock and run of a copy into the file, as the copy wrote them where it did.

    Raises
    ------
    EditError
        When the file does not come to the same then.
    """
    lists = _lists(base.rock, wanted.rock)
    _leave(bench, base, wanted)
    for key, value in lists.items():
        written = _own(own, f"rock.{key}")
        _write(bench, f"rock.{key}", None if value is None else written if written is not None else value)
    differing = _differing(base, wanted)
    if any(f"tank.{side}" in differing for side in _SIDES):
        bench.put(("tank", "volume"), _own(own, "tank.volume"))
    for key in differing:
        written = _own(own, key)
        _write(bench, key, in_scenario(wanted, key) if written is None or _shifts(key) else written)
    if wanted.run.watch != base.run.watch:
        bench.put(("run", "watch"), wanted.run.watch)
    events = own.get(EVENT, [])
    for event in events if isinstance(events, list) else [events]:
        bench.sheet.add_row((EVENT,), event)
    for _ in range(_ROUNDS):
        try:
            got = bench.alone()
        except ScenarioError as error:
            raise refused(error) from None
        if alike(got, _plain_stock(wanted, got)):
            return
        for key in _differing(got, wanted):
            _write(bench, key, in_scenario(wanted, key))
    raise EditError("keep copy: this copy cannot be written as a tank of its own; change the file as text")


def _shifts(key: str) -> bool:
    """Whether a copy's own value may come to another: its days are held where the tank's were."""
    return key in ("run.days", "run.settle")


def _plain_stock(wanted: Scenario, got: Scenario) -> Scenario:
    """The wanted scenario with the stock that a file can say: fish left out are numbered over."""
    from dataclasses import replace

    return replace(wanted, stock=got.stock)


def _own(own: Mapping[str, Any], key: str) -> Any:
    table, name = key.split(".")
    inside = own.get(table)
    return inside.get(name) if isinstance(inside, Mapping) else None


def _write(bench: Bench, key: str, value: Any) -> None:
    table, name = key.split(".")
    bench.put((table, name), value)


def _leave(bench: Bench, base: Scenario, wanted: Scenario) -> None:
    """What of the rock has no place beside what comes."""
    before, after = base.rock, wanted.rock
    gone: tuple[str, ...] = ()
    if after.sketch is not None and before.sketch is None:
        gone = (*_COVER, RESCAPE)
    elif after.sketch is None and before.sketch is not None:
        gone = ("sketch", "sketch_step")
    if in_scenario(wanted, f"rock.{RESCAPE}") is None:
        gone = (*gone, RESCAPE)
    for name in gone:
        bench.put(("rock", name), None)
