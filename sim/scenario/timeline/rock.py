"""Rock that is taken out and laid anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, Self

from .event import Event, EventError, Fault, Stocked, register

if TYPE_CHECKING:
    from ..scenario import RockSpec
    from .so_far import SoFar

ANEW = "anew"


@register
@dataclass(frozen=True, kw_only=True)
class RockAnew(Event):
    """All rock is taken out and laid anew: another draw of it.

    Measuring begins after it whatever a file says, so that all places that are measured lie in one rock.
    """

    settle: bool = True

    key: ClassVar[str] = "rock"
    deed: ClassVar[str] = "all taken out and laid anew"
    may_settle: ClassVar[bool | None] = True

    @property
    def about(self) -> str:
        return "rock"

    def words(self) -> str:
        return "all rock taken out and laid anew"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Self:
        if not isinstance(value, str) or value.strip().lower() != ANEW:
            raise EventError("", f'"{ANEW}": all rock is taken out and laid anew')
        return cls(**when)

    @staticmethod
    def suits(rock: RockSpec) -> bool:
        """Whether rock as a RockSpec says can be drawn anew."""
        return rock.sketch is None and rock.crevices is None and bool(rock.cover)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        rock = so_far.rock
        if rock is not None and not self.suits(rock):
            if rock.sketch is not None:
                what = "it is a sketch"
            else:
                what = "its crevices are listed" if rock.cover else "there is none"
            yield Fault(
                f"the rock is laid anew on day {self.day:g}, but {what}",
                "cover, without a sketch and crevices of your own: rock laid anew is another random pile",
                self.place,
            )

    def apply(self, model: Any) -> None:
        model.lay_rock_anew()
