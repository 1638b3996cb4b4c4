"""The state of all fish: every property declared once. The docs table is made from the declarations."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .records import Records, column, columns_of, records

# what a fish is doing
SWIMMING = 0
SHELTERED = 1
FLEEING = 2
CHASING = 3
CONTESTING = 4
RETREATING = 5  # to a shelter, unchased
DOING = ("swimming", "sheltered", "fleeing", "chasing", "contesting", "retreating")

# purposes of random numbers, one stream a fish and purpose
FOR_SWIM, FOR_ATTACK, FOR_TARGET, FOR_STAND, FOR_CONTEST, FOR_CHASE, FOR_HIDE, FOR_CLAIM, FOR_FEED = range(9)
PURPOSES = ("swim", "attack", "target", "stand", "contest", "chase", "hide", "claim", "feed")

NOBODY = -1


class FishRecords(Records):
    """Properties of a fish, [n]: ``shoal.fish.fright[i]``."""

    present = column("?", "", 0, "in the tank")
    species = column("i4", "", 0, "number of the species")
    male = column("?", "", 0, "a male")
    adult = column("?", "", 1, "sexually mature")
    holding = column("?", "", 0, "a female holding eggs")
    capable = column("?", "", 0, "may claim a territory")
    grazer = column("f8", "0..1", 0, "how much it grazes algae")
    bond = column("i4", "", NOBODY, "number of its pair or group")
    leads = column("?", "", 1, "claims for its pair or group")
    length_cm = column("f8", "cm", 0, "total length")
    depth_cm = column("f8", "cm", 0, "body depth")
    temper = column("f8", "1", 1, "rate of attack against a typical male's")
    timidity = column("f8", "1", 1, "fright a chase raises against a typical fish's")
    core_cm = column("f8", "cm", 40, "core radius of its territory")
    cruise_cm_s = column("f8", "cm/s", 8, "swimming speed")
    burst_cm_s = column("f8", "cm/s", 36, "speed in chase and flight")
    provokes = column("f8", "1", 1, "how much it provokes by what it is: holding, juvenile or neither")
    company = column("f8", "0..1", 0, "pull towards its own kind")
    doing = column("i1", "", SWIMMING, "what it is doing")
    cell = column("i4", "", 0, "the cell it is in")
    heading = column("i1", "", 0, "direction of its last step")
    credit_cm = column("f8", "cm", 0, "distance it may still swim")
    refuge = column("i4", "", NOBODY, "shelter it is in or flees to")
    centre = column("i4", "", NOBODY, "crevice at the centre of its territory")
    home = column("i4", "", NOBODY, "place it is drawn to while swimming")
    target = column("i4", "", NOBODY, "fish it chases or contests with")
    chaser = column("i4", "", NOBODY, "fish it flees from")
    counted = column("?", "", 0, "its present chase has been counted")
    stepped = column("i8", "", 0, "swimming steps it has made in this tick")
    resists = column("?", "", 0, "its target stands its ground")
    fright = column("f8", "0..1", 0, "quick fright F")
    slow_fright = column("f8", "0..1", 0, "slow fright G")
    hunger = column("f8", "0..1", 0.5, "hunger")
    experience = column("f8", "log-odds", 0, "what winning and losing taught it")
    at_home = column("?", "", 0, "an owner inside the core of its territory")
    provoked = column("f8", "1", 0, "sum of provocation in view")
    dominants = column("f8", "1", 0, "dominants in view, each by its temper and nearness")
    pull_x = column("f8", "1", 0, "direction of its own kind in view, along the front")
    pull_y = column("f8", "1", 0, "the same, front to back")
    pull_z = column("f8", "1", 0, "the same, upwards")
    eaten = column("f8", "portions", 0, "eaten of the present meal")


class PairRecords(Records):
    """Properties between two fish, row towards column, [n, n]: ``shoal.pair.weight[i, j]``."""

    radius_cm = column("f8", "cm", 0, "territory radius against the other")
    weight = column("f8", "1", 0, "provocation by the other at the centre")
    choice = column("f8", "1", 1, "weight of the other in the choice of target")
    odds = column("f8", "log-odds", 0, "advantage of size and kind over the other")
    familiar = column("f8", "0..1", 0, "how used it is to the other")
    standing = column("f8", "log-odds", 0, "what losing to the other taught it; never above 0")


FISH, PAIR = columns_of(FishRecords), columns_of(PairRecords)


class Shoal(NamedTuple):
    """All fish; n places, r refuges. A fish keeps its place for the whole run; out, it is marked out.

    Attributes
    ----------
    fish : [n] one record a fish; columns, units and defaults: help of :class:`FishRecords`.
    pair : [n, n] one record for each two, row towards column: help of :class:`PairRecords`.
    memory : [n, r] trust of a fish in each shelter, 0 to 1.
    streams : [n, k] where its random numbers start, for each of :data:`PURPOSES`.

    Source
    ------
    The project's own; what each is for and rests on: sim/MODEL.md.
    """

    fish: FishRecords  # [n] record array, fields as declared in FISH: shoal.fish.fright[i]
    pair: PairRecords  # [n, n] record array, fields as declared in PAIR: shoal.pair.weight[i, j]
    memory: NDArray[np.float64]  # [n, r] trust of a fish in each shelter, 0..1
    streams: NDArray[np.uint64]  # [n, k] starts of its random streams, one a purpose


def empty_shoal(n: int, *, refuges: int) -> Shoal:
    """A shoal of n places, all out of the tank, every property at its default."""
    return Shoal(
        records(FishRecords, (n,)),
        records(PairRecords, (n, n)),
        np.zeros((n, refuges)),
        np.zeros((n, len(PURPOSES)), np.uint64),
    )


def grown(shoal: Shoal, *, extra: int) -> Shoal:
    """The same fish in the same places with ``extra`` empty places behind them."""
    n, refuges = shoal.memory.shape
    larger = empty_shoal(n + extra, refuges=refuges)
    larger.fish[:n] = shoal.fish
    larger.pair[:n, :n] = shoal.pair
    larger.memory[:n] = shoal.memory
    larger.streams[:n] = shoal.streams
    return larger
