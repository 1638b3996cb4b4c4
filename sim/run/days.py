"""The lit days of a run in ticks, as the lights are changed on the way.

Every day begins as many ticks after the one before as the longest has lit ticks; in a shorter one the ticks
between nightfall and the next dawn are passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ..scenario.timeline import Event, LightsChanged, LightsOff

TICK_S = 1.0


@dataclass(frozen=True)
class Days:
    """When each day begins and ends.

    Attributes
    ----------
    ticks : from one dawn to the next.
    hours : lit hours of so many ticks.
    usual : lit ticks of a day until the lights are changed.
    changed : (first day, lit ticks) of the days after a change, in order.
    dusk : (first day, ticks of dim light before nightfall), in order.
    cut : lit ticks of the days on which the lights go off early.
    """

    ticks: int
    hours: float
    usual: int
    changed: tuple[tuple[int, int], ...] = ()
    dusk: tuple[tuple[int, int], ...] = ()
    cut: tuple[tuple[int, int], ...] = ()

    def planned(self, day: int) -> int:
        """Lit ticks of a day, were the lights not to go off early."""
        return next((ticks for first, ticks in reversed(self.changed) if first <= day), self.usual)

    def lit(self, day: int) -> int:
        """Lit ticks of a day."""
        return min([self.planned(day), *(ticks for cut, ticks in self.cut if cut == day)])

    def hours_of(self, lit: int) -> float:
        """Hours of so many lit ticks of a day."""
        return self.hours if lit == self.ticks else lit * self.hours / self.ticks

    def dawn(self, day: int) -> int:
        """The first tick of a day."""
        return day * self.ticks

    def nightfall(self, day: int) -> int:
        """The tick at which a day ends."""
        return self.dawn(day) + self.lit(day)

    def dim(self, day: int) -> int:
        """The tick from which the light of a day is dim; nightfall where it never is."""
        dusk = next((ticks for first, ticks in reversed(self.dusk) if first <= day), 0)
        return max(self.dawn(day), self.dawn(day) + min(self.lit(day), self.planned(day) - dusk))

    def of(self, tick: int) -> int:
        """The day that a tick lies in."""
        return tick // self.ticks

    def tick_of(self, day: float) -> int:
        """The tick of a moment; what happens in the dark happens at nightfall."""
        if not self.changed and not self.cut:
            return round(day * self.usual)
        whole = math.floor(day)
        return self.dawn(whole) + min(self.lit(whole), round((day - whole) * self.planned(whole)))

    def after(self, tick: int, lit: int) -> int:
        """The tick after so many lit ticks more, counted from the dawn or in the light of a day."""
        day = self.of(tick)
        while lit > self.nightfall(day) - tick:
            lit -= max(0, self.nightfall(day) - tick)
            day += 1
            tick = self.dawn(day)
        return tick + lit


def clock_hours(lit_hours: float, events: Iterable[Event]) -> float:
    """Lit hours of the longest day, by which ticks are told as times of day."""
    return lit_days(lit_hours, events, tick_s=1.0).hours


def lit_days(lit_hours: float, events: Iterable[Event], *, tick_s: float) -> Days:
    """The days of a run whose lights are on for ``lit_hours`` at first."""
    found = list(events)
    hours = [lit_hours]
    changed, dusk = [], []
    for one in found:
        if isinstance(one, LightsChanged):
            first = math.ceil(one.day - 1e-9)
            hours.append(hours[-1] if one.hours is None else one.hours)
            changed.append((first, round(hours[-1] * 3600 / tick_s)))
            dusk.append((first, round(one.dusk_min * 60 / tick_s)))
    usual = round(lit_hours * 3600 / tick_s)
    longest = max(hours)
    whole = Days(round(longest * 3600 / tick_s), longest, usual, tuple(changed), tuple(dusk))
    cut = []
    for one in found:
        if isinstance(one, LightsOff):
            day = math.floor(one.day)
            cut.append((day, round((one.day - day) * whole.planned(day))))
    if all(ticks == usual for _, ticks in changed):
        changed = []
    return Days(whole.ticks, longest, usual, tuple(changed), tuple(dusk), tuple(cut))
