"""Fish that come in, are taken out and come back, any number of times."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from ..stock import say_labels
from .event import Event, Fault, Stocked, register

if TYPE_CHECKING:
    from .so_far import SoFar


@dataclass(frozen=True, kw_only=True)
class OfFish(Event):
    """Something done to fish, who are known by their labels (species, sex and number)."""

    fish: tuple[str, ...]

    @property
    def about(self) -> str:
        return say_labels(self.fish)

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        return cls(fish=stocked.fish(value), **when)

    def among(self, labels: Collection[str]) -> Self | None:
        fish = tuple(one for one in self.fish if one in labels)
        return replace(self, fish=fish) if fish else None

    def _wrong(self, is_wrong: Callable[[str], bool], *, but: str, allowed: str) -> Iterator[Fault]:
        fish = [one for one in self.fish if is_wrong(one)]
        if fish:
            yield Fault(f"{say_labels(fish)} {self.deed} on day {self.day:g}, but {but}", allowed, self.place)

    def _not_boxed(self, so_far: SoFar) -> Iterator[Fault]:
        first = 'fish that are in no box, and "out_of_box" before'
        yield from self._wrong(lambda one: one in so_far.boxed, but="in a box then", allowed=first)

    def _wrong_if_dead(self, so_far: SoFar) -> Iterator[Fault]:
        dead = [so_far.died[one] for one in self.fish if one in so_far.died]
        if dead:
            since = f"dead since day {min(dead):g}"
            yield from self._wrong(lambda one: one in so_far.died, but=since, allowed="fish that are alive")


@dataclass(frozen=True, kw_only=True)
class _ComingIn(OfFish):
    """Fish come in; they need the whole of their time to settle."""

    settle: bool = True

    newcomers: ClassVar[bool] = True

    def pass_by(self, so_far: SoFar) -> None:
        for one in self.fish:
            so_far.come_in(one, self.day)

    def apply(self, model: Any) -> None:
        model.let_in(self.fish)


@dataclass(frozen=True, kw_only=True)
class FishIn(_ComingIn):
    """Fish come in for the first time. A file says so with the rows of its stock."""

    deed: ClassVar[str] = "added"
    order: ClassVar[int] = 1

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        again = 'each fish once, and "back" to put it in again'
        yield from self._wrong(lambda one: bool(so_far.stays[one]), but="already in before", allowed=again)


@register
@dataclass(frozen=True, kw_only=True)
class FishOut(OfFish):
    """Fish are taken out. What they know of others fades while they are out, as it does in the tank."""

    key: ClassVar[str] = "out"
    deed: ClassVar[str] = "taken out"
    order: ClassVar[int] = 2
    lasts: ClassVar[bool | None] = None

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        how = {} if settle is None else {"settle": settle}
        return self, FishBack(day=self.day + days, fish=self.fish, place=self.place, **how)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        def is_just_in(one: str) -> bool:
            return so_far.is_in(one) and so_far.stays[one][-1][0] >= self.day

        there, later = "fish that are in the tank on that day", "a later day"
        yield from self._not_boxed(so_far)
        yield from self._wrong(so_far.is_away, but="not in the tank then", allowed=there)
        yield from self._wrong_if_dead(so_far)
        yield from self._wrong(is_just_in, but="only put in that day", allowed=later)

    def pass_by(self, so_far: SoFar) -> None:
        for one in self.fish:
            so_far.go_out(one, self.day)

    def apply(self, model: Any) -> None:
        for one in model.agents.select(lambda one: one.label in self.fish):
            model.take_out(one)


@register
@dataclass(frozen=True, kw_only=True)
class FishBack(_ComingIn):
    """Fish that were taken out are put back: the same fish, in another place and without a territory."""

    key: ClassVar[str] = "back"
    deed: ClassVar[str] = "put back"
    order: ClassVar[int] = 3

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        out = "fish that were taken out before"
        first = f"{out}, and rows of the stock for fish that are new"
        yield from self._not_boxed(so_far)
        yield from self._wrong(so_far.is_in, but="in the tank already", allowed=out)
        yield from self._wrong_if_dead(so_far)
        yield from self._wrong(
            lambda one: not so_far.stays[one], but="never in the tank before", allowed=first
        )
