"""An [[event]] with ``when``: a rule of thumb, which says what is done whenever something is seen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from .. import units
from ..hints import hint_at
from ..stock import individuals
from ..timeline import Event, EventError, WhenSeen
from ..timeline.again import END
from ..timeline.seen import ALL_DAY, CHIEF_CHASER, IT, KEEPS_LESS, SHOWS_MALE, SIGNS
from .limits import Limit
from .problems import OwnWords
from .tables import Table, one_of, read_amount

if TYPE_CHECKING:
    from .events import StockedFish

_LESS = re.compile(rf"{KEEPS_LESS}\s+(?P<share>.+)")
_SHARE = Limit(0.01, 0.99, "share")
_SAID = tuple(f'"{one} 40 %"' if one == KEEPS_LESS else f'"{one}"' for one in SIGNS)
DEEDS = ("out", "box")
KEYS = ("out", "box", "when", "fish", "in_a_row", "stay", "for", "day", "until")


def read_rule(row: Table, *, others: Sequence[str], stocked: StockedFish | None) -> tuple[Event, ...]:
    """The rule that stands; nothing where it is wrong. ``others``: what else the row says that happens."""
    before = len(row.book.problems)
    sign, share = _sign(row)
    when: dict[str, Any] = {"day": row.amount("day") if "day" in row else 0.0, "place": row.at}
    if "until" in row:
        when["until"] = row.amount("until")
    if "for" in row:
        when["days"] = row.amount("for")
    for key, of in (("in_a_row", ALL_DAY), ("stay", (SHOWS_MALE,))):
        if key in row:
            when[key] = row.whole(key)
            if sign not in (*of, ""):
                row.problem(key, allowed=f"it with when = {one_of([_said(one) for one in of])}")
    fish = row.raw("fish") if "fish" in row else None
    deeds = [key for key in DEEDS if key in row]
    out = next((value for value in [row.raw(key) for key in deeds]), None)
    if len(deeds) > 1:
        row.problem("box", found=OwnWords("out and box in one event"), allowed="one of them with when")
    for key in (*others, *(key for key in ("every", "settle") if key in row)):
        row.problem(key, found=OwnWords(f"{key} and when in one event"), allowed=f"{one_of(KEYS)} with when")
    if out is None and not others:
        row.book.add(
            row.at, found=OwnWords("nothing is done"), allowed='out or box with when, such as out = "it"'
        )
    row.close()
    if len(row.book.problems) == before and when["day"] > when.get("until", END):
        row.problem("until", allowed=f"a day from {when['day']:g} on, from which the rule holds")
    if len(row.book.problems) > before or stocked is None:
        return ()
    looked_at = _fish(row, "fish", fish, stocked) if fish is not None else _everybody(stocked)
    whom = _whom(row, deeds[0], out, stocked)
    if len(row.book.problems) > before:
        return ()
    return (WhenSeen(fish=looked_at, sign=sign, share=share, out=whom, box=deeds == ["box"], **when),)


def _said(sign: str) -> str:
    return _SAID[SIGNS.index(sign)]


def _sign(row: Table) -> tuple[str, float]:
    """What is seen, and the share that goes with it; "" after a problem."""
    value = row.raw("when")
    text = " ".join(value.split()).lower() if isinstance(value, str) else ""
    if text in SIGNS and text != KEEPS_LESS:
        return text, 0.0
    if less := _LESS.fullmatch(text):
        try:
            share = read_amount(less["share"], _SHARE)
        except units.UnitError:
            share = 0.0
        if _SHARE.holds(share):
            return KEEPS_LESS, share
    row.problem("when", allowed=one_of(_SAID), nearest=hint_at(text, SIGNS) if text else "")
    return "", 0.0


def _everybody(stocked: StockedFish) -> tuple[str, ...]:
    return tuple(one.label for one in individuals(stocked.stock))


def _whom(row: Table, key: str, out: object, stocked: StockedFish) -> tuple[str, ...] | str:
    text = " ".join(out.split()).lower() if isinstance(out, str) else ""
    if text in (IT, CHIEF_CHASER, f"its {CHIEF_CHASER}"):
        return IT if text == IT else CHIEF_CHASER
    more = f'"{IT}", the fish itself, "{CHIEF_CHASER}", or '
    return _fish(row, key, out, stocked, more=more)


def _fish(row: Table, key: str, said: object, stocked: StockedFish, *, more: str = "") -> tuple[str, ...]:
    try:
        return stocked.fish(said)
    except EventError as error:
        row.problem(key, found=error.found or None, allowed=more + error.allowed, nearest=error.nearest)
        return ()
