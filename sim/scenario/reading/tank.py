"""The [tank] table."""

from __future__ import annotations

import math

from .. import units
from ..scenario import TankSpec
from . import limits
from .problems import OwnWords
from .tables import Table


def read_tank(table: Table) -> TankSpec:
    """The tank; sides within the limits, volume and cells checked against them."""
    length = table.amount("length")
    width = table.amount("front_to_back")
    height = table.amount("height")
    water = _water_level(table, height)
    _check_volume(table, length, width, height, water)
    cell = table.amount("cell")
    _check_cells(table, cell, (length, width, water))
    spec = TankSpec(
        length_cm=length,
        width_cm=width,
        height_cm=height,
        water_cm=water,
        temperature_c=table.amount("temperature"),
        cell_cm=cell,
        temperature_effect=table.flag("temperature_effect"),
    )
    table.close()
    return spec


def _water_level(table: Table, height: float) -> float:
    water = table.amount("water_level", default=height - limits.BELOW_RIM_CM)
    return water if table.at_most("water_level", water, height, "the tank's height") else math.nan


def _check_volume(table: Table, length: float, width: float, height: float, water: float) -> None:
    if "volume" not in table:
        return
    volume = table.amount("volume")
    low = length * width * water / 1000.0 * (1 - limits.VOLUME_TOLERANCE)
    high = length * width * height / 1000.0 * (1 + limits.VOLUME_TOLERANCE)
    if volume < low or volume > high:
        percent = f"{limits.VOLUME_TOLERANCE:.0%}".replace("%", " %")
        table.problem(
            "volume",
            found=OwnWords(f"{units.say_volume_l(volume)}, which does not go with the sides"),
            allowed=f"from {units.say_volume_l(low)} to {units.say_volume_l(high)}: from {percent} below the "
            f"volume up to the water level to {percent} above the volume up to the rim",
            nearest=f"{length * width * height / 1000.0:.0f} L",
        )


def _check_cells(table: Table, cell: float, sides: tuple[float, float, float]) -> None:
    if not all(math.isfinite(side) for side in (cell, *sides)):
        return
    fewest = limits.LEAST_CELLS_A_SIDE / limits.EDGE_OVER
    most = min(sides) / fewest
    if cell > most:
        table.problem(
            "cell",
            found=OwnWords(units.say_length_cm(cell)),
            allowed=f"at most {units.say_length_cm(most)}: {fewest:g} cells along the shortest side",
        )
    cells = _count(cell, sides)
    if cells > limits.MOST_CELLS:
        edge = cell
        while _count(edge, sides) > limits.MOST_CELLS:
            edge += 0.5
        table.problem(
            "cell",
            found=OwnWords(f"{units.say_length_cm(cell)}, which makes {cells} cells"),
            allowed=f"an edge that makes at most {limits.MOST_CELLS} cells",
            nearest=f"{edge:g} cm",
        )


def _count(edge: float, sides: tuple[float, float, float]) -> int:
    return math.prod(math.ceil(side / edge) for side in sides)
