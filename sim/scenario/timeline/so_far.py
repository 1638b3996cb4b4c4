"""Who was in the tank when, as event after event passes by."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..scenario import RockSpec, TankSpec
    from .seen import WhenSeen
    from .standing import Divider


class SoFar:
    """What is so after the events that have passed.

    Attributes
    ----------
    rock, tank, lit_hours : those of the scenario, where a file is checked; None else.
    stays : by label the days from which and to which the fish was in the tank, each [from, to]; "to" is
        infinite while it is in. Time in a box of its own is no stay.
    boxed : labels of those that sit in one.
    died : day of death, by label, of those that are dead.
    hurt : labels of those that are injured.
    holds_until : by label, the day up to which a female surely holds.
    spawning : whether females hold by themselves.
    rules : those of thumb.
    """

    def __init__(
        self,
        labels: Iterable[str],
        *,
        rock: RockSpec | None = None,
        tank: TankSpec | None = None,
        lit_hours: float | None = None,
    ) -> None:
        self.rock, self.tank, self.lit_hours = rock, tank, lit_hours
        self.divider: Divider | None = None
        self.boxed: set[str] = set()
        self.stays: dict[str, list[list[float]]] = {label: [] for label in labels}
        self.died: dict[str, float] = {}
        self.hurt: set[str] = set()
        self.holds_until: dict[str, float] = {}
        self.spawning = False
        self.rules: list[WhenSeen] = []

    def is_in(self, label: str) -> bool:
        """Whether a fish is in the tank now."""
        stays = self.stays[label]
        return bool(stays) and math.isinf(stays[-1][1])

    def is_away(self, label: str) -> bool:
        """Whether a fish is alive and out of the tank now, and in no box in it."""
        return not self.is_in(label) and label not in self.boxed and label not in self.died

    def come_in(self, label: str, day: float) -> None:
        """A fish comes in."""
        self.stays[label].append([day, math.inf])

    def go_out(self, label: str, day: float) -> None:
        """A fish is taken out."""
        self.stays[label][-1][1] = day
