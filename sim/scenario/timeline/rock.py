"""Rock that is taken out and laid anew, or of which some is added or taken."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from .event import Event, EventError, Fault, Stocked, register
from .standing import OfTank, Standing

if TYPE_CHECKING:
    from ..scenario import RockSpec
    from .so_far import SoFar

ANEW = "anew"
_EXAMPLES = '"anew", or the share of the floor from then on, "60 %", or more or less of it, "+20 %", "-20 %"'
_PERCENT = re.compile(r"([+-]?)\s*(\d{1,3}(?:[.,]\d{1,3})?)\s*%")


@dataclass(frozen=True, kw_only=True)
class OfRock(OfTank):
    """Something done to rock that is drawn, not to a sketch or to crevices that are listed."""

    key: ClassVar[str] = "rock"

    @staticmethod
    def suits(rock: RockSpec) -> bool:
        """Whether that can be done to rock as a RockSpec says."""
        return rock.sketch is None and rock.crevices is None and bool(rock.cover)

    def _unsuited(self, rock: RockSpec, deed: str, allowed: str) -> Iterator[Fault]:
        if not self.suits(rock):
            why = "its crevices are listed" if rock.cover else "there is none"
            why = why if rock.sketch is None else "it is a sketch"
            allowed = f"cover, without a sketch and crevices of your own{allowed}"
            yield Fault(f"{deed} on day {self.day:g}, but {why}", allowed, self.place)


@register
@dataclass(frozen=True, kw_only=True)
class RockAnew(OfRock):
    """All rock is taken out and laid anew: another draw of it."""

    deed: ClassVar[str] = "all taken out and laid anew"

    @property
    def about(self) -> str:
        return "rock"

    def words(self) -> str:
        return "all rock taken out and laid anew"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        """All of it anew, or some added or taken: one key says both."""
        if isinstance(value, str) and value.strip().lower() == ANEW:
            return cls(**when)
        share, is_change = _share(value)
        return RockChanged(cover=share, by=is_change, **when)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if so_far.rock is not None:
            why = ": rock laid anew is another random pile"
            yield from self._unsuited(so_far.rock, "the rock is laid anew", why)

    def after(self, standing: Standing) -> Standing:
        return replace(standing, laying=standing.laying + 1)

    def apply(self, model: Any) -> None:
        model.lay_rock_anew()


@dataclass(frozen=True, kw_only=True)
class RockChanged(OfRock):
    """Rock is added to what lies there, or taken from it: the rest stays where it is.

    Attributes
    ----------
    cover : share of the floor under rock from then on; with ``by`` how much of the floor more or less.
    by : whether it is more or less than before.
    """

    cover: float
    by: bool = False

    deed: ClassVar[str] = "changed"
    sets: ClassVar[str] = "rock"

    @property
    def about(self) -> str:
        if not self.by:
            return f"rock over {_percent(self.cover)} of the floor"
        return f"rock over {_percent(abs(self.cover))} of the floor {'more' if self.cover > 0 else 'less'}"

    def words(self) -> str:
        if not self.by:
            return f"rock added or taken until it covers {_percent(self.cover)} of the floor"
        done = "added over" if self.cover > 0 else "taken from"
        return f"rock {done} {_percent(abs(self.cover))} of the floor"

    def cover_after(self, before: float) -> float:
        """Share of the floor under rock then, 0 to 1."""
        return min(1.0, max(0.0, before + self.cover)) if self.by else self.cover

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        rock = so_far.rock
        if rock is None:
            return
        if not self.suits(rock):
            yield from self._unsuited(rock, "rock is added or taken", "")
            return
        wanted = rock.cover + self.cover if self.by else self.cover
        found = f"from day {self.day:g} on rock would cover {_percent(wanted)} of the floor"
        if abs(wanted - rock.cover) < 1e-9:
            yield Fault(f"{found}, as it does before", "more or less of it", self.place)
        elif not 0.0 <= wanted <= 1.0 + 1e-9:
            yield Fault(found, f"0 % to 100 %; before it covers {_percent(rock.cover)}", self.place)

    def pass_by(self, so_far: SoFar) -> None:
        if so_far.rock is not None:
            so_far.rock = replace(so_far.rock, cover=self.cover_after(so_far.rock.cover))

    def after(self, standing: Standing) -> Standing:
        rock = standing.rock
        return replace(standing, rock=replace(rock, cover=self.cover_after(rock.cover)))

    def apply(self, model: Any) -> None:
        model.change_tank()


def _share(value: object) -> tuple[float, bool]:
    """A share of the floor, and whether it is meant as more or less than before. Raises EventError."""
    found = _PERCENT.fullmatch(value.strip()) if isinstance(value, str) else None
    if found:
        share = float(found[2].replace(",", ".")) / 100.0
        if share <= 1.0:
            return (-share if found[1] == "-" else share), bool(found[1])
    elif isinstance(value, int | float) and not isinstance(value, bool) and 0.0 <= value <= 1.0:
        return float(value), False
    raise EventError("", _EXAMPLES)


def _percent(share: float) -> str:
    return f"{100.0 * share:g} %"
