"""Noticing: what a fish takes in every few seconds, all fish on the same picture."""

from __future__ import annotations

import math

from ..fish.shoal import BOXED, NOBODY, SHELTERED, SWIMMING, Shoal
from ..tank.paths import FAR
from ..tank.water import Water
from .claims import stay
from .contest import judged_odds
from .senses import sees
from .support.compiled import index, lean, small
from .support.parameter_record import Parameters
from .territory import keeps_centre, provocation, trespass

TRUSTED = 0.05  # a shelter trusted less than this draws nobody


@small
def home_of(i: int, tank: Water, shoal: Shoal) -> int:
    """Where a fish is drawn: its centre, else its most trusted shelter within reach, else the one used last.

    Source: assumption.
    """
    if shoal.fish.centre[i] >= 0:
        return shoal.fish.centre[i]
    best, best_trust = shoal.fish.refuge[i], TRUSTED
    here = index(shoal.fish.cell[i])
    for refuge in range(shoal.memory.shape[1]):
        if shoal.memory[i, refuge] > best_trust and tank.path[refuge, here] < FAR:
            best, best_trust = refuge, shoal.memory[i, refuge]
    return best


@small
def takes_in(i: int, shoal: Shoal) -> bool:
    """Whether fish i takes in what is in view at this look. Source: assumption."""
    doing = shoal.fish.doing[i]
    return shoal.fish.present[i] and (doing == SWIMMING or doing == SHELTERED or doing == BOXED)


@small
def begin_look(i: int, shoal: Shoal) -> None:
    """Nothing is in view yet. Source: computed (sums begin at 0)."""
    shoal.fish.provoked[i] = 0.0
    shoal.fish.dominants[i] = 0.0
    shoal.fish.pull_x[i] = 0.0
    shoal.fish.pull_y[i] = 0.0
    shoal.fish.pull_z[i] = 0.0


@small
def notice(i: int, j: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """Fish i takes in fish j, which is in view: its provocation, whether it is a dominant, where company is.

    A dominant is a fish that i judges to be clearly stronger; it counts by its temper, up to 1, and
    by how near it is against its radius for such as i.

    Source: LeiserItzkowitz (one response for several intruders); assumption.
    """
    if shoal.fish.doing[i] != SHELTERED and p.attack_rate_s > 0.0:
        shoal.fish.provoked[i] += provocation(i, j, tank, shoal, p)
    if (
        shoal.pair.weight[j, i] > 0.0
        and judged_odds(i, j, shoal.fish.cell[i], tank, shoal, p) < -p.stand_odds
    ):
        shoal.fish.dominants[i] += min(1.0, shoal.fish.temper[j]) * trespass(j, i, tank, shoal, p)
    if shoal.fish.company[i] > 0.0 and shoal.fish.species[j] == shoal.fish.species[i]:
        here, there = tank.cells[index(shoal.fish.cell[i])], tank.cells[index(shoal.fish.cell[j])]
        shoal.fish.pull_x[i] += there.x - here.x
        shoal.fish.pull_y[i] += there.y - here.y
        shoal.fish.pull_z[i] += there.z - here.z


@small
def end_look(i: int, shoal: Shoal, p: Parameters) -> None:
    """The way to company becomes a pull of its own length. Source: assumption."""
    x, y, z = shoal.fish.pull_x[i], shoal.fish.pull_y[i], shoal.fish.pull_z[i]
    length = math.sqrt(x * x + y * y + z * z)
    pull = 0.0 if length == 0.0 else p.company_pull * shoal.fish.company[i] / length
    shoal.fish.pull_x[i] = x * pull
    shoal.fish.pull_y[i] = y * pull
    shoal.fish.pull_z[i] = z * pull


@small
def look_round(tank: Water, shoal: Shoal, p: Parameters) -> None:
    """All fish take in who is in view, on the same picture; each two are looked at once, for both of them.

    Source: computed (sight is symmetric; every fish adds up the others in their order).
    """
    n = len(shoal.fish)
    for i in range(n):
        if takes_in(i, shoal):
            begin_look(i, shoal)
    for i in range(n):
        if not shoal.fish.present[i]:
            continue
        mine = takes_in(i, shoal)
        for j in range(i + 1, n):
            theirs = takes_in(j, shoal)
            if not shoal.fish.present[j] or not (mine or theirs) or not sees(i, j, tank, shoal):
                continue
            if mine:
                notice(i, j, tank, shoal, p)
            if theirs:
                notice(j, i, tank, shoal, p)
    for i in range(n):
        if takes_in(i, shoal):
            end_look(i, shoal, p)


@small
def look_home(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """At a look a fish claims the place where it is, keeps or loses its crevice, and knows where home is.

    Source: assumption.
    """
    stay(i, tank, shoal, p)
    keeps_centre(i, tank, shoal)
    shoal.fish.home[i] = home_of(i, tank, shoal)


@lean
def forget(i: int, shoal: Shoal) -> None:
    """A fish that is doing something else than resting or swimming drops what it was about; a box holds it.

    Source: assumption.
    """
    if shoal.fish.doing[i] != SHELTERED and shoal.fish.doing[i] != BOXED:
        shoal.fish.doing[i] = SWIMMING
    shoal.fish.target[i] = NOBODY
    shoal.fish.chaser[i] = NOBODY
    shoal.fish.resists[i] = False
