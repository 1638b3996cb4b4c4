"""The state of all fish: every property declared once. The docs table is made from the declarations."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .records import Records, columns_of, flag, real, records, whole

# what a fish is doing
SWIMMING = 0
SHELTERED = 1
FLEEING = 2
CHASING = 3
CONTESTING = 4
RETREATING = 5  # to a shelter, unchased
BOXED = 6  # in a box that hangs in the tank
DOING = ("swimming", "sheltered", "fleeing", "chasing", "contesting", "retreating", "in a box")

# purposes of random numbers, one stream a fish and purpose
FOR_SWIM, FOR_ATTACK, FOR_TARGET, FOR_STAND, FOR_CONTEST, FOR_CHASE, FOR_HIDE, FOR_FEED = range(8)
PURPOSES = ("swim", "attack", "target", "stand", "contest", "chase", "hide", "feed")

NOBODY = -1


class FishRecords(Records):
    """Properties of a fish, [n]: ``shoal.fish.fright[i]``."""

    present = flag("in the tank")
    species = whole("number of the species")
    male = flag("a male")
    adult = flag("sexually mature", default=True)
    holding = flag("a female holding eggs")
    guard = real("1", "temper of a female holding eggs against that on her first day", default=1)
    capable = flag("may claim a territory")
    grazer = real("0..1", "how much it grazes algae")
    bond = whole("number of its pair or group", default=NOBODY)
    leads = flag("claims for its pair or group", default=True)
    length_cm = real("cm", "total length")
    vigour = real("0..1", "share of its strength that it has; below 1 while it is injured", default=1)
    depth_cm = real("cm", "body depth")
    temper = real("1", "rate of attack against a typical male's", default=1)
    timidity = real("1", "fright a chase raises against a typical fish's", default=1)
    core_cm = real("cm", "distance at which it half minds a rival on its ground", default=40)
    ground = whole("row of the claims it shares in, its own or its leader's", default=NOBODY)
    cruise_cm_s = real("cm/s", "swimming speed", default=8)
    burst_cm_s = real("cm/s", "speed in chase and flight", default=36)
    provokes = real("1", "how much it provokes by what it is: holding, juvenile or neither", default=1)
    company = real("0..1", "pull towards its own kind")
    doing = whole("what it is doing", default=SWIMMING, dtype="i1")
    part = whole("part of the tank it is in; nobody reaches a fish of another part")
    cell = whole("the cell it is in")
    heading = whole("direction of its last step", dtype="i1")
    credit_cm = real("cm", "distance it may still swim")
    refuge = whole("shelter it is in or flees to", default=NOBODY)
    centre = whole("crevice at the centre of its territory", default=NOBODY)
    home = whole("place it is drawn to while swimming", default=NOBODY)
    target = whole("fish it chases or contests with", default=NOBODY)
    chaser = whole("fish it flees from", default=NOBODY)
    counted = flag("its present chase has been counted")
    stepped = whole("swimming steps it has made in this tick", dtype="i8")
    resists = flag("its target stands its ground")
    fright = real("0..1", "quick fright F")
    slow_fright = real("0..1", "slow fright G")
    hunger = real("0..1", "hunger", default=0.5)
    experience = real("log-odds", "what winning and losing taught it")
    began = whole("tick at which its contest began", dtype="i8")
    provoked = real("1", "sum of provocation in view")
    dominants = real("1", "dominants in view, each by its temper and by how far one trespasses on it")
    pull_x = real("1", "direction of its own kind in view, along the front")
    pull_y = real("1", "the same, front to back")
    pull_z = real("1", "the same, upwards")
    eaten = real("portions", "eaten of the present meal")


class PairRecords(Records):
    """Properties between two fish, row towards column, [n, n]: ``shoal.pair.weight[i, j]``."""

    tolerated = real("0..1", "claim to a place up to which it lets the other be there")
    radius_cm = real("cm", "distance at which it half minds the other on its ground")
    weight = real("1", "provocation by the other at its side, or on ground that is wholly claimed")
    choice = real("1", "weight of the other in the choice of target", default=1)
    odds = real("log-odds", "advantage of size and kind over the other")
    standing = real("log-odds", "what losing to the other taught it; never above 0")


FISH, PAIR = columns_of(FishRecords), columns_of(PairRecords)


class Shoal(NamedTuple):
    """All fish; n places, r refuges. A fish keeps its place for the whole run; out, it is marked out.

    Attributes
    ----------
    fish : [n] one record a fish; columns, units and defaults: help of :class:`FishRecords`.
    pair : [n, n] one record for each two, row towards column: help of :class:`PairRecords`.
    memory : [n, r] trust of a fish in each shelter, 0 to 1.
    claims : [n, b] claim of a fish to each block of water, 0 to 1.
    streams : [n, k] where its random numbers start, for each of :data:`PURPOSES`.

    Source
    ------
    The project's own; what each is for and rests on: sim/MODEL.md.
    """

    fish: FishRecords  # [n] record array, fields as declared in FISH: shoal.fish.fright[i]
    pair: PairRecords  # [n, n] record array, fields as declared in PAIR: shoal.pair.weight[i, j]
    memory: NDArray[np.float64]  # [n, r] trust of a fish in each shelter, 0..1
    claims: NDArray[np.float64]  # [n, b] claim to each block of water, 0..1
    streams: NDArray[np.uint64]  # [n, k] starts of its random streams, one a purpose


def empty_shoal(n: int, *, refuges: int, blocks: int) -> Shoal:
    """A shoal of n places, all out of the tank, every property at its default."""
    return Shoal(
        records(FishRecords, (n,)),
        records(PairRecords, (n, n)),
        np.zeros((n, refuges)),
        np.zeros((n, blocks)),
        np.zeros((n, len(PURPOSES)), np.uint64),
    )


def grown(shoal: Shoal, *, extra: int) -> Shoal:
    """The same fish in the same places with ``extra`` empty places behind them."""
    n, refuges = shoal.memory.shape
    larger = empty_shoal(n + extra, refuges=refuges, blocks=shoal.claims.shape[1])
    larger.fish[:n] = shoal.fish
    larger.pair[:n, :n] = shoal.pair
    larger.memory[:n] = shoal.memory
    larger.claims[:n] = shoal.claims
    larger.streams[:n] = shoal.streams
    return larger
