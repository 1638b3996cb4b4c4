"""Attack: how often, against whom, and whether it is an approach or only a display."""

from __future__ import annotations

import math

from ..fish.shoal import CHASING, FOR_ATTACK, FOR_STAND, FOR_TARGET, NOBODY, SHELTERED, SWIMMING, Shoal
from ..run.ledger import Ledger, count_attack, count_display
from ..tank.water import Water
from .contest import judged_odds
from .odds import logistic, strength_odds
from .senses import apart, in_crevice, sees
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform
from .territory import provocation


@small
def attack_rate(i: int, shoal: Shoal, p: Parameters) -> float:
    """Rate at which fish i attacks, 1/s: saturates in the provocation in view, less when frightened.

    Colour has no part in it (Pauers2008). Several intruders share one owner's attention (LeiserItzkowitz).

    Source: Pauers2008; LeiserItzkowitz; Karino1998; assumption (shape and size).
    """
    provoked = shoal.fish.provoked[i]
    if provoked <= 0.0:
        return 0.0
    readiness = shoal.fish.temper[i] * max(0.0, 1.0 - shoal.fish.fright[i])
    return p.attack_rate_s * readiness * provoked / (provoked + p.provocation_half)


@lean
def choose_target(i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> int:
    """One of the fish in view, in proportion to provocation times look-alike weight.

    Source: Pauers2008.
    """
    stream = shoal.streams[i, FOR_TARGET]
    chosen = NOBODY
    total = 0.0
    for j in range(len(shoal.fish)):
        if j == i or not shoal.fish.present[j] or not sees(i, j, tank, shoal):
            continue
        w = provocation(i, j, tank, shoal, p) * shoal.pair.choice[i, j]
        if w <= 0.0:
            continue
        total += w
        if uniform(stream, tick, j) * total < w:
            chosen = j
    return chosen


@lean
def lets_be(i: int, j: int, tick: int, shoal: Shoal, p: Parameters) -> bool:
    """Whether fish i lets fish j be, one of its own kind that gives way to it anyhow: no rival.

    The surer j itself is of losing, by size, experience and what it remembers of i, the rarer it is attacked.
    Fish of another kind are not let be: they are chased for where they are and not as rivals.

    Source: assumption.
    """
    if shoal.fish.species[i] != shoal.fish.species[j]:
        return False
    yields = -strength_odds(j, i, p.known_experience, shoal) - shoal.pair.standing[j, i]
    return uniform(shoal.streams[i, FOR_TARGET], tick, 4001) >= math.exp(-max(0.0, yields) / p.let_be_odds)


@lean
def goes_for_it(i: int, j: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether fish i approaches fish j; one that judges itself weaker only displays.

    Source: Kohda1991; assumption (the threshold).
    """
    chance = logistic(judged_odds(i, j, shoal.fish.cell[j], tank, shoal, p) + p.attack_odds)
    return uniform(shoal.streams[i, FOR_TARGET], tick, 4000) < chance


@lean
def stands_ground(j: int, i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters) -> bool:
    """Whether fish j, approached by i, stands its ground: unless the odds are clearly against it.

    A stranger has the benefit of the doubt; a fish that has lost to this very one knows better.

    Source: KadryBarreto2010 (strangers in bare tanks all fight); Hotta2014 (losers give way to the fish that
    beat them, not to strangers); assumption (the threshold; doubt that goes as the odds of winning do).
    """
    if shoal.fish.doing[j] == CHASING and shoal.fish.target[j] == i:
        return True
    if shoal.fish.doing[j] != SWIMMING or in_crevice(j, tank, shoal):
        return False
    doubt = p.stand_odds * math.exp(shoal.pair.standing[j, i])
    chance = logistic(judged_odds(j, i, shoal.fish.cell[j], tank, shoal, p) + doubt)
    return uniform(shoal.streams[j, FOR_STAND], tick, 0) < chance


@small
def attack(i: int, tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger, rate: float) -> bool:
    """Perhaps start an attack, at a rate in 1/s; returns whether fish i is now on its way to another.

    Through a divider or the wall of a box it only displays.

    Source: assumption (the chance at each look; more in the rules it calls).
    """
    if rate <= 0.0:
        return False
    if not happens(uniform(shoal.streams[i, FOR_ATTACK], tick, 0), rate, p.notice_s):
        return False
    j = choose_target(i, tick, tank, shoal, p)
    if j < 0:
        return False
    if lets_be(i, j, tick, shoal, p):
        return False
    if apart(i, j, shoal) or not goes_for_it(i, j, tick, tank, shoal, p):
        count_display(i, j, tick, shoal, ledger)
        return False
    count_attack(i, j, tick, shoal, ledger)
    shoal.fish.doing[i] = CHASING
    shoal.fish.target[i] = j
    shoal.fish.counted[i] = False
    shoal.fish.resists[i] = shoal.fish.doing[j] != SHELTERED and stands_ground(j, i, tick, tank, shoal, p)
    return True
