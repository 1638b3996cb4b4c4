"""Lights: other hours from a day on, dusk, and a day on which they go off early."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from .event import Event, EventError, Fault, Stocked, register

if TYPE_CHECKING:
    from .so_far import SoFar

OFF = "off"
LEAST_H, MOST_H = 1.0, 24.0
MOST_DUSK_MIN = 120
_EXAMPLE = '"off" (until the next morning), or lit hours a day, 1 to 24, or { hours = 12, dusk = "30 min" }'
_HOURS = re.compile(r"(\d{1,2}(?:\.\d{1,3})?)\s*(?:h|hours?)")
_MINUTES = re.compile(r"(\d{1,3})\s*(?:min|minutes?)")


@dataclass(frozen=True, kw_only=True)
class OfLights(Event):
    """Measuring begins after it whatever a file says, so that all days that are measured are as long."""

    settle: bool = True

    key: ClassVar[str] = "lights"
    order: ClassVar[int] = 6
    may_settle: ClassVar[bool | None] = True

    @property
    def about(self) -> str:
        return "lights"

    def apply(self, model: Any) -> None:
        """The days of a run are laid out beforehand."""


@register
@dataclass(frozen=True, kw_only=True)
class LightsChanged(OfLights):
    """The lights are on for other hours, from that morning or else the next one on.

    Attributes
    ----------
    hours : lit hours of a day; None: as before.
    dusk_min : the last minutes of them, in which the light is dim.
    """

    hours: float | None = None
    dusk_min: int = 0

    deed: ClassVar[str] = "changed"
    sets: ClassVar[str] = "lights"

    @property
    def about(self) -> str:
        hours = "" if self.hours is None else f" on for {self.hours:g} hours a day"
        dusk = f", dim for the last {self.dusk_min} minutes" if self.dusk_min else ""
        return f"lights{hours}{dusk}"

    def words(self) -> str:
        return self.about

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        """Other hours, or off at once: one key says both."""
        if isinstance(value, str) and value.strip().lower() == OFF:
            return LightsOff(**when)
        said = value if isinstance(value, dict) else {"hours": value}
        if not said or not set(said) <= {"hours", "dusk"}:
            raise EventError("", _EXAMPLE)
        hours = _amount(said["hours"], _HOURS, LEAST_H, MOST_H) if "hours" in said else None
        dusk = _amount(said["dusk"], _MINUTES, 1, MOST_DUSK_MIN) if "dusk" in said else 0
        return cls(hours=hours, dusk_min=round(dusk), **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        hours = self.hours or so_far.lit_hours
        if hours is not None and self.dusk_min > 30.0 * hours:
            found = f"dusk of {self.dusk_min} minutes on day {self.day:g}"
            yield Fault(found, f"at most half of the {hours:g} lit hours", self.place)

    def pass_by(self, so_far: SoFar) -> None:
        if so_far.lit_hours is not None and self.hours is not None:
            so_far.lit_hours = self.hours


@dataclass(frozen=True, kw_only=True)
class LightsOff(OfLights):
    """The lights go off, and stay off until the next morning."""

    deed: ClassVar[str] = "off until the next morning"


def lit_hours_after(lit_hours: float, events: Iterable[Event]) -> float:
    """Lit hours of a day once all events are over."""
    for one in events:
        if isinstance(one, LightsChanged) and one.hours is not None:
            lit_hours = one.hours
    return lit_hours


def _amount(value: object, spelled: re.Pattern[str], low: float, high: float) -> float:
    """A number, or one with its unit. Raises EventError."""
    found = spelled.fullmatch(value.strip().lower()) if isinstance(value, str) else None
    number = float(found[1]) if found else value
    if isinstance(number, bool) or not isinstance(number, int | float) or not low <= number <= high:
        raise EventError("", _EXAMPLE)
    return float(number)
