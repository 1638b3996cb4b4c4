"""Reading a scale file back, every problem at once."""

from __future__ import annotations

import math
from pathlib import Path

from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.reading.limits import LONGEST_TITLE, Limit
from ....sim.scenario.reading.problems import Book, OwnWords, printable
from ....sim.scenario.reading.tables import Table
from ....sim.scenario.reading.toml import read_file, read_toml
from ....sim.scenario.units import UnitError, number
from .scale import Scale

_FACTOR = Limit(1e-4, 1e4, "number")
_COUNT = Limit(0, 1e7, "number")
_MOST_STOCK = 200


def load_scale(path: str | Path) -> Scale:
    """Read and check a scale file; raises ScenarioError with every problem of it."""
    path = Path(path)
    values, lines = read_toml(read_file(path), path.name)
    book = Book(lines)
    scale = _read(Table(values, place=(), book=book))
    if book.problems:
        raise ScenarioError(path.name, book.problems)
    return scale


def _read(table: Table) -> Scale:
    own, tank = table.table("scale"), table.table("tank")
    if "scale" not in table:
        table.problem("scale", allowed="a file that rockshy sheet --read ... --scale wrote")
        table.close()
        return Scale(*[math.nan] * 9)  # type: ignore[arg-type]
    factor, low, high = (own.amount(key, limit=_FACTOR) for key in ("factor", "low", "high"))
    if low > factor or factor > high:
        found = OwnWords(f"low is {low:g}, factor {factor:g}, high {high:g}")
        own.problem("factor", found=found, allowed="a factor between low and high")
    chases, minutes, watches, expected, tanks = (
        own.amount(key, limit=_COUNT) for key in ("chases", "minutes", "watches", "expected", "tanks")
    )
    over = own.amount("overdispersion", default=0.0, limit=_COUNT)
    title = tank.text("title", default="", longest=LONGEST_TITLE)
    scale = Scale(
        factor, low, high, _whole(chases), minutes, _whole(watches), expected, _whole(tanks), over, title,
        _stock(tank), _sides(tank),
    )  # fmt: skip
    for one in (own, tank, table):
        one.close()
    return scale


def _whole(value: float) -> int:
    return 0 if math.isnan(value) else int(value)


def _stock(tank: Table) -> tuple[str, ...]:
    value = tank.raw("stock")
    if (
        isinstance(value, list)
        and 0 < len(value) <= _MOST_STOCK
        and all(isinstance(one, str) for one in value)
    ):
        return tuple(map(printable, value))
    example = "Tropheus duboisi: 2 male, 4 female"
    tank.problem("stock", allowed=f'a list of at most {_MOST_STOCK} texts such as "{example}"')
    return ()


def _sides(tank: Table) -> tuple[float, float, float]:
    value = tank.raw("tank_cm")
    try:
        length, width, height = map(number, value if isinstance(value, list) else ())
        if min(length, width, height) > 0:
            return length, width, height
    except (UnitError, ValueError):  # also where there are not three
        pass
    tank.problem("tank_cm", allowed="length, width and height in cm, such as [120, 50, 50]")
    return 0.0, 0.0, 0.0
