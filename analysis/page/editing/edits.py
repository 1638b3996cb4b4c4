"""Changes to a draft as the page sends them: the text with all of them made, or a refusal in words.

What the reader will refuse is written as typed, since the view then shows what is wrong with it; what
means nothing at all is refused here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ....sim.scenario.reading.limits import MOST_BYTES
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.tables import one_of
from ....sim.species.species import TRAITS, WORDS, unknown_trait
from ..task import Draft
from ..viewing.fields import FIELDS, NAME, SHARED
from ..viewing.species import ENDS, key_of, species_named
from .bench import Bench
from .copies import copied, dropped, kept, renamed, with_change
from .rock import bared, covered, furnished, plain_value, sketched
from .stock import add_row, drop_row, set_in_row
from .written import EditError

__all__ = ["MOST_CHANGES", "EditError", "edited", "edited_and_said", "with_change"]

MOST_CHANGES = 200  # in one go
Change = Mapping[str, Any]


def edited(draft: Draft, which: int, changes: Sequence[Change]) -> Draft:
    """A draft with changes made to it, one after the other.

    Parameters
    ----------
    which : 0 for the tank as it is, k for its k-th copy; title, traits and what is drawn belong to all.
    changes : each with "do" and what that needs.

    Raises EditError when one of them means nothing or cannot be made; then none is.
    """
    return edited_and_said(draft, which, changes)[0]


def edited_and_said(draft: Draft, which: int, changes: Sequence[Change]) -> tuple[Draft, list[str]]:
    """As :func:`edited`, with what there is to say of it: copies that no longer apply, and why."""
    if len(changes) > MOST_CHANGES:
        raise EditError(f"changes: found {len(changes)}; allowed: at most {MOST_CHANGES} in one go")
    said: list[str] = []
    for change in changes:
        do = change.get("do")
        make = _DO.get(do) if isinstance(do, str) else None
        if do == "keep copy":
            draft, more = kept(draft, which)
            said += more
        elif make is None:
            raise EditError(f"do: found {show(do)}; allowed: {one_of([*_DO, 'keep copy'])}")
        else:
            draft = make(draft, which, change)
        size = len(draft.text.encode("utf-8", "surrogatepass"))
        if size > MOST_BYTES:
            raise EditError(f"the file: found {size} bytes; allowed: at most {MOST_BYTES}")
    return draft, said


def _set(draft: Draft, which: int, change: Change) -> Draft:
    """One field; in a copy only what differs from the tank as it is."""
    field, value = change.get("field"), plain_value(str(change.get("field")), change.get("value"))
    if field == NAME:
        return renamed(draft, which, value)
    if field not in FIELDS:
        raise EditError(f"field: found {show(field)}; allowed: {one_of([*FIELDS, NAME])}")
    place = tuple(str(field).split("."))
    bench = Bench(draft, 0 if field in SHARED else which)
    bench.put(place, value)
    if value is not None:
        bench.prune([place])
    return bench.done()


def _trait(draft: Draft, which: int, change: Change) -> Draft:
    """A trait of a species as the keeper has it; None: the library's again."""
    species, name, value = change.get("species"), change.get("name"), change.get("value")
    if name not in TRAITS and name not in WORDS:
        raise EditError(f"{show(name)}: {unknown_trait(str(name))}")
    bench = Bench(draft, 0)
    key = species_named(species, bench.sheet.values).key
    own = bench.sheet.get("species")
    tables = [one for one in own if key_of(one) == key] if isinstance(own, Mapping) else []
    bench.put(("species", tables[0] if tables else key, str(name)), _trait_value(str(name), value))
    return bench.done()


def _trait_value(name: str, value: Any) -> Any:
    """A number, a word, or a table of value, low and high."""
    if not isinstance(value, Mapping):
        return plain_value(name, value)
    for key in value:
        if key not in ENDS:
            raise EditError(f"{name}: found the unknown name {show(key)}; allowed: value, low and high")
    given = {key: plain_value(f"{name}.{key}", value[key]) for key in ENDS if key in value}
    return {key: one for key, one in given.items() if one is not None}


def _copy(draft: Draft, which: int, change: Change) -> Draft:
    of = change.get("of", which)
    if isinstance(of, bool) or not isinstance(of, int):
        raise EditError(f"of: found {show(of)}; allowed: 0 for the tank as it is, or the number of a copy")
    return copied(draft, of, change.get("name"))


def _text(draft: Draft, which: int, change: Change) -> Draft:
    """The file typed as a whole: taken as it is, whatever it says."""
    text = change.get("text")
    if not isinstance(text, str):
        raise EditError(f"text: found {show(text)}; allowed: text")
    return Draft(text, draft.name, draft.stock_list)


_DO: Mapping[str, Callable[[Draft, int, Change], Draft]] = {
    "set": _set,
    "sketch": sketched,
    "cover": covered,
    "bare": lambda draft, which, change: bared(draft, which),
    "objects": furnished,
    "row": set_in_row,
    "add row": add_row,
    "drop row": drop_row,
    "trait": _trait,
    "copy": _copy,
    "rename": lambda draft, which, change: renamed(draft, which, change.get("name")),
    "drop copy": lambda draft, which, change: dropped(draft, which),
    "text": _text,
}
