"""Females that hold eggs: from a day on that the keeper tells, or by themselves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from ..stock import say_labels
from .event import Event, EventError, Fault, Stocked, register
from .fish import OfFish

if TYPE_CHECKING:
    from .so_far import SoFar

LEAST_D = 18.0  # d; no brood that is not told of otherwise is shorter (life.toml, brood_d)


@register
@dataclass(frozen=True, kw_only=True)
class Holding(OfFish):
    """Females hold eggs from this day on; they do not feed and claim nothing, until they let their fry go.

    Attributes
    ----------
    days : for how long, as a file says it with ``for``; as long as a brood takes when None.
    """

    days: float | None = None

    key: ClassVar[str] = "holding"
    deed: ClassVar[str] = "holding eggs"
    order: ClassVar[int] = 5
    lasts: ClassVar[bool | None] = None

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        return (replace(self, days=days, settle=self.settle if settle is None else settle),)

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        fish = stocked.fish(value)
        if wrong := [one for one in fish if not stocked.holds(one)]:
            raise EventError(say_labels(wrong), "females of a kind that holds its eggs in the mouth")
        return cls(fish=fish, **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        yield from self._wrong(
            lambda one: not so_far.is_in(one) and one not in so_far.died,
            but="not in the tank then",
            allowed="fish that are in the tank on that day",
        )
        yield from self._wrong_if_dead(so_far)
        yield from self._wrong(
            lambda one: so_far.holds_until.get(one, 0.0) > self.day,
            but="holding since before",
            allowed=f"a day after she has let her fry go, {LEAST_D:g} days at least",
        )

    def pass_by(self, so_far: SoFar) -> None:
        until = self.day + (LEAST_D if self.days is None else self.days)
        so_far.holds_until.update(dict.fromkeys(self.fish, until))

    def apply(self, model: Any) -> None:
        model.broods.begin(self.fish, day=self.day, days=self.days)


@register
@dataclass(frozen=True, kw_only=True)
class Spawning(Event):
    """From this day on mature females begin to hold by themselves, where a mature male of their kind is."""

    key: ClassVar[str] = "spawning"
    deed: ClassVar[str] = "hold eggs by themselves from now on"
    order: ClassVar[int] = 5

    @property
    def about(self) -> str:
        return "mature females"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        if value is not True:
            raise EventError("", "true: from that day on mature females hold eggs by themselves")
        return cls(**when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if so_far.spawning:
            yield Fault(f"spawning on day {self.day:g}, but spawning already", "it once", self.place)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.spawning = True

    def apply(self, model: Any) -> None:
        model.broods.by_themselves = True
