"""Territories: who trespasses on whose ground; the crevice at the centre of it, taken and lost."""

from __future__ import annotations

from ..fish.shoal import CONTESTING, NOBODY, SHELTERED, Shoal
from ..tank.paths import FAR
from ..tank.water import Water
from .claims import HELD, claim_at
from .senses import apart, fits, square_cm2
from .support.compiled import lean, small
from .support.parameter_record import Parameters


@small
def nearness(square: float, radius: float) -> float:
    """1 beside it, one half at the radius, falling with the fourth power beyond it.

    It is asked for every fish in view: the square of the distance, cm2, spares a root.

    Source: MatsumotoKohda2004 (borders are sharp); Kohda1998 (the same); assumption (the shape).
    """
    sharp = radius * radius * radius * radius
    return sharp / (sharp + square * square)


@small
def trespass(i: int, j: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """How far fish j is on ground that fish i claims, or too close to i itself, 0 to 1.

    On its ground a fish minds another the more, the more it claims the place beyond what it tolerates,
    and the nearer it is itself. Near by it minds it anywhere.

    Source: Robinson1996; MatsumotoKohda2004; Kohda1998; Genner1999 (own kind is minded from farther, then
    the same diet); assumption (individual distance; shapes).
    """
    radius = shoal.pair.radius_cm[i, j]
    square = square_cm2(shoal.fish.cell[i], shoal.fish.cell[j], tank)
    close = nearness(square, p.individual_distance * radius)
    tolerated = shoal.pair.tolerated[i, j]
    claim = claim_at(i, shoal.fish.cell[j], tank, shoal)
    if claim <= tolerated:
        return close
    return max(close, nearness(square, radius) * (claim - tolerated) / (1.0 - tolerated))


@small
def provocation(i: int, j: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """How much fish j, in view, provokes fish i: by where it is, and by what it is.

    Mates do not; nor does a fish in a contest, nor one in a hole that i does not fit into. Look-alikes
    weigh in the choice of target only.

    Source: Robinson1996; MatsumotoKohda2004; Kohda1998; Genner1999; assumption.
    """
    weight = shoal.pair.weight[i, j]
    if weight == 0.0 or shoal.fish.doing[j] == CONTESTING:
        return 0.0
    if shoal.fish.doing[j] == SHELTERED and not fits(i, shoal.fish.refuge[j], tank, shoal):
        return 0.0
    return trespass(i, j, tank, shoal, p) * weight


@lean
def keeps_centre(i: int, tank: Water, shoal: Shoal) -> None:
    """An owner whose claim to its crevice is no longer the strongest, or no longer holds it, owns it no more.

    Source: assumption.
    """
    centre = shoal.fish.centre[i]
    if centre >= 0 and shoal.fish.ground[i] == i and not claims_most(i, centre, tank, shoal):
        settle_at(i, NOBODY, shoal)


@lean
def claims_most(i: int, refuge: int, tank: Water, shoal: Shoal) -> bool:
    """Whether fish i holds the place of a crevice that nobody else owns or has a stronger claim to.

    Source: assumption.
    """
    cell = tank.refuges.cell[refuge]
    mine = claim_at(i, cell, tank, shoal)
    if mine < HELD:
        return False
    for k in range(len(shoal.fish)):
        if not shoal.fish.present[k] or shoal.fish.ground[k] == i or apart(i, k, shoal):
            continue
        owned = shoal.fish.centre[k] == refuge and shoal.fish.centre[i] != refuge
        if owned or claim_at(k, cell, tank, shoal) > mine:
            return False
    return True


@lean
def take_centre(i: int, tank: Water, shoal: Shoal) -> None:
    """The deepest crevice that fish i fits into and claims more than anybody becomes its centre.

    Source: MarkertArnegard2007; Hofmann1999 (where sites are few most males go without); assumption.
    """
    best, deepest = NOBODY, 0.0
    for refuge in range(len(tank.refuges.cell)):
        if tank.refuges.corner[refuge] or tank.refuges.depth_cm[refuge] <= deepest:
            continue
        if claim_at(i, tank.refuges.cell[refuge], tank, shoal) < HELD or not fits(i, refuge, tank, shoal):
            continue
        if tank.path[refuge, shoal.fish.cell[i]] < FAR and claims_most(i, refuge, tank, shoal):
            best, deepest = refuge, tank.refuges.depth_cm[refuge]
    if best >= 0:
        settle_at(i, best, shoal)


@lean
def settle_at(i: int, refuge: int, shoal: Shoal) -> None:
    """Make a crevice the centre of fish i and of its pair or group; NOBODY: it has none.

    Source: assumption.
    """
    shoal.fish.centre[i] = refuge
    if shoal.fish.bond[i] < 0:
        return
    for k in range(len(shoal.fish)):
        if shoal.fish.present[k] and shoal.fish.bond[k] == shoal.fish.bond[i]:
            shoal.fish.centre[k] = refuge
