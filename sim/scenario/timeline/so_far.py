"""Who was in the tank when, as event after event passes by."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..scenario import RockSpec


class SoFar:
    """What is so after the events that have passed.

    ``rock`` is that of the scenario, where a file is checked. ``stays`` has by label the days from which and
    to which the fish was in the tank, each [from, to]; "to" is infinite while it is in. ``died`` has the
    day of death of those that are dead, ``hurt`` those that are injured.
    """

    def __init__(self, labels: Iterable[str], *, rock: RockSpec | None = None) -> None:
        self.rock = rock
        self.stays: dict[str, list[list[float]]] = {label: [] for label in labels}
        self.died: dict[str, float] = {}
        self.hurt: set[str] = set()

    def is_in(self, label: str) -> bool:
        """Whether a fish is in the tank now."""
        stays = self.stays[label]
        return bool(stays) and math.isinf(stays[-1][1])

    def come_in(self, label: str, day: float) -> None:
        """A fish comes in."""
        self.stays[label].append([day, math.inf])

    def go_out(self, label: str, day: float) -> None:
        """A fish is taken out."""
        self.stays[label][-1][1] = day
