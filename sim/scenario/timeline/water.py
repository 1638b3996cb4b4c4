"""A water change: hands, hose and noise. What it does to the water itself is no part of the model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from .event import Event, EventError, Stocked, register

CHANGED = "changed"


@register
@dataclass(frozen=True, kw_only=True)
class WaterChanged(Event):
    """Water is changed, which frightens everybody in the tank for a while (assumption)."""

    key: ClassVar[str] = "water"
    deed: ClassVar[str] = CHANGED
    order: ClassVar[int] = 7

    @property
    def about(self) -> str:
        return "water"

    @classmethod
    def read(cls, value: object, *, stocked: Stocked, **when: Any) -> Event:
        if not isinstance(value, str) or value.strip().lower() != CHANGED:
            raise EventError("", f'"{CHANGED}"')
        return cls(**when)

    def apply(self, model: Any) -> None:
        model.startle()
