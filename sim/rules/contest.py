"""Contests: who judges itself stronger, how long a contest lasts, who wins, what it teaches."""

from __future__ import annotations

import math

from ..fish.shoal import CHASING, CONTESTING, FOR_CONTEST, NOBODY, Shoal
from ..run.ledger import Ledger, count_win
from ..tank.water import Water
from .flight import flee, let_go
from .fright import lesson
from .odds import IN_FULL, logistic, strength_odds
from .support.compiled import lean, small
from .support.parameter_record import Parameters
from .support.random_numbers import happens, uniform
from .territory import is_at_home, leave_territory, settle_at


@small
def contest_odds(i: int, j: int, tank: Water, shoal: Shoal, p: Parameters) -> float:
    """Log-odds that fish i beats fish j: size, residence at a structure, experience of both.

    Source: Wazlavek1989; DraudLynch2002; MandrekarOldfield2008; deVries2009; assumption (sizes).
    """
    odds = strength_odds(i, j, IN_FULL, shoal)
    if is_at_home(i, tank, shoal):
        odds += p.residence_odds
    if is_at_home(j, tank, shoal):
        odds -= p.residence_odds
    return odds


@small
def judged_odds(i: int, j: int, shoal: Shoal, p: Parameters) -> float:
    """The same as fish i judges it beforehand: its own experience in full, part of the other's.

    It also remembers having lost to this very fish, which changes what it dares and not what it can.

    Source: Dugatkin1997 (what a winner effect alone shows depends on it); Hotta2014 (losers give way to
    the fish that beat them, not to strangers); assumption (the share).
    """
    odds = strength_odds(i, j, p.known_experience, shoal) + shoal.pair.standing[i, j]
    if shoal.fish.at_home[i]:
        odds += p.residence_odds
    if shoal.fish.at_home[j]:
        odds -= p.residence_odds
    return odds


@small
def remember(loser: int, winner: int, shoal: Shoal, p: Parameters) -> None:
    """The loser of a contest remembers who beat it, the more the less it had expected that.

    Source: Hotta2014; assumption (the size; a rating of one opponent, by analogy with deVries2009).
    """
    shoal.pair.standing[loser, winner] -= p.pair_step * logistic(judged_odds(loser, winner, shoal, p))


@small
def contest_ends(odds: float, p: Parameters) -> float:
    """Rate at which a contest is decided, 1/s: the closer the match, the longer it lasts.

    Source: KoopsGrant1993; Reddon2011 (length between equals).
    """
    return math.exp(min(abs(odds), 20.0)) / p.contest_s


@lean
def begin_contest(i: int, j: int, shoal: Shoal) -> None:
    """Chaser and the fish that stood its ground face each other. Source: assumption."""
    let_go(i, shoal)
    let_go(j, shoal)
    shoal.fish.doing[i] = CONTESTING
    shoal.fish.doing[j] = CONTESTING
    shoal.fish.target[i] = j
    shoal.fish.target[j] = i
    shoal.fish.resists[i] = False


@lean
def decide_contest(
    i: int, j: int, tick: int, tank: Water, shoal: Shoal, p: Parameters, ledger: Ledger
) -> None:
    """End the contest between i and j if its time has come: the loser flees, the winner chases it.

    Source: KoopsGrant1993 (sequence); assumption (a fish beaten inside its territory loses it).
    """
    odds = contest_odds(i, j, tank, shoal, p)
    stream = shoal.streams[i, FOR_CONTEST]
    if not happens(uniform(stream, tick, 0), contest_ends(odds, p), p.tick_s):
        return
    winner, loser = i, j
    if uniform(stream, tick, 1) >= logistic(odds):
        winner, loser = j, i
    count_win(winner, loser, tick, shoal, ledger)
    lesson(winner, loser, 1.0, logistic(contest_odds(winner, loser, tank, shoal, p)), shoal, p)
    remember(loser, winner, shoal, p)
    taken = NOBODY
    if is_at_home(loser, tank, shoal):
        taken = leave_territory(loser, shoal)
    if taken >= 0 and shoal.fish.capable[winner] and shoal.fish.centre[winner] < 0:
        if shoal.fish.depth_cm[winner] <= tank.refuges.mouth_cm[taken]:
            settle_at(winner, taken, shoal)
    shoal.fish.target[loser] = NOBODY
    shoal.fish.doing[winner] = CHASING
    shoal.fish.target[winner] = loser
    shoal.fish.counted[winner] = False
    flee(loser, winner, False, tick, tank, shoal, p, ledger)
