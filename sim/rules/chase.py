"""Chase: following, biting, meeting a fish that stands, giving up."""

from __future__ import annotations

from ..fish.shoal import CONTESTING, FLEEING, FOR_CHASE, NOBODY, SHELTERED, SWIMMING, Shoal
from ..run.ledger import Ledger, count_bite
from ..tank.water import Water
from .claims import claim_at
from .contest import begin_contest
from .flight import choose_refuge, flee, leaves_now, let_go
from .senses import distance_cm, fits, sees
from .support.compiled import lean
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform


@lean
def break_off(i: int, shoal: Shoal) -> None:
    """Fish i stops chasing. Source: assumption."""
    let_go(i, shoal)
    shoal.fish.doing[i] = SWIMMING
    shoal.fish.resists[i] = False


@lean
def can_follow(i: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether chaser i still has its target in view, not safely in a hole and not driven off its ground.

    A chaser on its own ground turns back where that ends; one that is off it follows as long as it likes.

    Source: assumption.
    """
    j = shoal.fish.target[i]
    if not shoal.fish.present[j] or not sees(i, j, tank, shoal):
        return False
    if shoal.fish.doing[j] == SHELTERED and not fits(i, shoal.fish.refuge[j], tank, shoal):
        return False
    if shoal.fish.doing[j] == CONTESTING:
        return False
    tolerated = shoal.pair.tolerated[i, j]
    on_own_ground = claim_at(i, shoal.fish.cell[i], tank, shoal) > tolerated
    return not on_own_ground or claim_at(i, shoal.fish.cell[j], tank, shoal) > tolerated


@lean
def gives_up(i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether chaser i gives up in this tick. Source: assumption."""
    if happens(uniform(shoal.streams[i, FOR_CHASE], tick, 0), 1.0 / p.chase_s, p.tick_s):
        return True
    return not can_follow(i, tank, shoal, p)


@lean
def is_in_reach(i: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether the target of fish i is within reach of a bite. Source: assumption."""
    cell = shoal.fish.cell[shoal.fish.target[i]]
    return distance_cm(shoal.fish.cell[i], cell, tank) <= p.reach_lengths * shoal.fish.length_cm[i]


@lean
def press(
    i: int, tick: int, sub_step: int, seconds: float, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger
) -> None:
    """Within a sub-step: the target leaves in time, stands and is met, or is bitten when in reach.

    Source: Dill1990 (when it leaves); assumption (bites).
    """
    j = shoal.fish.target[i]
    if not can_follow(i, tank, shoal, p):
        break_off(i, shoal)
        return
    in_reach = is_in_reach(i, tank, shoal, p)
    if shoal.fish.resists[i]:
        if in_reach and shoal.fish.doing[j] != FLEEING:
            begin_contest(i, j, tick, shoal)
        return
    if shoal.fish.doing[j] != FLEEING or shoal.fish.chaser[j] != i:
        refuge = choose_refuge(j, i, NOBODY, tank, shoal, p)
        if in_reach or leaves_now(j, i, refuge, tank, shoal, p):
            flee(j, i, True, tick, tank, shoal, p, ledger)
        return
    draw = uniform(shoal.streams[i, FOR_CHASE], tick, 1 + sub_step)
    if in_reach and happens(draw, p.bite_rate_s, seconds):
        count_bite(i, j, tick, shoal, ledger)
