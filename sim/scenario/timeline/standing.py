"""What stands in the tank, event after event: the rock, and a divider."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from .event import Event

if TYPE_CHECKING:
    from ..scenario import RockSpec


@dataclass(frozen=True)
class Divider:
    """A wall from the front glass to the back and up to the surface, that nobody passes.

    Attributes
    ----------
    x_cm : how far it stands from the left end.
    clear : whether fish see through it.
    """

    x_cm: float
    clear: bool = False


@dataclass(frozen=True)
class Standing:
    """What stands in the tank for a time.

    Attributes
    ----------
    rock : how much of it, and how it is piled.
    laying : how often all of it was laid anew.
    divider : None where there is none.
    """

    rock: RockSpec
    laying: int = 0
    divider: Divider | None = None


@dataclass(frozen=True, kw_only=True)
class OfTank(Event):
    """Something done to what stands in the tank.

    Measuring begins after it whatever a file says, so that all places that are measured lie in one tank.
    """

    settle: bool = True

    may_settle: ClassVar[bool | None] = True

    def after(self, standing: Standing) -> Standing:
        """What stands in the tank after it."""
        raise NotImplementedError


def standings(rock: RockSpec, events: Iterable[Event]) -> tuple[Standing, ...]:
    """What stands in the tank at first and after each event that changes it, in order."""
    found = [Standing(rock)]
    for one in events:
        if isinstance(one, OfTank):
            found.append(one.after(found[-1]))
    return tuple(found)
