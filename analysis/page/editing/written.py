"""Values as they are written into a scenario file: short numbers, text in quotation marks, keys in order."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import tomlkit
from tomlkit.items import Item, Table

from ....sim.scenario.reading import limits
from ....sim.scenario.reading.problems import Place, show
from ....sim.species.species import TRAITS, WORDS

LONGEST_TEXT = 2 * limits.LONGEST_QUESTION  # characters of one value; the reader says what is too long
MOST_ITEMS = limits.MOST_CREVICES  # of one list
DEEPEST = 6  # lists and tables within one another
ONE_LINE = 100  # signs from which a list goes on over several lines
_DIGITS = 12  # of a number: beyond that there are only errors of rounding
_LARGEST = 2**63

# Keys in the order in which they are written, by table; what is not named comes last.
_STOCK = limits.keys_of("stock")
_CHANGE = ("species", "by", "sex", "fish", *_STOCK[1:])  # of a copy to its stock
ORDER: Mapping[str, tuple[str, ...]] = {
    "": (
        *("title", "question", "argument", "stock_list", "tank", "rock", "stock", "event", "species"),
        *("run", "parameters", "alternative"),
    ),
    "tank": limits.keys_of("tank"),
    "rock": (*limits.keys_of("rock"), "crevice", "object"),
    "object": limits.keys_of("rock.object"),
    "event": limits.keys_of("event"),
    "run": limits.keys_of("run"),
    **dict.fromkeys(("stock", "add"), _STOCK),
    **dict.fromkeys(("remove", "recount", "replace", "when"), _CHANGE),
    "species": ("like", "lake", *TRAITS, *WORDS),
    "alternative": ("name", "remove", "recount", "replace", "when", "add", "event", "tank", "rock", "run"),
}
_HEADED = (("species",), ("stock",), ("event",), ("rock", "crevice"), ("rock", "object"), ("alternative",))
_BARE = re.compile(r"[A-Za-z0-9_-]+")


class EditError(ValueError):
    """A change that means nothing or cannot be made; ``problems`` says why, each a sentence of its own."""

    def __init__(self, *problems: str) -> None:
        self.problems = problems
        super().__init__("\n".join(problems))


def rank(table: Place, key: str) -> int:
    """Where a key comes among the keys of its table."""
    order = ORDER.get(_kind(table), ())
    return order.index(key) if key in order else len(order)


def in_order(table: Place, values: Mapping[str, object]) -> dict[str, object]:
    """The same keys and values in the order in which they are written."""
    return {key: values[key] for key in sorted(values, key=lambda key: rank(table, key))}


def _kind(table: Place) -> str:
    """Which table of ORDER one at a place is like: ("alternative", 2, "tank") is like "tank"."""
    if table[:1] == ("species",):
        return "species" if len(table) == 2 else ""
    names = [part for part in table if isinstance(part, str)]
    return names[-1] if names else ""


def is_header(place: Place) -> bool:
    """Whether a table at a place is written below a header of its own; others stand in braces."""
    return len(place) == 1 or place[:-1] in _HEADED


def header(place: Place) -> str:
    """``[species."Tropheus moorii"]`` or ``[[stock]]``."""
    name = ".".join(key(part) for part in place if isinstance(part, str))
    return f"[{name}]" if isinstance(place[-1], str) else f"[[{name}]]"


def key(name: str) -> str:
    """A key, in quotation marks where it needs them."""
    return name if _BARE.fullmatch(name) else written(name)


def written(value: object, *, left: int = DEEPEST) -> str:
    """A value as TOML; raises EditError when TOML has no such value, or it is out of all proportion."""
    if left == 0:
        raise EditError(f"lists and tables are nested too deep; use at most {DEEPEST} inside one another")
    if isinstance(value, Item) and not isinstance(value, Table):
        return value.as_string()  # as it is written already
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return number(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key(str(name))} = {written(one, left=left - 1)}" for name, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list | tuple):
        return _list([written(one, left=left - 1) for one in _few(value)], apart=_is_sketch(value))
    raise EditError(f"{show(str(value))} is not valid; use text, a number, true or false")


def number(value: int | float) -> str:
    """A number as short as it would be typed: 0.3, never 0.30000000000000004."""
    if not math.isfinite(value) or abs(value) >= _LARGEST:
        raise EditError(f"{show(value)} is too large; use a number of ordinary size")
    if isinstance(value, int) or value == int(value):
        return str(int(value))
    return f"{value:.{_DIGITS}g}"


def _text(value: str) -> str:
    if len(value) > LONGEST_TEXT:
        raise EditError(f"the text has {len(value)} characters; use at most {LONGEST_TEXT}")
    if any("\ud800" <= sign <= "\udfff" for sign in value):
        raise EditError("the text has half a character (a lone surrogate); use whole ones")
    return tomlkit.string(value).as_string()


def _few(value: list[object] | tuple[object, ...]) -> list[object] | tuple[object, ...]:
    if len(value) > MOST_ITEMS:
        raise EditError(f"the list has {len(value)} entries; use at most {MOST_ITEMS}")
    return value


def _is_sketch(value: list[object] | tuple[object, ...]) -> bool:
    return len(value) > 1 and all(isinstance(one, str) for one in value)


def _list(items: list[str], *, apart: bool) -> str:
    """On one line, or each item on its own where there is a sketch to see or the line would be long."""
    line = f"[{', '.join(items)}]"
    if not apart and (len(line) <= ONE_LINE or len(items) < 2):
        return line
    return "\n".join(["[", *(f"  {item}," for item in items), "]"])
