"""Tank, rock and run of one scenario written over those of another: as a copy's tables, or into the file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from ....sim.scenario.reading import limits
from ....sim.scenario.reading.alternatives import under
from ....sim.scenario.reading.events import EVENT
from ....sim.scenario.scenario import CreviceSpec, RockSpec, Scenario
from ....sim.scenario.timeline import DividerIn, WhenSeen
from ....sim.scenario.timeline.again import END
from ....sim.scenario.timeline.divider import DividerOut
from ....sim.scenario.timeline.seen import KEEPS_LESS
from ....sim.scenario.units import say_time_d
from ..viewing.fields import FIELDS, in_scenario, plain
from ..viewing.rock import object_told
from .bench import Bench, alike, near, refusing
from .written import EditError

_COVER = ("rock.cover", "rock.height", "rock.piles")
_CREVICE = {one.key: one.of for one in limits.FIELDS if one.table == "rock.crevice"}
_ROUNDS = 4  # of writing what still differs

Read = Callable[[Mapping[str, object]], Scenario | None]


def table_of(
    base: Scenario, wanted: Scenario, table: dict[str, object], read: Read
) -> dict[str, object] | None:
    """A copy's table with what differs of tank, rock and run, after its name and the changes to the stock.

    None when it cannot be said; ``read``: the scenario that a table makes of the base, None for a bad one.
    """
    found: dict[str, Any] = {**table}
    _put_lists(found, base.rock, wanted.rock)
    if added := list(_added(base, wanted)):
        found[EVENT] = added
    got: Scenario | None = base
    for k in range(_ROUNDS):
        for key in _differing(got or base, wanted):
            if k or key != "tank.water_level":  # as far below the rim as before, mostly
                _put(found, key, _next_try(found, key, got, wanted))
        got = read(found)
        if got is not None and alike(got, wanted):
            return found
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
    keys = [key for key, field in FIELDS.items() if "." in key and field.of and key != "run.watch"]
    found = [key for key in keys if not near(in_scenario(one, key), in_scenario(other, key))]
    others = [key for key in found if key not in _COVER]
    if other.rock.sketch is not None:
        return others
    return others + [key for key in _COVER if key in found or one.rock.sketch is not None]


def _put_lists(found: dict[str, Any], before: RockSpec, after: RockSpec) -> None:
    """What differs of sketch, crevices and objects."""
    if after.sketch != before.sketch and after.sketch is not None:
        _put(found, "rock.sketch", list(after.sketch))
    if after.crevices != before.crevices and after.crevices is not None:
        _put(found, "rock.crevice", [_crevice(one) for one in after.crevices])
    if after.objects != before.objects:
        _put(found, "rock.object", [object_told(one) for one in after.objects])


def _added(base: Scenario, wanted: Scenario) -> Iterator[dict[str, Any]]:
    """The [[event]] rows of what happens in one scenario beyond the other, of those that changes make."""
    more = [one for one in wanted.events if one not in base.events]
    ends = [one for one in more if isinstance(one, DividerOut)]
    for one in more:
        if isinstance(one, WhenSeen):
            yield _rule(one)
        elif isinstance(one, DividerIn):
            sides = {side: list(fish) for side, fish in (("left", one.left), ("right", one.right)) if fish}
            where = {"from_left": f"{one.divider.x_cm:g} cm", "clear": one.divider.clear, **sides}
            end = next((after for after in ends if after.day > one.day), None)
            long = {} if end is None else {"for": say_time_d(end.day - one.day)}
            yield {"day": plain(one.day), "divider": where, **long}


def _rule(one: WhenSeen) -> dict[str, Any]:
    sign = f"{one.sign} {100 * one.share:g} %" if one.sign == KEEPS_LESS else one.sign
    row: dict[str, Any] = {"when": sign, "fish": list(one.fish)}
    row["box" if one.box else "out"] = one.out if isinstance(one.out, str) else list(one.out)
    if one.days is not None:
        row["for"] = say_time_d(one.days)
    row |= {key: value for key, value in (("in_a_row", one.in_a_row), ("stay", one.stay)) if value > 1}
    row |= {"day": plain(one.day)} if one.day > 0 else {}
    return row | ({"until": plain(one.until)} if one.until < END else {})


def _crevice(one: CreviceSpec) -> dict[str, Any]:
    values = asdict(one)
    return {key: plain(values[name]) for key, name in _CREVICE.items()}


# ---- into the file


def lay_over(bench: Bench, base: Scenario, wanted: Scenario, own: Mapping[str, Any]) -> None:
    """Write tank, rock and run of a copy into the file, as the copy wrote them where it did.

    Raises EditError when the file does not come to the same then.
    """
    for name in ("tank", "rock", "run"):
        mine, there = own.get(name), bench.sheet.get(name) or {}
        if isinstance(mine, Mapping):
            watch = {key: there[key] for key in ("watch",) if key in there}
            bench.put((name,), {**under(name, mine, there, base.tank), **watch, **mine})
    if wanted.run.watch != base.run.watch:
        bench.put(("run", "watch"), wanted.run.watch)
    bench.put((EVENT,), _events(bench.sheet.get(EVENT) or [], wanted, own.get(EVENT, [])) or None)
    for _ in range(_ROUNDS):
        with refusing():
            got = bench.alone()
        if alike(got, replace(wanted, stock=got.stock)):  # fish left out are numbered over there
            return
        for key in _differing(got, wanted):
            bench.put(tuple(key.split(".")), in_scenario(wanted, key))
    raise EditError("keep copy: this copy cannot be written as a tank of its own; change the file as text")


def _events(there: Sequence[Any], wanted: Scenario, own: Any) -> list[Any]:
    """The [[event]] rows of the file of which something is left in the copy, and those of the copy."""
    left = {one.place for one in wanted.timeline.events}
    stay = [row for k, row in enumerate(there) if (EVENT, k) in left]
    return stay + (own if isinstance(own, list) else [own])
