"""Draws of what nobody has measured: numbers placed evenly over their ranges, block by block of draws.

In each block of draws the range of every name is cut into as many equal parts, and each part is drawn from
once, in an order of the name's own: a Latin hypercube (McKay1979). Whatever adds up over the names is then
nearly the same in every block. A number is a function of seed, draw and name; there is no state, so a number
set by hand moves no other and further draws move none before them.
"""

from __future__ import annotations

from .random_numbers import generator

BLOCK = 8  # draws; blocks, not draws, are independent, and 16 left too few of them for narrow intervals


def placed(seed: int, draw: int, *name: str) -> float:
    """The number in [0, 1) of a name in a draw, each of its blocks' BLOCK equal parts hit once.

    Source: McKay1979.
    """
    block, place = divmod(draw, BLOCK)
    rng = generator(seed, "guess", "block", block, *name)
    return float((rng.permutation(BLOCK)[place] + rng.random(BLOCK)[place]) / BLOCK)
