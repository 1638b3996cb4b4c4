"""Whose figures: one fish, several, a species, a sex of it, or all; and which trials two arms share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import Arm

SEXES = ("male", "female")


@dataclass(frozen=True)
class Group:
    """The fish that match all that is given; an empty text or set matches everything."""

    label: str = ""
    species: str = ""
    sex: str = ""  # "male" or "female"
    labels: frozenset[str] = frozenset()  # several fish that are taken together, called by ``title``
    title: str = ""

    @property
    def name(self) -> str:
        return self.title or self.label or f"{self.species} {self.sex}".strip() or "all fish"


def members(arm: Arm, *, group: Group) -> NDArray[np.bool_]:
    """Which fish of which trial belong to a group, [t, n]; a fish that was never in does not.

    The sex of unsexed fish is drawn for each trial, so membership by sex differs between trials.
    """
    wanted = np.array(
        [
            group.label in ("", label)
            and group.species in ("", species)
            and (not group.labels or label in group.labels)
            for label, species in zip(arm.fish.label, arm.fish.species, strict=True)
        ],
        dtype=bool,
    )
    found = wanted & (arm.lit_s > 0)
    if group.sex:
        found &= arm.sex == SEXES.index(group.sex)
    return found


def common_trials(arm: Arm, *, other: Arm) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Places of the trials that both arms have, in ascending order of their number."""
    _, here, there = np.intersect1d(arm.trial, other.trial, assume_unique=True, return_indices=True)
    return here.astype(np.int64), there.astype(np.int64)


def kinds(arm: Arm) -> list[Group]:
    """The sexes of the species that occur in an arm, species in the order of the stock list."""
    every = [Group(species=name, sex=sex) for name in dict.fromkeys(arm.fish.species) for sex in SEXES]
    return [group for group in every if members(arm, group=group).any()]


def species(arm: Arm) -> list[Group]:
    """The species that occur in an arm, in the order of the stock list."""
    every = [Group(species=name) for name in dict.fromkeys(arm.fish.species)]
    return [group for group in every if members(arm, group=group).any()]


def single_fish(arm: Arm) -> list[Group]:
    """Every fish of an arm that was in the tank for some of the measured time."""
    present = np.flatnonzero((arm.lit_s > 0).any(axis=0))
    return [Group(label=arm.fish.label[i], species=arm.fish.species[i]) for i in present]
