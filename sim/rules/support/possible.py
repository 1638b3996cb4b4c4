"""Values of parameters that published work does not rule out, to be drawn from instead of whole ranges.

``possible.csv`` is made by ``python -m rockshy.analysis.evidence.possible``: a column a drawn parameter, a
row a draw, in blocks of BLOCK rows spread evenly over what is left.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources

from .draws import BLOCK
from .random_numbers import generator

FILE = "possible.csv"


@cache
def table() -> tuple[tuple[str, ...], tuple[tuple[float, ...], ...]]:
    """Names of the parameters, and a row of values a draw."""
    text = resources.files(__package__.rpartition(".")[0]).joinpath(FILE).read_text(encoding="utf-8")
    head, *rows = text.splitlines()
    return tuple(head.split(",")), tuple(tuple(map(float, row.split(","))) for row in rows)


def possible(seed: int, draw: int) -> Mapping[str, float]:
    """The values of a draw by parameter name.

    Each seed takes the blocks in an order of its own, and they come round again when all were taken.

    Source: VernonEtAl2010; GrimmRailsback2012.
    """
    names, rows = table()
    block, place = divmod(draw, BLOCK)
    blocks = len(rows) // BLOCK
    order = generator(seed, "possible").permutation(blocks)
    return dict(zip(names, rows[BLOCK * int(order[block % blocks]) + place], strict=True))
