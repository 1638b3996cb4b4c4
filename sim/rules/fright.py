"""Fright, quick and slow; what winning and losing teach; trust in shelters; and how all of it fades."""

from __future__ import annotations

from ..fish.shoal import Shoal
from ..tank.paths import FAR
from ..tank.water import Water
from .support.compiled import lean, small
from .support.parameter_record import Parameters

PLACE_CM = 15.0  # a chase this near to a shelter shakes the trust in it


@lean
def frighten(i: int, shoal: Shoal, p: Parameters) -> None:
    """A chase raises both frights in proportion to timidity, towards 1 and never past it.

    Source: assumption (a rise within minutes: FooLam1993).
    """
    gain = min(p.fright_gain * shoal.fish.timidity[i], 1.0)
    shoal.fish.fright[i] += gain * (1.0 - shoal.fish.fright[i])
    gain = min(p.slow_gain * shoal.fish.timidity[i], 1.0)
    shoal.fish.slow_fright[i] += gain * (1.0 - shoal.fish.slow_fright[i])


@small
def fear(i: int, shoal: Shoal) -> float:
    """Quick and slow fright together, 0 to 2. Source: assumption."""
    return shoal.fish.fright[i] + shoal.fish.slow_fright[i]


@lean
def lesson(winner: int, loser: int, share: float, chance: float, shoal: Shoal, p: Parameters) -> None:
    """Winner and loser learn 2 K (1 - chance of what happened), in log-odds, each by its own K: a rating.

    Source: deVries2009; Oliveira2009.
    """
    step = share * 2.0 * (1.0 - chance)
    shoal.fish.experience[winner] += step * p.winner_effect
    shoal.fish.experience[loser] -= step * p.loser_effect


@small
def trust_left(i: int, refuge: int, shoal: Shoal, p: Parameters) -> None:
    """A shelter left unharmed is trusted more. Source: assumption."""
    shoal.memory[i, refuge] += p.memory_step * (1.0 - shoal.memory[i, refuge])


@lean
def trust_shaken(i: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """Shelters beside which fish i is chased are trusted less. Source: assumption."""
    for refuge in range(len(tank.refuges.cell)):
        thirds = tank.path[refuge, shoal.fish.cell[i]]
        if thirds < FAR and thirds * tank.edge_cm / 3.0 <= PLACE_CM:
            shoal.memory[i, refuge] *= 1.0 - p.memory_step


@lean
def fade(shoal: Shoal, p: Parameters, seconds: float) -> None:
    """Fright and experience decay by their half-lives over a time, s.

    Source: BarretoVolpato2006 (quick fright, a hormone's half-life by analogy); Huang2011; assumption.
    """
    quick = 0.5 ** (seconds / p.fright_half_life_s)
    slow = 0.5 ** (seconds / (86400.0 * p.slow_half_life_d))
    known = 0.5 ** (seconds / (86400.0 * p.experience_half_life_d))
    for i in range(len(shoal.fish)):
        shoal.fish.fright[i] *= quick
        shoal.fish.slow_fright[i] *= slow
        shoal.fish.experience[i] *= known
