"""Flight: when to leave, where to, and what the flight costs of claims and trust."""

from __future__ import annotations

import math

from ..fish.shoal import FLEEING, FOR_HIDE, NOBODY, RETREATING, SHELTERED, SWIMMING, Shoal
from ..run.ledger import Ledger, count_chase
from ..tank.paths import FAR
from ..tank.water import Water
from .claims import fought_over
from .fright import fear, frighten, lesson, trust_left, trust_shaken
from .odds import IN_FULL, logistic, strength_odds
from .senses import bit, distance_cm, fish_in, fits, path_cm
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform


@lean
def is_held(i: int, refuge: int, tank: Water, shoal: Shoal) -> bool:
    """Whether a shelter is full, or the centre of a stronger fish that is no mate. Source: assumption."""
    if fish_in(refuge, shoal) >= tank.refuges.room[refuge]:
        return True
    for k in range(len(shoal.fish)):
        if (
            k != i
            and shoal.fish.present[k]
            and shoal.fish.centre[k] == refuge
            and shoal.pair.weight[k, i] > 0.0
        ):
            if strength_odds(i, k, IN_FULL, shoal) < 0.0:
                return True
    return False


@lean
def flight_cost_cm(i: int, refuge: int, chaser: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """What fleeing to a shelter costs, in cm of swimming, held or not; FAR where that is impossible.

    Source: assumption (all weights).
    """
    thirds = tank.path[refuge, shoal.fish.cell[i]]
    if thirds >= FAR or not fits(i, refuge, tank, shoal):
        return float(FAR)
    cost = path_cm(refuge, shoal.fish.cell[i], tank) - p.memory_cm * shoal.memory[i, refuge]
    if tank.refuges.corner[refuge]:
        cost += p.corner_cm
    if chaser >= 0:
        cell = shoal.fish.cell[chaser]
        if bit(tank.sight, cell, tank.refuges.cell[refuge]):
            cost += p.exposed_cm
        if tank.path[refuge, cell] < thirds:
            cost += p.exposed_cm
    return cost


@lean
def choose_refuge(i: int, chaser: int, shunned: int, tank: Water, shoal: Shoal, p: Parameters) -> int:
    """The cheapest shelter to flee to, other than ``shunned``; the lowest number wins a tie.

    Source: assumption.
    """
    best, best_cost = NOBODY, float(FAR)
    for refuge in range(len(tank.refuges.cell)):
        if refuge == shunned:
            continue
        cost = flight_cost_cm(i, refuge, chaser, tank, shoal, p)
        if cost < best_cost and is_held(i, refuge, tank, shoal):
            cost += p.held_cm
        if cost < best_cost:
            best, best_cost = refuge, cost
    return best


@lean
def leaves_now(i: int, chaser: int, refuge: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether a chased fish must leave now to reach its shelter with a constant time in hand.

    Source: Dill1990.
    """
    threat_s = distance_cm(shoal.fish.cell[i], shoal.fish.cell[chaser], tank) / shoal.fish.burst_cm_s[chaser]
    if refuge < 0:
        return True
    return threat_s <= path_cm(refuge, shoal.fish.cell[i], tank) / shoal.fish.burst_cm_s[i] + p.margin_s


@lean
def let_go(i: int, shoal: Shoal) -> None:
    """Whoever fish i was after is chased by it no longer. Source: assumption."""
    j = shoal.fish.target[i]
    if j >= 0 and shoal.fish.chaser[j] == i:
        shoal.fish.chaser[j] = NOBODY
    shoal.fish.target[i] = NOBODY


@lean
def flee(
    i: int, chaser: int, teaches: bool, tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger
) -> None:
    """Fish i flees from its chaser: this is what counts as a chase, once however often it is flushed out.

    The place it is driven from it claims less, unless a contest has just taught it so, and it trusts
    shelters beside it less.

    Source: Miklosi1997 (harassment teaches less than a finished fight); assumption (how much).
    """
    if teaches and not shoal.fish.counted[chaser]:
        chance = logistic(strength_odds(chaser, i, IN_FULL, shoal))
        lesson(chaser, i, p.chase_teaches, chance, shoal, p)
        fought_over(i, shoal.fish.cell[i], p.chase_teaches * p.claim_beaten, 0.0, tank, shoal)
    if not shoal.fish.counted[chaser]:
        trust_shaken(i, tank, shoal, p)
    refuge = choose_refuge(
        i, chaser, shoal.fish.refuge[i] if shoal.fish.doing[i] == SHELTERED else NOBODY, tank, shoal, p
    )
    shoal.fish.doing[i] = FLEEING
    shoal.fish.refuge[i] = refuge
    shoal.fish.chaser[i] = chaser
    let_go(i, shoal)
    if not shoal.fish.counted[chaser]:
        shoal.fish.counted[chaser] = True
        frighten(i, shoal, p)
        count_chase(chaser, i, tick, shoal, ledger)


@lean
def arrive(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """At the mouth of the shelter: in, or, where it is full, on to another one. Source: assumption."""
    refuge = shoal.fish.refuge[i]
    if fish_in(refuge, shoal) < tank.refuges.room[refuge]:
        shoal.fish.doing[i] = SHELTERED
        shoal.fish.chaser[i] = NOBODY
        return
    shoal.fish.refuge[i] = choose_refuge(i, shoal.fish.chaser[i], refuge, tank, shoal, p)
    if shoal.fish.refuge[i] < 0 or shoal.fish.cell[i] == tank.refuges.cell[shoal.fish.refuge[i]]:
        shoal.fish.doing[i] = SWIMMING
        shoal.fish.chaser[i] = NOBODY


@small
def come_out_rate(i: int, is_meal: bool, shoal: Shoal, p: Parameters) -> float:
    """Rate of leaving a shelter, 1/s: falls with fright and dominants near, grows with hunger and a meal.

    Source: assumption.
    """
    drive = p.out_hunger * (shoal.fish.hunger[i] - 0.5) - p.out_fright * fear(i, shoal)
    if is_meal:
        drive += p.out_hunger * shoal.fish.hunger[i]
    return p.out_rate_s * math.exp(drive - p.out_dominants * shoal.fish.dominants[i])


@small
def come_out(i: int, tick: int, is_meal: bool, shoal: Shoal, p: Parameters) -> None:
    """A sheltered fish comes out, or not; coming out unharmed builds trust in the shelter.

    Source: assumption.
    """
    rate = come_out_rate(i, is_meal, shoal, p)
    if happens(uniform(shoal.streams[i, FOR_HIDE], tick, 0), rate, p.notice_s):
        shoal.fish.doing[i] = SWIMMING
        trust_left(i, shoal.fish.refuge[i], shoal, p)


@small
def hide(i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """A frightened fish that sees a dominant makes for a shelter, unchased.

    Source: assumption.
    """
    dominants = shoal.fish.dominants[i]
    rate = p.hide_rate_s * min(1.0, fear(i, shoal)) * dominants / (1.0 + dominants)
    if not happens(uniform(shoal.streams[i, FOR_HIDE], tick, 0), rate, p.notice_s):
        return False
    refuge = choose_refuge(i, NOBODY, NOBODY, tank, shoal, p)
    if refuge < 0:
        return False
    shoal.fish.refuge[i] = refuge
    shoal.fish.doing[i] = RETREATING
    return True


@small
def calms_down(i: int, tick: int, shoal: Shoal, p: Parameters) -> bool:
    """Whether a fleeing fish whose chaser has given up stops fleeing before it reaches a shelter.

    A little frightened fish goes back to what it did after about as long as a chaser follows; a frightened
    one goes on.

    Source: assumption.
    """
    rate = math.exp(-p.out_fright * fear(i, shoal)) / p.chase_s
    return happens(uniform(shoal.streams[i, FOR_HIDE], tick, 1), rate, p.tick_s)
