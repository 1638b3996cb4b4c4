"""Sizes without a unit beside others in inches: what a keeper is asked about them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from ...sim.scenario.reading.limits import DECLARED
from ...sim.scenario.reading.stocklist import lengths_of
from ...sim.scenario.scenario import Scenario
from ...sim.scenario.units import is_bare, is_imperial
from ..document.plain import listed

MOST_NAMED = 4  # sizes that are asked about by name
_LIKE = {  # tables that are read like others
    "add": "stock",
    "replace": "stock",
    "layout": "rock",
    "divider": "rock.object",
    "box": "rock.object",
}


class _Size(NamedTuple):
    """A length as it is written: of what, and its one or two ends."""

    of: str
    ends: tuple[object, ...]

    @property
    def is_bare(self) -> bool:
        """Whether no end has a unit; 0 needs none."""
        return bool(self.ends) and all(is_bare(one) and one not in (0, "0") for one in self.ends)

    @property
    def is_imperial(self) -> bool:
        return any(map(is_imperial, self.ends))


def asked_units(scenario: Scenario) -> str:
    """A sentence on bare sizes in a scenario file that also speaks of inches; "" where there are none."""
    return asked_units_of(scenario.text, scenario.stock_list_text)


def asked_units_of(text: str, stock_list: str = "") -> str:
    """The same of a file's text, a scenario's or a room's, and of the list of fish that it names."""
    told = tomllib.loads(text)
    sizes = [*_sizes(told), *_listed(stock_list)]
    if not any(one.is_imperial for one in sizes):
        return ""
    found = list(dict.fromkeys((one.of, "-".join(map(str, one.ends))) for one in sizes if one.is_bare))
    if not found:
        return ""
    named = [f"{number} ({of})" for of, number in found[:MOST_NAMED]]
    named += [f"{len(found) - MOST_NAMED} more"] if len(found) > MOST_NAMED else []
    verb = "is" if len(found) == 1 else "are"
    beside = "the tank is" if _is_tank_imperial(told) else "other sizes are"
    return f'{listed(named)} {verb} read as cm, but {beside} in inches; for inches write "{found[0][1]} in".'


def _is_tank_imperial(told: Mapping[str, Any]) -> bool:
    tank = told.get("tank")
    tanks = tank if isinstance(tank, list) else [tank]
    return any(one.is_imperial for row in tanks if isinstance(row, Mapping) for one in _sizes(row, "tank"))


def _sizes(told: Mapping[str, Any], table: str = "", typed: str = "") -> Iterator[_Size]:
    """Every length of a table and of those within it; ``typed``: the table as it is called there."""
    for key, value in told.items():
        name = f"{table}.{key}" if table else key
        field = DECLARED.get(name)
        if key == "divider" or (field is not None and field.kind == "length"):
            ends = value if isinstance(value, list) else [value]
            yield _Size(_said(told, key, typed), tuple(one for one in ends if not isinstance(one, Mapping)))
        inner = name if any(one.startswith(f"{name}.") for one in DECLARED) else _LIKE.get(key, key)
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, Mapping):
                yield from _sizes(one, inner, key)


def _said(row: Mapping[str, Any], key: str, typed: str) -> str:
    """Of a fish its species, else the table and the key: "rock height"."""
    if "species" in row or "by" in row:
        return str(row.get("by", row.get("species")))
    return f"{typed} {key}".replace("_", " ").strip()


def _listed(text: str) -> Iterator[_Size]:
    """Lengths in a stock list, with the unit that the header gives."""
    return (_Size(name, (length,)) for name, length in lengths_of(text))
