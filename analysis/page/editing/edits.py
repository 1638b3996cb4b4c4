"""Changes to a draft as the page sends them: the text with all of them made, or a refusal in words.

What the reader will refuse is written as typed, since the view then shows what is wrong with it; what
means nothing at all is refused here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from ....sim.scenario.reading.limits import MOST_BYTES
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.tables import one_of
from ....sim.scenario.reading.tank import SIDES
from ....sim.scenario.units import UnitError, is_bare, is_imperial, length_cm
from ....sim.species.species import TRAITS, WORDS, unknown_trait
from ..task import Draft
from ..viewing.fields import FIELDS, NAME, SHARED
from ..viewing.species import ENDS, key_of, species_named
from .bench import Bench
from .copies import copied, dropped, kept, renamed, with_change
from .events import add_event, drop_event, set_in_event
from .owning import own
from .rock import bared, covered, furnished, plain_value, sketched
from .stock import add_row, drop_row, set_in_row
from .written import EditError

__all__ = ["MOST_CHANGES", "EditError", "edited", "edited_and_said", "with_change"]

MOST_CHANGES = 200  # in one go
ODD_SIDE = 0.22  # of the side beside it; a half of it, both in inches, would be .2 of it in cm (assumption)
_OF_STOCK = ("row", "add row", "drop row")
Change = Mapping[str, Any]


def edited(draft: Draft, which: int, changes: Sequence[Change]) -> Draft:
    """A draft with changes made, each with "do" and what that needs; ``which``: 0 the tank, k its k-th copy.

    Raises EditError when one of them means nothing or cannot be made; then none is.
    """
    return edited_and_said(draft, which, changes)[0]


def edited_and_said(draft: Draft, which: int, changes: Sequence[Change]) -> tuple[Draft, list[str]]:
    """As :func:`edited`, with what there is to say of it: copies that no longer apply, and why."""
    if len(changes) > MOST_CHANGES:
        raise EditError(f"there are {len(changes)} changes; use at most {MOST_CHANGES} in one go")
    said: list[str] = []
    before = draft
    for change in changes:
        if change.get("do") == "text":
            draft = _text(draft, change)
        else:
            bench = _changed(draft, which, change)
            draft = bench.done()
            said += bench.said
        size = len(draft.text.encode("utf-8", "surrogatepass"))
        if size > MOST_BYTES:
            raise EditError(f"the file has {size} bytes; use at most {MOST_BYTES}")
    if which == 0 and any(change.get("do") in _OF_STOCK for change in changes):
        draft, more = own(before, draft)
        said += more
    return draft, said


def _changed(draft: Draft, which: int, change: Change) -> Bench:
    """One change made; a field that tank and copies share is set for all of them."""
    do = change.get("do")
    if not isinstance(do, str) or do not in _DO:
        raise EditError(f"do is {show(do)}; use {one_of([*_DO, 'text'])}")
    if do == "copy":
        which = _of(change.get("of", which))
    is_shared = do == "trait" or (do == "set" and change.get("field") in SHARED)
    bench = Bench(draft, 0 if is_shared else which)
    _DO[do](bench, change)
    return bench


def _set(bench: Bench, change: Change) -> None:
    """One field; in a copy only what differs from the tank as it is."""
    field, value = change.get("field"), plain_value(str(change.get("field")), change.get("value"))
    if field == NAME:
        renamed(bench, value)
        return
    if field not in FIELDS:
        raise EditError(f"field is {show(field)}; use {one_of([*FIELDS, NAME])}")
    place = tuple(str(field).split("."))
    bench.put(place, value)
    if place[0] == "tank" and is_imperial(value):
        _say_cm(bench, value)
    if value is not None:
        bench.prune([place])


def _say_cm(bench: Bench, inches: object) -> None:
    """Write its unit beside each side that is a bare number: beside inches the reader would ask about it.

    It does ask about one that makes an odd tank of cm, and is therefore left: 21 beside "48 in".
    """
    try:
        least = ODD_SIDE * length_cm(inches)
    except UnitError:
        return
    for table in dict.fromkeys([(), bench.own]):
        for side in SIDES:
            value = bench.sheet.get(*table, "tank", side)
            if is_bare(value) and length_cm(value) >= least:
                bench.sheet.put((*table, "tank", side), f"{value} cm")


def _trait(bench: Bench, change: Change) -> None:
    """A trait of a species as the keeper has it; None: the library's again."""
    species, name, value = change.get("species"), change.get("name"), change.get("value")
    if name not in TRAITS and name not in WORDS:
        raise EditError(f"{show(name)}: {unknown_trait(str(name))}")
    key = species_named(species, bench.sheet.values).key
    own = bench.sheet.get("species")
    tables = [one for one in own if key_of(one) == key] if isinstance(own, Mapping) else []
    bench.put(("species", tables[0] if tables else key, str(name)), _trait_value(str(name), value))


def _trait_value(name: str, value: Any) -> Any:
    """A number, a word, or a table of value, low and high."""
    if not isinstance(value, Mapping):
        return plain_value(name, value)
    for key in value:
        if key not in ENDS:
            raise EditError(f"{name}: there is no {show(key)}; use value, low and high")
    given = {key: plain_value(f"{name}.{key}", value[key]) for key in ENDS if key in value}
    return {key: one for key, one in given.items() if one is not None}


def _of(of: object) -> int:
    if type(of) is not int:
        raise EditError(f"of is {show(of)}; use 0 for the tank as it is, or the number of a copy")
    return of


def _text(draft: Draft, change: Change) -> Draft:
    """The file typed as a whole: taken as it is, whatever it says."""
    text = change.get("text")
    if not isinstance(text, str):
        raise EditError(f"text is {show(text)}; use text")
    return replace(draft, text=text)


_DO: Mapping[str, Callable[[Bench, Change], None]] = {
    "set": _set,
    "sketch": sketched,
    "cover": covered,
    "bare": bared,
    "objects": furnished,
    "row": set_in_row,
    "add row": add_row,
    "drop row": drop_row,
    "event": set_in_event,
    "add event": add_event,
    "drop event": drop_event,
    "trait": _trait,
    "copy": lambda bench, change: copied(bench, change.get("name")),
    "rename": lambda bench, change: renamed(bench, change.get("name")),
    "drop copy": lambda bench, change: dropped(bench),
    "keep copy": lambda bench, change: kept(bench),
}
