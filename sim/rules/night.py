"""Night in one step: fish rest, fright and experience fade, hunger grows, others are half forgotten."""

from __future__ import annotations

import numpy as np

from ..fish.shoal import BOXED, SHELTERED, Shoal
from ..tank.paths import FAR
from ..tank.water import Water
from .feed import get_hungry, hunger_share
from .fright import fade
from .notice import forget, home_of
from .senses import fish_in, fits
from .support.compiled import lean, rule
from .support.parameter_record import Parameters


@lean
def rest(i: int, tank: Water, shoal: Shoal) -> None:
    """A fish spends the night in its home where that fits and has room, else where it is.

    Source: common practice (no source; rock dwellers sleep among the rocks).
    """
    forget(i, shoal)
    if shoal.fish.doing[i] == SHELTERED or shoal.fish.doing[i] == BOXED:
        return
    home = home_of(i, tank, shoal)
    if home < 0 or tank.path[home, shoal.fish.cell[i]] >= FAR or not fits(i, home, tank, shoal):
        return
    if fish_in(home, shoal) < tank.refuges.room[home]:
        shoal.fish.doing[i] = SHELTERED
        shoal.fish.refuge[i] = home
        shoal.fish.cell[i] = tank.refuges.cell[home]


@rule
def night(tank: Water, shoal: Shoal, p: Parameters, seconds: float) -> None:
    """Everything that happens in the dark; the longest fish choose their place first.

    Source: BarretoVolpato2006 (fright fades); Huang2011 (experience fades); assumption.
    """
    order = np.argsort(-shoal.fish.length_cm, kind="mergesort")
    for k in range(len(order)):
        if shoal.fish.present[order[k]]:
            rest(order[k], tank, shoal)
    fade(shoal, p, seconds)
    share = hunger_share(seconds, p)
    known = 0.5 ** (1.0 / p.pair_half_life_d)
    for i in range(len(shoal.fish)):
        if shoal.fish.present[i]:
            get_hungry(i, share, shoal)
        shoal.fish.provoked[i] = 0.0
        shoal.fish.dominants[i] = 0.0
        for j in range(len(shoal.fish)):
            shoal.pair.standing[i, j] *= known
