"""Event: something that happens on a day, with what a file may say of it, its words, checks and effect."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, Self, TypeVar

from ..hints import Refusal, wrong

if TYPE_CHECKING:
    from .so_far import SoFar


class EventError(Refusal):
    """What a file says of an event means nothing; an empty ``found`` stands for the value itself."""


@dataclass(frozen=True)
class Fault:
    """Why an event cannot happen. ``place`` is where the event stands in the file, () when in none."""

    found: str
    allowed: str
    place: tuple[str | int, ...] = ()

    def __str__(self) -> str:
        return wrong(self.found, self.allowed)


class Stocked(Protocol):
    """Knows which fish a file means."""

    def fish(self, said: object) -> tuple[str, ...]:
        """Labels of the fish that are named; raises EventError when there are none such."""

    def holds(self, label: str) -> bool:
        """Whether it is a female of a kind that holds its eggs in the mouth."""


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happens once. Subclasses are frozen dataclasses that say what.

    Attributes
    ----------
    day : float
        When, in days from the first morning.
    settle : bool
        Whether the fish settle anew after it: ``run.settle_days`` after the last such event measuring begins.
    place : tuple
        Where it stands in the file, as :class:`rockshy.sim.scenario.reading.Problem` has it; () when in none.
    endless : bool
        Whether it is one time more of what goes on as long as anything is simulated, perhaps after the end.
    key : str
        The name by which an ``[[event]]`` of a file says what happens; "" where a file says it otherwise.
    deed : str
        What is done, in words: "taken out".
    order : int
        Of two events of one day the one with the lower number happens first.
    may_settle : bool or None
        The only value of ``settle`` that is allowed; None when a file may say either.
    newcomers : bool
        Whether fish come in that need the whole of their time to settle.
    dated : bool
        Whether it happens on its day, and not whenever something is seen.
    sets : str
        What it sets from then on whatever it was before: on one day it can be set to one thing only.
    lasts : bool or None
        Whether a file says for how long: True, it must; None, it may; False, it ends by itself or not at all.
    """

    day: float
    settle: bool = False
    place: tuple[str | int, ...] = field(default=(), compare=False, repr=False)
    endless: bool = field(default=False, compare=False, repr=False)

    key: ClassVar[str] = ""
    deed: ClassVar[str] = ""
    order: ClassVar[int] = 0
    may_settle: ClassVar[bool | None] = None
    newcomers: ClassVar[bool] = False
    dated: ClassVar[bool] = True
    sets: ClassVar[str] = ""
    lasts: ClassVar[bool | None] = False

    @property
    def about(self) -> str:
        """What it is done to, in words."""
        raise NotImplementedError

    def words(self) -> str:
        """The whole of it in plain words, without the day."""
        return f"{self.about} {self.deed}"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        """The event that the value of ``key`` in a file stands for; raises EventError when it means nothing.

        ``stocked`` knows the fish; ``when`` is day, place and, where a file says it, settle.
        """
        raise NotImplementedError

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        """It, and what ends it after some days. Where ``lasts`` is not False.

        ``settle``: of the one that ends it, where a file says so.
        """
        raise NotImplementedError

    def among(self, labels: Collection[str]) -> Self | None:
        """The same in a tank of these fish alone; None when nothing is left of it."""
        return self

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        """Why it cannot happen after all that came before it."""
        yield from ()

    def pass_by(self, so_far: SoFar) -> None:
        """Note who is in the tank afterwards, or what else others depend on, where that changes."""

    def apply(self, model: Any) -> None:
        """Make it happen in a :class:`rockshy.sim.run.model.TankModel`, between two ticks."""
        raise NotImplementedError


Kind = TypeVar("Kind", bound=type[Event])
EVENTS: dict[str, type[Event]] = {}
"""Kinds of events by the key with which a file names them."""


def register(kind: Kind) -> Kind:
    """Let files name a kind of event by its ``key``.

    Raises ValueError when it has no key, or another kind has the same.
    """
    if not kind.key or EVENTS.get(kind.key, kind) is not kind:
        raise ValueError(f"{kind.__name__}: the key is {kind.key!r}; use one that no other event has")
    EVENTS[kind.key] = kind
    return kind
