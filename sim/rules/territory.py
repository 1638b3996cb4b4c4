"""Territories: claiming a crevice as the centre, being at home, losing it; provocation by intruders."""

from __future__ import annotations

from ..fish.shoal import CONTESTING, FOR_CLAIM, NOBODY, SHELTERED, Shoal
from ..tank.water import Water
from .odds import strength_odds
from .senses import bit, fits, path_cm, square_cm2
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform


@small
def is_at_home(i: int, tank: Water, shoal: Shoal) -> bool:
    """Whether fish i owns a territory and is inside its core. Source: assumption."""
    return (
        shoal.fish.centre[i] >= 0
        and path_cm(shoal.fish.centre[i], shoal.fish.cell[i], tank) <= shoal.fish.core_cm[i]
    )


@small
def nearness(square: float, radius: float) -> float:
    """1 at the centre, one half at the radius, falling with the fourth power beyond it.

    It is asked for every fish in view: the square of the distance, cm2, spares a root.

    Source: MatsumotoKohda2004 (borders are sharp); Kohda1998 (the same); assumption (the shape).
    """
    sharp = radius * radius * radius * radius
    return sharp / (sharp + square * square)


@small
def provocation(i: int, j: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """How much fish j, in view, provokes fish i: its place in i's territory, or too close to i itself.

    Radii are nested (own kind the widest, then the same diet, then all others); a familiar
    neighbour provokes less; mates do not. Look-alikes weigh in the choice of target only.

    Source: Robinson1996; MatsumotoKohda2004; Kohda1998; Genner1999; assumption (individual distance).
    """
    weight = shoal.pair.weight[i, j]
    if weight == 0.0 or shoal.fish.doing[j] == CONTESTING:
        return 0.0
    if shoal.fish.doing[j] == SHELTERED and not fits(i, shoal.fish.refuge[j], tank, shoal):
        return 0.0
    radius = shoal.pair.radius_cm[i, j]
    square = square_cm2(shoal.fish.cell[i], shoal.fish.cell[j], tank)
    square /= p.individual_distance * p.individual_distance
    centre = shoal.fish.centre[i]
    if centre >= 0:
        way = path_cm(centre, shoal.fish.cell[j], tank)
        square = min(square, way * way)
    return nearness(square, radius) * weight * (1.0 - (1.0 - p.familiar_weight) * shoal.pair.familiar[i, j])


@lean
def worth_of_site(i: int, refuge: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """What a crevice is worth to fish i as a centre: hidden and deep, with few stronger owners near.

    Source: MarkertArnegard2007 (caves; only large males hold the best); KohdaTanida1996
    (similar owners keep apart, others overlap); assumption (the weights).
    """
    cell = tank.refuges.cell[refuge]
    worth = tank.cells.cover[cell] + tank.refuges.depth_cm[refuge] / 30.0
    for k in range(len(shoal.fish)):
        if k == i or not shoal.fish.present[k] or shoal.fish.centre[k] < 0 or shoal.pair.weight[k, i] == 0.0:
            continue
        if strength_odds(i, k, p.known_experience, shoal) < 0.0:
            way = path_cm(shoal.fish.centre[k], cell, tank)
            worth -= p.claim_rivals * nearness(way * way, shoal.pair.radius_cm[k, i])
    return worth


@lean
def is_owned(refuge: int, shoal: Shoal) -> bool:
    """Whether some fish has its centre there. Source: computed (counting)."""
    for k in range(len(shoal.fish)):
        if shoal.fish.present[k] and shoal.fish.centre[k] == refuge:
            return True
    return False


@lean
def claim_territory(i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """Now and then, a capable fish without a centre claims the best unowned crevice in view.

    Source: MarkertArnegard2007; Hofmann1999 (where sites are few most males go without); assumption.
    """
    stream = shoal.streams[i, FOR_CLAIM]
    if not happens(uniform(stream, tick, 0), 1.0 / p.claim_s, p.notice_s):
        return
    best, best_worth = NOBODY, 0.0
    for refuge in range(len(tank.refuges.cell)):
        if tank.refuges.corner[refuge] or not fits(i, refuge, tank, shoal):
            continue
        if not bit(tank.sight, shoal.fish.cell[i], tank.refuges.cell[refuge]) or is_owned(refuge, shoal):
            continue
        worth = worth_of_site(i, refuge, tank, shoal, p)
        if worth > best_worth:
            best, best_worth = refuge, worth
    if best >= 0:
        settle_at(i, best, shoal)


@lean
def settle_at(i: int, refuge: int, shoal: Shoal) -> None:
    """Make a crevice the centre of fish i and of its pair or group. Source: assumption."""
    shoal.fish.centre[i] = refuge
    if shoal.fish.bond[i] < 0:
        return
    for k in range(len(shoal.fish)):
        if shoal.fish.present[k] and shoal.fish.bond[k] == shoal.fish.bond[i]:
            shoal.fish.centre[k] = refuge


@lean
def leave_territory(i: int, shoal: Shoal) -> int:
    """Fish i, and its pair or group with it, owns no territory any more; returns what it was.

    A pair or group holds its territory as long as its leader does: a mate that is driven off
    comes back to it, and NOBODY is returned.

    Source: assumption.
    """
    if not shoal.fish.leads[i]:
        return NOBODY
    refuge = shoal.fish.centre[i]
    shoal.fish.centre[i] = NOBODY
    if shoal.fish.bond[i] >= 0:
        for k in range(len(shoal.fish)):
            if shoal.fish.bond[k] == shoal.fish.bond[i]:
                shoal.fish.centre[k] = NOBODY
    return refuge
