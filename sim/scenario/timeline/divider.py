"""A divider that is put in and taken out."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from .. import units
from ..stock import say_labels
from .event import Event, EventError, Fault, Stocked, register
from .standing import Divider, OfTank, Standing

if TYPE_CHECKING:
    from .so_far import SoFar

OUT = "out"
_EXAMPLE = (
    'how far it stands from the left, such as "60 cm", a table such as { from_left = "60 cm", clear = true, '
    'left = "Tropheus duboisi" }, or "out"'
)
_KEYS = {"from_left", "clear", "left", "right"}


@register
@dataclass(frozen=True, kw_only=True)
class DividerIn(OfTank):
    """A divider is put in. Fish are on the side where they happen to be, or where they are put.

    Attributes
    ----------
    divider : where it stands and whether fish see through it.
    left, right : labels of fish that are put on that side.
    """

    divider: Divider
    left: tuple[str, ...] = ()
    right: tuple[str, ...] = ()

    key: ClassVar[str] = "divider"
    deed: ClassVar[str] = "put in"
    order: ClassVar[int] = 5
    lasts: ClassVar[bool | None] = None

    @property
    def about(self) -> str:
        return f"{self._kind} {self._where}"

    def words(self) -> str:
        return f"{self._kind} {self.deed} {self._where}"

    @property
    def _kind(self) -> str:
        return f"{'a clear' if self.divider.clear else 'an opaque'} divider"

    @property
    def _where(self) -> str:
        said = f"{units.say_length_cm(self.divider.x_cm)} from the left"
        for side, fish in (("left", self.left), ("right", self.right)):
            said += f", {say_labels(fish)} on its {side}" if fish else ""
        return said

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        return self, DividerOut(day=self.day + days, place=self.place)

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        """A divider put in, or taken out: one key says both."""
        if isinstance(value, str) and value.strip().lower() == OUT:
            return DividerOut(**when)
        said = value if isinstance(value, dict) else {"from_left": value}
        clear = said.get("clear", False)
        if not {"from_left"} <= set(said) <= _KEYS or not isinstance(clear, bool):
            raise EventError("", _EXAMPLE)
        try:
            x_cm = units.length_cm(said["from_left"])
        except units.UnitError as error:
            allowed = error.allowed if isinstance(value, dict) else _EXAMPLE
            raise EventError("", allowed, error.nearest) from None
        left, right = (stocked.fish(said[side]) if side in said else () for side in ("left", "right"))
        if both := [one for one in left if one in right]:
            raise EventError(f"{say_labels(both)} on both sides", "each fish on one side")
        return cls(divider=Divider(x_cm, clear), left=left, right=right, **when)

    def among(self, labels: Collection[str]) -> DividerIn:
        left, right = (tuple(one for one in side if one in labels) for side in (self.left, self.right))
        return self if (left, right) == (self.left, self.right) else replace(self, left=left, right=right)

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        there = f"a divider is put in on day {self.day:g}"
        if so_far.divider is not None:
            yield Fault(f"{there}, but one stands already", f'divider = "{OUT}" before', self.place)
        if so_far.tank is not None and not 0.0 < self.divider.x_cm < so_far.tank.length_cm:
            where = units.say_length_cm(self.divider.x_cm)
            most = f"a place within the tank's {units.say_length_cm(so_far.tank.length_cm)}"
            yield Fault(f"{there}, {where} from the left", most, self.place)
        away = [one for one in (*self.left, *self.right) if not so_far.is_in(one)]
        if away:
            found = f"{say_labels(away)} is put beside the divider on day {self.day:g}"
            allowed = "fish that swim in the tank on that day"
            yield Fault(f"{found}, but not in the tank then", allowed, self.place)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.divider = self.divider

    def after(self, standing: Standing) -> Standing:
        return replace(standing, divider=self.divider)

    def apply(self, model: Any) -> None:
        model.change_tank()
        model.put_beside(left=self.left, right=self.right)


@dataclass(frozen=True, kw_only=True)
class DividerOut(OfTank):
    """The divider is taken out."""

    key: ClassVar[str] = "divider"
    deed: ClassVar[str] = "taken out"
    order: ClassVar[int] = -1

    @property
    def about(self) -> str:
        return "the divider"

    def lasting(self, days: float, *, settle: bool | None = None) -> tuple[Event, ...]:
        raise EventError("for with a divider that is taken out", "for where it is put in, or leave it out")

    def check(self, so_far: SoFar) -> Iterator[Fault]:
        if so_far.divider is None:
            found = f"the divider is taken out on day {self.day:g}, but none stands in the tank then"
            yield Fault(found, "it only after one was put in", self.place)

    def pass_by(self, so_far: SoFar) -> None:
        so_far.divider = None

    def after(self, standing: Standing) -> Standing:
        return replace(standing, divider=None)

    def apply(self, model: Any) -> None:
        model.change_tank()
