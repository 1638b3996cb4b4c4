"""What a page sends, read with care: JSON of ordinary shape, a draft, the number of a copy.

What is none of these is refused with a RefusalError that says what was found and what is allowed.
"""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Collection, Mapping
from typing import Any, NoReturn

from ..task import Draft, StockList
from .refusals import MALFORMED, RefusalError

PageRequest = Mapping[str, Any]

DEEPEST = 12  # lists and tables within one another
LARGEST = 2**53  # whole numbers beyond do not survive a browser
FARTHEST = 1000.0  # cm; farther than any tank is long
LONGEST_NAME = 200  # characters of the name of a file or a fish
MOST_ROWS = 2000  # changes in one request
_UNSEEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")  # kinds of signs in Unicode that are not seen as such
MOST_DAYS = 100_000  # of a run, beyond any

_KINDS = {
    dict: "a table of names and values",
    list: "a list",
    str: "text",
    bool: "true or false",
    int: "a whole number",
    type(None): "null",
}


def read(body: bytes) -> dict[str, Any]:
    """The table that a request brings along, unless it holds what nothing can be done with."""
    try:
        told = json.loads(
            body.decode("utf-8"),
            parse_constant=_refuse_number,
            parse_float=_number,
            parse_int=_whole,
            object_pairs_hook=_table,
        )
        _check(told, DEEPEST)
    except RecursionError:
        deep = "lists and tables nested too deep"
        raise _malformed(deep, f"at most {DEEPEST} within one another") from None
    except UnicodeError:
        raise _malformed("text that is not UTF-8", "UTF-8") from None
    except json.JSONDecodeError as problem:
        raise _malformed(f"no JSON, from sign {problem.pos + 1} on", "JSON") from None
    if not isinstance(told, dict):
        raise _malformed(_kind(told), "a table of names and values")
    return told


def _malformed(found: str, allowed: str, *, where: str = "what was sent") -> RefusalError:
    return RefusalError(MALFORMED, f"{where} is {found}; use {allowed}")


def _refuse_number(text: str) -> NoReturn:
    raise _malformed(text[:20], "a number of ordinary size")


def _number(text: str) -> float:
    return float(text) if math.isfinite(float(text)) else _refuse_number(text)


def _whole(text: str) -> int:
    return _refuse_number(text) if len(text) > 17 or abs(int(text)) > LARGEST else int(text)


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    told = dict(pairs)
    if len(told) < len(pairs):
        raise _malformed("a name that stands there twice", "each name once")
    return told


def _check(value: object, left: int) -> None:
    """Raise RecursionError below the deepest level, UnicodeError on half a sign (a lone surrogate)."""
    if isinstance(value, str):
        value.encode("utf-8")
    elif isinstance(value, dict | list):
        if left == 0:
            raise RecursionError
        for one in [*value, *value.values()] if isinstance(value, dict) else value:
            _check(one, left - 1)


def _kind(value: object) -> str:
    return _KINDS.get(type(value), "a number")


def taken(told: PageRequest, name: str, kind: type, *, where: str = "", empty: bool = False) -> Any:
    """The value of a name, of the kind it must be; ``empty``: whether null, or nothing, may stand there."""
    value = told.get(name)
    if value is None and empty:
        return None
    if type(value) is not kind:
        allowed = _KINDS[kind] + (" or null" if empty else "")
        found = _kind(value) if name in told else "nothing"
        raise _malformed(found, allowed, where=f"{where}{name}")
    return value


def only(told: PageRequest, *names: str, where: str = "what was sent") -> None:
    """Refuse names that mean nothing here."""
    for name in told:
        if name not in names:
            raise _malformed(f'"{name[:40]}"', ", ".join(names) or "nothing", where=where)


def draft_of(told: PageRequest) -> Draft:
    """The scenario file that a request is about."""
    draft = taken(told, "draft", dict)
    only(draft, "text", "name", "stock_list", where="draft")
    beside = taken(draft, "stock_list", dict, where="draft.", empty=True)
    stock_list = None
    if beside is not None:
        only(beside, "name", "text", where="draft.stock_list")
        where = "draft.stock_list."
        stock_list = StockList(name_of(beside, where), taken(beside, "text", str, where=where))
    return Draft(taken(draft, "text", str, where="draft."), name_of(draft, "draft."), stock_list)


def name_of(told: PageRequest, where: str) -> str:
    """The name of a file: a word to show, never a path."""
    name: str = taken(told, "name", str, where=where)
    odd = any(unicodedata.category(sign) in _UNSEEN for sign in name)
    if not 0 < len(name) <= LONGEST_NAME or odd or "/" in name or name in (".", ".."):
        raise _malformed(
            "a name that cannot be shown",
            f"the name of a file without its folder, at most {LONGEST_NAME} signs",
            where=f"{where}name",
        )
    return name


def number_of(told: PageRequest, name: str, *, most: int, empty: bool = False) -> int | None:
    """A whole number from 0."""
    value: int | None = taken(told, name, int, empty=empty)
    if value is not None and not 0 <= value <= most:
        raise _malformed(str(value), f"a whole number from 0 to {most}", where=name)
    return value


def which_of(told: PageRequest) -> int:
    """0: the tank as it is; k: the k-th copy."""
    return copy_of(told, "which") or 0


def copy_of(told: PageRequest, name: str, *, empty: bool = False) -> int | None:
    """As :func:`which_of` under another name, where null may stand too."""
    from ....sim.scenario.reading.limits import MOST_ALTERNATIVES

    return number_of(told, name, most=MOST_ALTERNATIVES, empty=empty)


def several_of(told: PageRequest, name: str) -> list[int]:
    """Numbers of tanks, as :func:`which_of` has one."""
    return [copy_of({name: one}, name) or 0 for one in taken(told, name, list)[:MOST_ROWS]]


def amount_of(told: PageRequest, name: str) -> float | None:
    """A number, or None."""
    value = told.get(name)
    if value is not None and type(value) not in (int, float):
        raise _malformed(_kind(value), "a number or null", where=name)
    return None if value is None else float(value)


def trial_of(told: PageRequest) -> int | None:
    """Which simulated tank, from 0; None leaves the choice to the server."""
    from ....sim.scenario.reading.limits import LIMITS

    return number_of(told, "trial", most=int(LIMITS["run.trials"].high), empty=True)


def changes_of(told: PageRequest) -> list[PageRequest]:
    """The changes of one edit, each a table that says what to do."""
    changes = taken(told, "changes", list)
    if not 0 < len(changes) <= MOST_ROWS:
        raise _malformed(f"{len(changes)} changes", f"1 to {MOST_ROWS}", where="changes")
    for change in changes:
        if not isinstance(change, dict):
            raise _malformed(_kind(change), _KINDS[dict], where="changes")
        taken(change, "do", str, where="changes.")
        for name in ("field", "name"):
            taken(change, name, str, where="changes.", empty=True)
    return list(changes)


def place_of(told: PageRequest) -> tuple[float, float, float] | None:
    """A place in the tank: cm from the left, from the front and above the base; None when none is meant."""
    place = taken(told, "place", list, empty=True)
    if place is None:
        return None
    if len(place) != 3 or any(type(x) not in (int, float) or abs(x) > FARTHEST for x in place):
        raise _malformed("something else", "three numbers of cm, or null", where="place")
    x, y, z = (float(one) for one in place)
    return x, y, z


def what_of(told: PageRequest, kinds: Collection[str]) -> PageRequest:
    """The work that is asked for: its kind is known; the rest is read by the work itself."""
    what = taken(told, "what", dict)
    kind = taken(what, "kind", str, where="what.")
    if kind not in kinds:
        raise _malformed(f'"{kind[:40]}"', ", ".join(kinds), where="what.kind")
    if len(json.dumps(what)) > 10_000:
        raise _malformed("a long table", "a kind of work and what it is about", where="what")
    if "which" in what:
        which_of(what)
    return what
