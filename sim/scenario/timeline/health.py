"""What a keeper reports of fish that come to harm: a death, or an injury and its end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from .event import Event, Fault, register
from .fish import FishOut, OfFish

if TYPE_CHECKING:
    from .so_far import SoFar


@register
@dataclass(frozen=True, kw_only=True)
class FishDead(FishOut):
    """Fish have died: they are out for good, whatever else would put them back.

    Nobody in the model dies by itself; this is what a keeper tells.
    """

    key: ClassVar[str] = "dead"
    deed: ClassVar[str] = "dead"
    lasts: ClassVar[bool | None] = False

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        yield from self._wrong(
            lambda one: not so_far.stays[one], but="never in the tank before", allowed="fish that came in"
        )
        yield from self._wrong_if_dead(so_far)

    def pass_by(self, so_far: SoFar) -> None:
        for one in self.fish:
            if so_far.is_in(one):
                so_far.go_out(one, self.day)
            so_far.boxed.discard(one)
            so_far.died[one] = self.day

    def apply(self, model: Any) -> None:
        super().apply(model)
        model.dead.update(self.fish)


@register
@dataclass(frozen=True, kw_only=True)
class Injured(OfFish):
    """Fish are hurt: until they are well again they are weaker and shyer (assumption)."""

    key: ClassVar[str] = "injured"
    deed: ClassVar[str] = "injured"
    order: ClassVar[int] = 4
    lasts: ClassVar[bool | None] = True

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        well = settle if settle is not None else False
        return self, Well(day=self.day + days, fish=self.fish, settle=well, place=self.place)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        there = "fish that are in the tank on that day"
        yield from self._wrong(so_far.is_away, but="not in the tank then", allowed=there)
        yield from self._wrong_if_dead(so_far)
        yield from self._wrong(
            lambda one: one in so_far.hurt, but="injured already", allowed="a day after it is well again"
        )

    def pass_by(self, so_far: SoFar) -> None:
        so_far.hurt.update(self.fish)

    def apply(self, model: Any) -> None:
        model.weaken(self.fish, by=model.slow.injured_strength)


@dataclass(frozen=True, kw_only=True)
class Well(OfFish):
    """Fish that were hurt are as they were. A file says so with ``for``."""

    deed: ClassVar[str] = "well again"
    order: ClassVar[int] = -1  # of one day's events first: it may be hurt anew

    def pass_by(self, so_far: SoFar) -> None:
        so_far.hurt.difference_update(self.fish)

    def apply(self, model: Any) -> None:
        model.weaken(self.fish, by=1.0)
