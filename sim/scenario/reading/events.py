"""The [[event]] tables: what happens on a day of its own, each read by its kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...species.species import Species
from ..stock import StockRow
from ..timeline import EVENTS, Event, EventError, Timeline
from . import limits
from .named import NobodyError, fish_said
from .problems import Book, OwnWords, Place
from .tables import Table, one_of

LONGEST = 2 * limits.LONGEST_NAME  # characters of the label of a fish
EVENT = "event"  # its limits hold wherever one is written


@dataclass(frozen=True)
class StockedFish:
    """The fish that a file may name in an event."""

    stock: tuple[StockRow, ...]
    species: Mapping[str, Species]

    def fish(self, said: object) -> tuple[str, ...]:
        """Labels of the fish named by a text or a list of texts, each once. Raises EventError."""
        listed = said if isinstance(said, list) else [said]
        texts = [one for one in listed if isinstance(one, str) and one.strip() and len(one) <= LONGEST]
        if not texts or len(texts) < len(listed) or len(listed) > limits.MOST_FISH:
            raise EventError("", 'fish of the stock, such as "Tropheus duboisi male 2", or a list of them')
        try:
            found = [fish_said(one, stock=self.stock, species=self.species) for one in texts]
        except NobodyError as error:
            raise EventError(error.found, error.allowed, error.nearest) from None
        return tuple(dict.fromkeys(one.label for said in found for one in said.people))


def read_events(rows: Sequence[Table], *, stocked: StockedFish | None) -> tuple[Event, ...]:
    """The events that stand, in the order of the file.

    ``stocked``: None when something was wrong with the stock: then no fish is looked for.
    """
    if len(rows) > limits.MOST_EVENTS:
        found = OwnWords(f"there are {len(rows)} events")
        rows[0].book.add(rows[0].at[:-1], found=found, allowed=f"at most {limits.MOST_EVENTS}")
    read = [_read_one(row, stocked) for row in rows[: limits.MOST_EVENTS]]
    return tuple(one for one in read if one is not None)


def _read_one(row: Table, stocked: StockedFish | None) -> Event | None:
    before = len(row.book.problems)
    when: dict[str, object] = {"day": row.amount("day"), "place": row.at}
    given = [key for key in EVENTS if key in row]
    if "settle" in row:
        when["settle"] = row.flag("settle")
    unknown = len(row.book.problems)
    row.close()
    if not given and len(row.book.problems) > unknown:
        return None  # most likely the name of what happens is misspelled
    if len(given) != 1:
        found = OwnWords(f"{' and '.join(given)} in one event") if given else OwnWords("nothing happens")
        row.book.add((*row.at, *given[1:2]), found=found, allowed=f"one of {one_of(list(EVENTS))}")
        return None
    kind = EVENTS[given[0]]
    if kind.may_settle not in (None, when.get("settle", kind.may_settle)):
        word = "true" if kind.may_settle else "false"
        row.problem("settle", allowed=f"{word} with {kind.key}, or leave it out")
    if len(row.book.problems) > before or stocked is None:
        return None
    try:
        return kind.read(row.raw(kind.key), stocked=stocked, **when)
    except EventError as error:
        shown = error.found if error.found else None
        row.problem(kind.key, found=shown, allowed=error.allowed, nearest=error.nearest)
        return None


def check_events(timeline: Timeline, book: Book, *, place: Place) -> None:
    """Note every event that cannot happen, at its own place, or at ``place`` where it has none there."""
    for fault in timeline.faults:
        own = fault.place if fault.place[: len(place)] == place else place
        book.add(own, found=OwnWords(fault.found), allowed=fault.allowed)
