"""The [tank] table."""

from __future__ import annotations

import math
from typing import Any

from .. import units
from ..scenario import TankSpec
from . import limits
from .problems import Shown, show
from .tables import Table

SIDES = ("length", "front_to_back", "height", "water_level")


def check_units(table: Table) -> None:
    """A bare number is in cm; beside a side in inches it is asked about."""
    written = {key: table.raw(key) for key in SIDES if key in table}
    inches = next((value for value in written.values() if units.is_imperial(value)), None)
    for key, value in written.items():
        if inches is not None and units.is_bare(value):
            allowed = f'a unit, "{value} in" or "{value} cm": another side is {show(inches)}'
            table.problem(key, allowed=allowed)


def read_tank(table: Table) -> TankSpec:
    """The tank; sides within the limits, volume and cells checked against them."""
    read: dict[str, Any] = table.part("water_level")
    height = read["height_cm"]
    water = table.amount("water_level", default=height - limits.BELOW_RIM_CM)
    if not table.at_most("water_level", water, height, "the tank's height"):
        water = math.nan
    spec = TankSpec(**read, water_cm=water)
    if "volume" in table:
        _check_volume(table, spec, table.amount("volume"))
    _check_cells(table, spec.cell_cm, (spec.length_cm, spec.width_cm, water))
    table.close()
    return spec


def _check_volume(table: Table, spec: TankSpec, volume: float) -> None:
    floor = spec.length_cm * spec.width_cm / 1000.0
    low = floor * spec.water_cm * (1 - limits.VOLUME_TOLERANCE)
    high = floor * spec.height_cm * (1 + limits.VOLUME_TOLERANCE)
    if volume < low or volume > high:
        percent = f"{100 * limits.VOLUME_TOLERANCE:.0f} %"
        table.problem(
            "volume",
            found=Shown(f"{units.say_volume_l(volume)}, which does not fit the sides of the tank"),
            allowed=f"{units.say_volume_l(low)} to {units.say_volume_l(high)} ({percent} below the volume "
            f"up to the water level to {percent} above that up to the rim)",
            nearest=f"{floor * spec.height_cm:.0f} L",
        )


def _check_cells(table: Table, cell: float, sides: tuple[float, float, float]) -> None:
    if not all(math.isfinite(side) for side in (cell, *sides)):
        return
    fewest = limits.LEAST_CELLS_A_SIDE / limits.EDGE_OVER
    most = min(sides) / fewest
    if cell > most:
        found = Shown(units.say_length_cm(cell))
        allowed = f"at most {units.say_length_cm(most)}, so that {fewest:g} cells fit along the shortest side"
        table.problem("cell", found=found, allowed=allowed)
    cells = _count(cell, sides)
    if cells > limits.MOST_CELLS:
        edge = cell
        while _count(edge, sides) > limits.MOST_CELLS:
            edge += 0.5
        found = Shown(f"{units.say_length_cm(cell)}, which makes {cells} cells")
        allowed = f"larger cells, at most {limits.MOST_CELLS} of them"
        table.problem("cell", found=found, allowed=allowed, nearest=f"{edge:g} cm")


def _count(edge: float, sides: tuple[float, float, float]) -> int:
    return math.prod(math.ceil(side / edge) for side in sides)
