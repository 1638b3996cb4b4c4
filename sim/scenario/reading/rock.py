"""The [rock] table: cover or a sketch, crevices, and objects to hide behind."""

from __future__ import annotations

import math
from dataclasses import replace

from ..scenario import CreviceSpec, ObjectSpec, RockSpec, TankSpec
from ..timeline import RockAnew
from . import limits
from .limits import LIMITS
from .problems import OwnWords, Shown
from .tables import Table

RESCAPE = "rescape_day"
_ONLY_WITHOUT_SKETCH = ("cover", "height", "piles")


def read_rock(table: Table, tank: TankSpec) -> tuple[RockSpec, tuple[RockAnew, ...]]:
    """The rock, crevices and objects; all inside the tank and with water left. And when it is laid anew."""
    before = len(table.book.problems)
    spec = _read_sketch(table, tank) if "sketch" in table else _read_cover(table, tank)
    listed = "crevice" in table
    crevices = tuple(_read_crevice(row, tank) for row in _few(table, "crevice", limits.MOST_CREVICES))
    objects = tuple(_read_object(row, tank) for row in _few(table, "object", limits.MOST_OBJECTS))
    day = table.amount(RESCAPE) if RESCAPE in table else math.nan
    anew = () if math.isnan(day) else (RockAnew(day=day, place=(*table.at, RESCAPE)),)
    table.close()
    if len(table.book.problems) == before:
        _check_water_left(table, replace(spec, objects=objects), tank)
    return replace(spec, crevices=crevices if listed else None, objects=objects), anew


def _read_cover(table: Table, tank: TankSpec) -> RockSpec:
    for key in ("height", "piles"):
        if key in table and "cover" not in table:
            table.problem("cover", allowed=f"{LIMITS['rock.cover'].say()}, or a sketch")
            break
    cover = table.amount("cover")
    usual = tank.water_cm - limits.BELOW_SURFACE_CM
    height = table.amount("height", default=usual if cover > 0 else 0.0)
    table.at_most("height", height, tank.height_cm, "the tank's height")
    if cover > 0 and height == 0:
        table.problem("height", allowed="more than 0: rock covers part of the floor")
    if "sketch_step" in table:
        table.problem("sketch_step", allowed="it only with a sketch")
    return RockSpec(
        cover=cover, height_cm=height, piles=table.whole("piles"), piece_cm=table.amount("piece_size")
    )


def _read_sketch(table: Table, tank: TankSpec) -> RockSpec:
    for key in _ONLY_WITHOUT_SKETCH:
        if key in table:
            table.problem(key, allowed="a sketch, or cover, height and piles, not both")
    step = table.amount("sketch_step")
    rows = _sketch_rows(table)
    for number, row in enumerate(rows):
        highest = max((int(digit) for digit in row), default=0) * step
        if highest > tank.height_cm:
            table.book.add(
                (*table.at, "sketch", number),
                found=Shown(f'"{row}", rock {highest:g} cm high in steps of {step:g} cm'),
                allowed=f"rock no higher than the tank ({tank.height_cm:g} cm)",
            )
    return RockSpec(sketch=rows, sketch_step_cm=step, piece_cm=table.amount("piece_size"))


def _sketch_rows(table: Table) -> tuple[str, ...]:
    """Rows of digits, blanks taken out; () when bad."""
    allowed = (
        f'rows of digits of equal length, such as ["0012", "0010"], the back of the tank first; '
        f"at most {limits.MOST_SKETCH} rows of {limits.MOST_SKETCH} digits"
    )
    value = table.raw("sketch")
    lines = value.split("\n") if isinstance(value, str) else value
    if not isinstance(lines, list) or not lines or len(lines) > limits.MOST_SKETCH:
        table.problem("sketch", allowed=allowed)
        return ()
    rows: list[str] = []
    for number, line in enumerate(lines):
        row = "".join(line.split()) if isinstance(line, str) else ""
        if isinstance(value, str) and not row:
            continue  # a text over several lines may begin and end with an empty one
        good = row.isascii() and row.isdigit() and len(row) <= limits.MOST_SKETCH
        if not good or (rows and len(row) != len(rows[0])):
            table.book.add((*table.at, "sketch", number), found=line, allowed=allowed)
            return ()
        rows.append(row)
    if not rows:
        table.problem("sketch", allowed=allowed)
    return tuple(rows)


def _few(table: Table, key: str, most: int) -> list[Table]:
    rows = table.rows(key)
    if len(rows) > most:
        table.problem(key, allowed=f"at most {most}")
    return rows[:most]


def _read_crevice(row: Table, tank: TankSpec) -> CreviceSpec:
    spec = CreviceSpec(**row.part())
    row.at_most("from_left", spec.x_cm, tank.length_cm, "the tank's length")
    row.at_most("from_front", spec.y_cm, tank.width_cm, "the tank front to back")
    row.at_most("above_base", spec.z_cm, tank.water_cm, "the water level")
    row.close()
    return spec


def _read_object(row: Table, tank: TankSpec) -> ObjectSpec:
    spec = ObjectSpec(kind=row.word("kind", choices=limits.OBJECT_KINDS), **row.part("kind"))
    row.at_most("above_base", spec.z_cm, tank.water_cm, "the water level")
    for key, start, size, most, side in (
        ("length", spec.x_cm, spec.length_cm, tank.length_cm, "the tank's length"),
        ("front_to_back", spec.y_cm, spec.width_cm, tank.width_cm, "the tank front to back"),
        ("height", spec.z_cm, spec.height_cm, tank.height_cm, "the tank's height"),
    ):
        if start + size > most:
            row.problem(
                key,
                found=OwnWords(f"it ends at {start:g} + {size:g} = {start + size:.4g} cm"),
                allowed=f"a place and size that end within {most:.4g} cm, {side}",
            )
    row.close()
    return spec


def water_left(rock: RockSpec, tank: TankSpec) -> float:
    """Share of the water that rock, wood and filter leave; nan where a side of the tank is bad.

    Rock is counted as upright blocks and objects in full, so what is left is never overstated.
    """
    water = tank.water_cm
    if rock.sketch:
        digits = [int(digit) for row in rock.sketch for digit in row]
        stone = sum(min(digit * rock.sketch_step_cm, water) for digit in digits) / (len(digits) * water)
    else:
        stone = rock.cover * min(rock.height_cm, water) / water
    boxes = sum(
        one.length_cm * one.width_cm * max(0.0, min(one.z_cm + one.height_cm, water) - one.z_cm)
        for one in rock.objects
    )
    return 1.0 - stone - boxes / (tank.length_cm * tank.width_cm * water)


def _check_water_left(table: Table, rock: RockSpec, tank: TankSpec) -> None:
    left = water_left(rock, tank)
    if left < limits.LEAST_WATER:
        found = OwnWords(f"rock, wood and filter leave {100 * max(0.0, left):.0f} % of the water")
        allowed = f"less, so that at least {100 * limits.LEAST_WATER:.0f} % of the water is left"
        table.book.add(table.at, found=found, allowed=allowed)
