"""Noticing: what a fish takes in every few seconds, all fish on the same picture."""

from __future__ import annotations

import math

from ..fish.shoal import NOBODY, SHELTERED, SWIMMING, Shoal
from ..tank.water import Water
from .claims import stay
from .contest import judged_odds
from .senses import sees
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .territory import keeps_centre, provocation, trespass

TRUSTED = 0.05  # a shelter trusted less than this draws nobody


@small
def home_of(i: int, shoal: Shoal) -> int:
    """Where a fish is drawn: its centre, else its most trusted shelter, else the one it used last.

    Source: assumption.
    """
    if shoal.fish.centre[i] >= 0:
        return shoal.fish.centre[i]
    best, best_trust = shoal.fish.refuge[i], TRUSTED
    for refuge in range(shoal.memory.shape[1]):
        if shoal.memory[i, refuge] > best_trust:
            best, best_trust = refuge, shoal.memory[i, refuge]
    return best


@small
def notice(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """Sum the provocation in view, count the dominants in view, and see where company is.

    A dominant is a fish that i judges to be clearly stronger; it counts by its temper, up to 1, and
    by how near it is against its radius for such as i.

    Source: LeiserItzkowitz (one response for several intruders); assumption.
    """
    provoked = 0.0
    dominants = 0.0
    x = y = z = 0.0
    looks_for_trouble = shoal.fish.doing[i] == SWIMMING and p.attack_rate_s > 0.0
    for j in range(len(shoal.fish)):
        if j == i or not shoal.fish.present[j] or not sees(i, j, tank, shoal):
            continue
        if looks_for_trouble:
            provoked += provocation(i, j, tank, shoal, p)
        if (
            shoal.pair.weight[j, i] > 0.0
            and judged_odds(i, j, shoal.fish.cell[i], tank, shoal, p) < -p.stand_odds
        ):
            dominants += min(1.0, shoal.fish.temper[j]) * trespass(j, i, tank, shoal, p)
        if shoal.fish.company[i] > 0.0 and shoal.fish.species[j] == shoal.fish.species[i]:
            x += tank.cells.x[shoal.fish.cell[j]] - tank.cells.x[shoal.fish.cell[i]]
            y += tank.cells.y[shoal.fish.cell[j]] - tank.cells.y[shoal.fish.cell[i]]
            z += tank.cells.z[shoal.fish.cell[j]] - tank.cells.z[shoal.fish.cell[i]]
    shoal.fish.provoked[i] = provoked
    shoal.fish.dominants[i] = dominants
    length = math.sqrt(x * x + y * y + z * z)
    pull = 0.0 if length == 0.0 else p.company_pull * shoal.fish.company[i] / length
    shoal.fish.pull_x[i] = x * pull
    shoal.fish.pull_y[i] = y * pull
    shoal.fish.pull_z[i] = z * pull


@small
def look_home(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """At a look a fish claims the place where it is, keeps or loses its crevice, and knows where home is.

    Source: assumption.
    """
    stay(i, tank, shoal, p)
    keeps_centre(i, tank, shoal)
    shoal.fish.home[i] = home_of(i, shoal)


@lean
def forget(i: int, shoal: Shoal) -> None:
    """A fish that is doing something else than resting or swimming drops what it was about.

    Source: assumption.
    """
    if shoal.fish.doing[i] != SHELTERED:
        shoal.fish.doing[i] = SWIMMING
    shoal.fish.target[i] = NOBODY
    shoal.fish.chaser[i] = NOBODY
    shoal.fish.resists[i] = False
