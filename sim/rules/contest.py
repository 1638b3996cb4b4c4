"""Contests: who judges itself stronger, how long a contest lasts, who wins, what it teaches."""

from __future__ import annotations

import math

from ..fish.shoal import CHASING, CONTESTING, FOR_CONTEST, NOBODY, Shoal
from ..run.ledger import Ledger, count_win
from ..tank.water import Water
from .claims import claim_at, fought_over
from .flight import flee, let_go
from .fright import lesson
from .odds import IN_FULL, logistic, strength_odds
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform


@small
def edge_at(i: int, j: int, cell: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """Log-odds by which fish i gains over fish j at a place that it claims more.

    Source: Wazlavek1989; MandrekarOldfield2008; StampsKrishnan2001; assumption (the size).
    """
    return p.residence_odds * (claim_at(i, cell, tank, shoal) - claim_at(j, cell, tank, shoal))


@small
def contest_odds(i: int, j: int, cell: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """Log-odds that fish i beats fish j at a place: size, claims to it, experience of both.

    Source: Wazlavek1989; DraudLynch2002; MandrekarOldfield2008; deVries2009; assumption (sizes).
    """
    return strength_odds(i, j, IN_FULL, shoal) + edge_at(i, j, cell, tank, shoal, p)


@small
def judged_odds(i: int, j: int, cell: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """The same as fish i judges it beforehand: its own experience in full, part of the other's.

    It also remembers having lost to this very fish, which changes what it dares and not what it can.

    Source: Dugatkin1997 (what a winner effect alone shows depends on it); Hotta2014 (losers give way to
    the fish that beat them, not to strangers); assumption (the share).
    """
    odds = strength_odds(i, j, p.known_experience, shoal) + shoal.pair.standing[i, j]
    return odds + edge_at(i, j, cell, tank, shoal, p)


@small
def remember(loser: int, winner: int, tank: Water, shoal: Shoal, p: Parameters) -> None:
    """The loser of a contest remembers who beat it, the more the less it had expected that.

    Source: Hotta2014; assumption (the size; a rating of one opponent, by analogy with deVries2009).
    """
    shoal.pair.standing[loser, winner] -= p.pair_step * logistic(
        judged_odds(loser, winner, shoal.fish.cell[loser], tank, shoal, p)
    )


@small
def contest_ends(odds: float, lasted_s: float, p: Parameters) -> float:
    """Rate at which a contest is decided, 1/s: the closer the match, the longer it lasts; it grows with time.

    The lengths are of Rayleigh's distribution with mean contest_s exp(-|odds|): what opponents show each
    other adds up, so that hardly any contest ends at once and none goes on for hours.

    Source: KoopsGrant1993; Reddon2011 (length between equals); assumption (growth in proportion to time).
    """
    mean_s = p.contest_s * math.exp(-min(abs(odds), 20.0))
    return 0.5 * math.pi * lasted_s / (mean_s * mean_s)


@lean
def begin_contest(i: int, j: int, tick: int, shoal: Shoal) -> None:
    """Chaser and the fish that stood its ground face each other. Source: assumption."""
    let_go(i, shoal)
    let_go(j, shoal)
    shoal.fish.doing[i] = CONTESTING
    shoal.fish.doing[j] = CONTESTING
    shoal.fish.target[i] = j
    shoal.fish.target[j] = i
    shoal.fish.resists[i] = False
    shoal.fish.began[i] = shoal.fish.began[j] = tick


@lean
def decide_contest(
    i: int, j: int, tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger
) -> None:
    """End the contest between i and j if its time has come: the loser flees, the winner chases it.

    Source: KoopsGrant1993 (sequence); assumption (what claims are lost and won).
    """
    here = contest_odds(i, j, shoal.fish.cell[i], tank, shoal, p)
    odds = 0.5 * (here + contest_odds(i, j, shoal.fish.cell[j], tank, shoal, p))
    stream = shoal.streams[i, FOR_CONTEST]
    lasted_s = (tick - shoal.fish.began[i] + 0.5) * p.tick_s
    if not happens(uniform(stream, tick, 0), contest_ends(odds, lasted_s, p), p.tick_s):
        return
    winner, loser = i, j
    if uniform(stream, tick, 1) >= logistic(odds):
        winner, loser = j, i
    count_win(winner, loser, tick, shoal, ledger)
    lesson(winner, loser, 1.0, logistic(odds if winner == i else -odds), shoal, p)
    remember(loser, winner, tank, shoal, p)
    place = shoal.fish.cell[loser]
    fought_over(winner, place, p.claim_beaten, 1.0, tank, shoal)
    fought_over(loser, place, p.claim_beaten, 0.0, tank, shoal)
    shoal.fish.target[loser] = NOBODY
    shoal.fish.doing[winner] = CHASING
    shoal.fish.target[winner] = loser
    shoal.fish.counted[winner] = False
    flee(loser, winner, False, tick, tank, shoal, p, ledger)
