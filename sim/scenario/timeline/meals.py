"""Meals: how many a day, or at which times of day, from a day on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from ..clock import lights_on_s, say_time, time_of
from .event import Event, EventError, Fault, Stocked, register

if TYPE_CHECKING:
    from .so_far import SoFar

MOST = 12
APART_S = 1800  # a meal is over before the next one comes
_EXAMPLE = f'how many a day, 0 to {MOST}, or times of day, such as ["9:00", "17:30"]'


@register
@dataclass(frozen=True, kw_only=True)
class Meals(Event):
    """Fish are fed more or less often from now on; every meal is as large as any.

    Attributes
    ----------
    a_day : how many meals a day, spread evenly over the lit hours.
    at_s : times of day in seconds after midnight, in order; () where ``a_day`` says it all.
    """

    a_day: int
    at_s: tuple[int, ...] = ()

    key: ClassVar[str] = "meals"
    deed: ClassVar[str] = "from then on"
    order: ClassVar[int] = 6
    sets: ClassVar[str] = key

    @property
    def about(self) -> str:
        if self.at_s:
            *first, last = map(say_time, self.at_s)
            return f"fed at {', '.join(first)} and {last}" if first else f"fed at {last}"
        times = {0: "not fed", 1: "fed once a day", 2: "fed twice a day"}
        return times.get(self.a_day, f"fed {self.a_day} times a day")

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST:
            return cls(a_day=value, **when)
        listed = value if isinstance(value, list) else [value]
        times = [one for one in listed if isinstance(one, str) and len(one) < 9]
        if not 1 <= len(listed) <= MOST or len(times) < len(listed):
            raise EventError("", _EXAMPLE)
        try:
            at = tuple(sorted({time_of(one) for one in times}))
        except ValueError:
            raise EventError("", _EXAMPLE) from None
        return cls(a_day=len(at), at_s=at, **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if so_far.lit_hours is None:
            return
        lit_s = round(3600 * so_far.lit_hours)
        most = lit_s // APART_S
        if not self.at_s and self.a_day > most:
            yield Fault(self._found, f"at most {most} in {so_far.lit_hours:g} lit hours", self.place)
        on = lights_on_s(so_far.lit_hours)
        if any(not on <= one <= on + lit_s - APART_S for one in self.at_s):
            lit = f"the lights are on from {say_time(on)} to {say_time(on + lit_s)}"
            times = f"times from {say_time(on)} to {say_time(on + lit_s - APART_S)}: {lit}"
            yield Fault(self._found, times, self.place)
        if any(b - a < APART_S for a, b in zip(self.at_s, self.at_s[1:], strict=False)):
            yield Fault(self._found, f"meals at least {APART_S // 60} minutes apart", self.place)

    @property
    def _found(self) -> str:
        return f"{self.about} from day {self.day:g} on"

    def apply(self, model: Any) -> None:
        model.feed(self.a_day, at_s=self.at_s)
