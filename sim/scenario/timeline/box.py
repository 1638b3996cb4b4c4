"""Fish that are put into a box hanging in the tank, each into its own, and let out of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, Self

from .. import units
from .event import Event, EventError, Fault, Stocked, register
from .fish import OfFish

if TYPE_CHECKING:
    from .so_far import SoFar

_EXAMPLE = 'fish of the stock, or a table such as { fish = "Tropheus duboisi male 2", from_left = "20 cm" }'


@register
@dataclass(frozen=True, kw_only=True)
class BoxIn(OfFish):
    """Fish are put into boxes under the surface at the front glass: seen, not reached, and reaching nobody.

    ``from_left_cm``: where the first box hangs; others hang to the right of it.
    """

    from_left_cm: float = 0.0

    key: ClassVar[str] = "box"
    deed: ClassVar[str] = "put into a box in the tank"
    order: ClassVar[int] = 4
    lasts: ClassVar[bool | None] = None

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        end = True if settle is None else settle
        return self, BoxOut(day=self.day + days, fish=self.fish, settle=end, place=self.place)

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        if not isinstance(value, dict):
            return cls(fish=stocked.fish(value), **when)
        if not {"fish"} <= set(value) <= {"fish", "from_left"}:
            raise EventError("", _EXAMPLE)
        try:
            x_cm = units.length_cm(value.get("from_left", 0.0))
        except units.UnitError as error:
            raise EventError("", error.allowed, error.nearest) from None
        return cls(fish=stocked.fish(value["fish"]), from_left_cm=x_cm, **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        yield from self._not_boxed(so_far)
        there = "fish that are in the tank on that day"
        yield from self._wrong(so_far.is_away, but="not in the tank then", allowed=there)
        yield from self._wrong_if_dead(so_far)
        if so_far.tank is not None and not 0.0 <= self.from_left_cm < so_far.tank.length_cm:
            found = f"{self.about} {self.deed} {units.say_length_cm(self.from_left_cm)} from the left"
            most = units.say_length_cm(so_far.tank.length_cm)
            yield Fault(found, f"a place within the tank's {most}", self.place)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.boxed |= set(self.fish)
        for one in self.fish:
            so_far.go_out(one, self.day)

    def apply(self, model: Any) -> None:
        model.put_in_box(self.fish, from_left_cm=self.from_left_cm)


@register
@dataclass(frozen=True, kw_only=True)
class BoxOut(OfFish):
    """Fish are let out of their box, where it hangs. They settle as fish do that are put back."""

    settle: bool = True

    key: ClassVar[str] = "out_of_box"
    deed: ClassVar[str] = "let out of its box"
    order: ClassVar[int] = 3
    newcomers: ClassVar[bool] = True

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        allowed = "fish that were put into one before"
        yield from self._wrong(lambda one: one not in so_far.boxed, but="in no box then", allowed=allowed)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.boxed -= set(self.fish)
        for one in self.fish:
            so_far.come_in(one, self.day)

    def apply(self, model: Any) -> None:
        model.let_out_of_box(self.fish)
