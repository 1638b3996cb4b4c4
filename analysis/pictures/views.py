"""From where one looks at a tank, and how large it is from there."""

from __future__ import annotations

from typing import NamedTuple

from .parts import TrialParts


class View(NamedTuple):
    """The axes of the tank that run across and up the picture."""

    name: str
    across: int
    up: int
    up_label: str


FRONT = View("from the front", 0, 2, "height above the base")
ABOVE = View("from above", 0, 1, "from the front glass")


def extent(parts: TrialParts, view: View) -> tuple[float, float]:
    """Width and height of the tank in a view, cm."""
    sides = (parts.spec.length_cm, parts.spec.width_cm, parts.spec.height_cm)
    return sides[view.across], sides[view.up]


def wet_height(parts: TrialParts, view: View) -> float:
    """How far up the picture the water goes, cm."""
    return parts.spec.water_cm if view is FRONT else extent(parts, view)[1]
