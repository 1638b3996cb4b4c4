"""The timeline of a scenario: all events in order, checked once, and who is in the tank when."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..stock import StockRow, by_row
from .event import Event, Fault
from .fish import FishIn, FishOut
from .so_far import SoFar

if TYPE_CHECKING:
    from ..scenario import RockSpec, TankSpec

Stay = tuple[float, float]  # day from which and day to which a fish is in the tank; inf: it stays


class TimelineError(ValueError):
    """Events that cannot happen; ``faults`` lists everything that is wrong with them."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(one) for one in self.faults))


@dataclass(frozen=True)
class Timeline:
    """What happens, in order; made by :func:`timeline_of`.

    Attributes
    ----------
    events : tuple of Event
        By day; on one day rock comes first, then fish added, taken out and put back.
    stays : mapping
        Label of a fish -> the times it is in the tank, in order; none for a fish that never comes in.
    faults : tuple of Fault
        Why some event cannot happen; empty when all can.
    """

    events: tuple[Event, ...]
    stays: Mapping[str, tuple[Stay, ...]]
    faults: tuple[Fault, ...] = ()

    @property
    def last_change_day(self) -> float:
        """Day of the last event after which the fish settle anew; 0 when there is none."""
        return max([0.0, *(one.day for one in self.events if one.settle)])

    @property
    def needs_all_settling(self) -> bool:
        """Whether nothing but newcomers decides when settling begins: they need the whole of it."""
        last = self.last_change_day
        return all(one.newcomers for one in self.events if one.settle and one.day == last)

    def of(self, kind: type[Event]) -> tuple[Event, ...]:
        """The events of a kind."""
        return tuple(one for one in self.events if isinstance(one, kind))

    def among(self, labels: Collection[str]) -> tuple[Event, ...]:
        """The events of a tank with these fish alone."""
        kept = (one.among(labels) for one in self.events)
        return tuple(one for one in kept if one is not None)

    def in_between(self, start: float, end: float, *, lit_s: float) -> frozenset[str]:
        """Labels of the fish that are in the tank for some of the time between two days.

        Parameters
        ----------
        start, end : d.
        lit_s : lit seconds of a day; days are told apart to one of them, as the model meets them.
        """

        def second(day: float) -> float:
            return day if math.isinf(day) else round(day * lit_s)

        begins, ends = second(start), second(end)
        return frozenset(
            label
            for label, stays in self.stays.items()
            if any(second(first) < ends and second(last) > begins for first, last in stays)
        )

    def in_on(self, day: float) -> frozenset[str]:
        """Labels of the fish that are in the tank once all of a day's events up to that moment are over."""
        return frozenset(
            label for label, stays in self.stays.items() if any(first <= day < last for first, last in stays)
        )


def timeline_of(
    stock: Iterable[StockRow],
    events: Iterable[Event] = (),
    *,
    rock: RockSpec | None = None,
    tank: TankSpec | None = None,
    lit_hours: float | None = None,
) -> Timeline:
    """The timeline of a stock, whose rows have days, and of further events, sorted and checked.

    What events say of fish that are not in the stock is left out. What a file may say of its ``rock``, its
    ``tank`` and its ``lit_hours`` is checked too; what is None is not: a sweep over amounts of rock lays even
    none anew.
    """
    rows = list(stock)
    people = by_row(rows)
    labels = [one.label for row in people for one in row]
    known = set(labels)
    found: list[Event] = []
    for k, (row, fish) in enumerate(zip(rows, people, strict=True)):
        found += events_of(row, tuple(one.label for one in fish), place=("stock", k))
    found += [one for one in (event.among(known) for event in events) if one is not None]
    found.sort(key=lambda one: (one.day, one.order))
    so_far, faults = SoFar(labels, rock=rock, tank=tank, lit_hours=lit_hours), []
    was_set: dict[tuple[str, float], Event] = {}
    for one in found:
        wrong = [*one.check(so_far), *_set_twice(one, was_set)]
        faults += wrong
        if not wrong:
            one.pass_by(so_far)
    stays = {label: tuple((a, b) for a, b in those) for label, those in so_far.stays.items()}
    return Timeline(tuple(found), stays, tuple(faults))


def _set_twice(one: Event, was_set: dict[tuple[str, float], Event]) -> Iterator[Fault]:
    """Two events of one day that set the same to different things; ``was_set``: what was set, by day."""
    before = was_set.setdefault((one.sets, one.day), one)
    if one.sets and before != one:
        both = f"{before.words()}, and {one.words()}, both on day {one.day:g}"
        yield Fault(both, "one of the two, or another day", one.place)


def events_of(row: StockRow, fish: tuple[str, ...], *, place: tuple[str | int, ...] = ()) -> list[Event]:
    """The days of a row for its fish; one of which every fish is left out still says when settling begins."""
    found: list[Event] = [FishIn(day=row.day, fish=fish, place=place)]
    if row.out_day is not None and fish:
        found.append(FishOut(day=row.out_day, fish=fish, place=place))
    return found
