"""The [[event]] tables: what happens on a day of its own, each read by its kind, once or again and again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...species.species import Species
from ..stock import StockRow, individuals
from ..timeline import EVENTS, Event, EventError, Timeline, WhenSeen, again
from . import limits
from .named import NobodyError, fish_said
from .problems import Book, OwnWords, Place
from .tables import Table, one_of
from .thumb import DEEDS, read_rule

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

    def holds(self, label: str) -> bool:
        """Whether it is a female of a kind that holds its eggs in the mouth."""
        (one,) = (one for one in individuals(self.stock) if one.label == label)
        return one.sex == "female" and self.species[one.species].is_mouthbrooder


def read_events(rows: Sequence[Table], *, stocked: StockedFish | None) -> tuple[Event, ...]:
    """The events that stand, in the order of the file.

    ``stocked``: None when something was wrong with the stock: then no fish is looked for.
    """
    if len(rows) > limits.MOST_EVENTS:
        found = OwnWords(f"there are {len(rows)} events")
        rows[0].book.add(rows[0].at[:-1], found=found, allowed=f"at most {limits.MOST_EVENTS}")
    events = [one for row in rows[: limits.MOST_EVENTS] for one in _read_one(row, stocked)]
    if len(events) > limits.MOST_DATED:
        found = OwnWords(f"with all that is done again there are {len(events)}")
        rows[0].book.add(rows[0].at[:-1], found=found, allowed=f"at most {limits.MOST_DATED} dated events")
    return tuple(events)


@dataclass(frozen=True)
class _When:
    """When a file says that something happens, for how long each time, and what settles."""

    day: float
    last_d: float | None  # for so long
    every_d: float | None  # again after so long
    until: float | None
    settle: bool | None


def _read_when(row: Table) -> _When:
    day, last = row.amount("day"), _amount(row, "for")
    every, until = _amount(row, "every"), _amount(row, "until")
    if until is not None and every is None:
        row.problem("until", allowed='it with every = "2 weeks" or the like, or leave it out')
    return _When(
        day=day,
        last_d=last,
        every_d=every,
        until=until,
        settle=row.flag("settle") if "settle" in row else None,
    )


def _amount(row: Table, key: str) -> float | None:
    return row.amount(key) if key in row else None


def _read_one(row: Table, stocked: StockedFish | None) -> tuple[Event, ...]:
    """An event, what ends it, and all that again as often as the row says; nothing where it is wrong."""
    before = len(row.book.problems)
    given = [key for key in EVENTS if key in row]
    if WhenSeen.key in row:
        return read_rule(row, others=[key for key in given if key not in DEEDS], stocked=stocked)
    when = _read_when(row)
    unknown = len(row.book.problems)
    row.close()
    if not given and len(row.book.problems) > unknown:
        return ()  # most likely the name of what happens is misspelled
    if len(given) != 1:
        found = OwnWords(f"{' and '.join(given)} in one event") if given else OwnWords("nothing happens")
        row.book.add((*row.at, *given[1:2]), found=found, allowed=f"one of {one_of(list(EVENTS))}")
        return ()
    kind = EVENTS[given[0]]
    _check_kind(row, kind, when)
    if len(row.book.problems) > before or stocked is None:
        return ()
    try:
        return _made(row, kind, when, stocked)
    except EventError as error:
        shown = error.found if error.found else None
        row.problem(kind.key, found=shown, allowed=error.allowed, nearest=error.nearest)
        return ()


def _check_kind(row: Table, kind: type[Event], when: _When) -> None:
    """What a kind of event allows of what is said of any."""
    if kind.may_settle not in (None, kind.may_settle if when.settle is None else when.settle):
        word = "true" if kind.may_settle else "false"
        row.problem("settle", allowed=f"{word} with {kind.key}, or leave it out")
    if kind.lasts is False and when.last_d is not None:
        lasting = one_of([key for key, one in EVENTS.items() if one.lasts is not False])
        row.problem("for", allowed=f"it with {lasting}: {kind.key} does not end by itself")
    if kind.lasts is True and when.last_d is None:
        row.problem("for", allowed=f'how long it lasts, such as "2 weeks", with {kind.key}')
    if when.every_d is not None and when.until is not None and when.until < when.day:
        row.problem("until", allowed=f"a day from {when.day:g} on, the first on which it happens")
    if when.every_d is not None and when.last_d is not None and when.last_d >= when.every_d:
        row.problem("for", allowed=f"a shorter time than every, {row.raw('every')}")


def _made(row: Table, kind: type[Event], when: _When, stocked: StockedFish) -> tuple[Event, ...]:
    """The events of a row, written out; raises EventError when its value means nothing."""
    said = {} if when.settle is None or when.last_d is not None else {"settle": when.settle}
    one = kind.read(row.raw(kind.key), stocked=stocked, day=when.day, place=row.at, **said)
    made = (one,) if when.last_d is None else one.lasting(when.last_d, settle=when.settle)
    if when.every_d is None:
        return made
    if when.until is None and any(each.settle for each in made):
        found = OwnWords("again and again without end, and the fish would settle anew each time")
        row.problem("every", found=found, allowed="it with until, the last day, or with settle = false")
    return again(made, every=when.every_d, until=when.until)


def check_events(timeline: Timeline, book: Book, *, place: Place) -> None:
    """Note every event that cannot happen, at its own place, or at ``place`` where it has none there."""
    told = {(fault.place, fault.allowed): fault for fault in reversed(timeline.faults)}
    for fault in reversed(told.values()):  # the first time that something is done again and again
        own = fault.place if fault.place[: len(place)] == place else place
        book.add(own, found=OwnWords(fault.found), allowed=fault.allowed)
