"""Claims: the ground a fish has learnt, block by block; gained by being there, lost where it was beaten.

Borders, the edge of who was there first and the pull home all follow from this one table.
"""

from __future__ import annotations

import math

from ..fish.shoal import SWIMMING, Shoal
from ..tank.water import Water
from .support.compiled import index, lean, small
from .support.parameter_record import Parameters

HELD = 0.5  # from this claim on a place counts as held


@small
def claim_at(i: int, cell: int, tank: Water, shoal: Shoal) -> float:
    """Claim of fish i, or of its pair or group, to the block of a cell, 0 to 1; 0 where it defends nothing.

    Source: computed (definition).
    """
    ground = shoal.fish.ground[i]
    if ground < 0:
        return 0.0
    return shoal.claims[index(ground), index(tank.cells.block[index(cell)])]


@small
def stay(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """A fish that swims unharmed at a place for one look claims it more, the faster the more cover it has.

    Source: StampsKrishnan2001 (places where nothing happened to it attract a settler); assumption (the time).
    """
    ground = shoal.fish.ground[i]
    if ground < 0 or shoal.fish.doing[i] != SWIMMING:
        return
    cell = index(shoal.fish.cell[i])
    share = 1.0 - math.exp(-p.notice_s * (1.0 + tank.cells.cover[cell]) / p.claim_s)
    row, block = index(ground), index(tank.cells.block[cell])
    shoal.claims[row, block] += share * (1.0 - shoal.claims[row, block])


@lean
def fought_over(i: int, cell: int, share: float, to: float, tank: Water, shoal: Shoal) -> None:
    """The claims of fish i to a place, and to all blocks beside it, move by a share towards ``to``.

    Who is beaten or chased claims the place less, ``to`` 0; who wins a contest claims it more, ``to`` 1.

    Source: StampsKrishnan2001 (a fight punishes coming back to its place); assumption (the size; a winner
    gains as its opponent loses).
    """
    ground = shoal.fish.ground[i]
    if ground < 0:
        return
    here = tank.cells.block[cell]
    for k in range(27):
        block = tank.beside[here, k]
        if block >= 0:
            shoal.claims[ground, block] += share * (to - shoal.claims[ground, block])


@lean
def fade_claims(shoal: Shoal, p: Parameters, seconds: float) -> None:
    """All claims fade over a lit time, s: what is not patrolled is given up.

    Source: assumption.
    """
    kept = math.exp(-seconds / (3600.0 * p.claim_fade_h))
    for i in range(shoal.claims.shape[0]):
        for block in range(shoal.claims.shape[1]):
            shoal.claims[i, block] *= kept
