"""Who chases: the chases that some fish received, by species and sex of those that gave them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from ...sim.run.table import Arm
from ..document.plain import called, listed, percent
from ..statistics.intervals import Estimate, ratio_estimate
from .groups import Group, kinds, members

LITTLE = 0.1  # share of the chases below which nobody is named for them
NAMED = 2  # that are named for them, at most


@dataclass(frozen=True)
class Giver:
    """One sex of a species, and its share of the chases, 0 to 1."""

    name: str
    species: str
    sex: str  # "male" or "female"
    share: Estimate


def shares_said(found: Sequence[Giver]) -> str:
    """``"T. moorii females 55 % and T. moorii males 36 %"``; "" where nobody chases them to speak of."""
    named = [one for one in found if one.share.value >= LITTLE][:NAMED]
    said = [f"{called(one.name, one.species)}s {percent(one.share.value)}" for one in named]
    return listed(said) if said else ""


def givers(arm: Arm, *, labels: Collection[str], fixed: bool = False) -> tuple[Giver, ...]:
    """Who gave the chases that some fish received, the largest share first; nobody where there were none.

    Parameters
    ----------
    labels : of the fish that were chased.
    """
    received = arm.chases[:, :, [label in labels for label in arm.fish.label]].sum(axis=2)
    total = received.sum(axis=1)
    if not total.any():
        return ()
    found = [
        Giver(
            group.name,
            group.species,
            group.sex,
            ratio_estimate(_given(received, arm, group), bottom=total, draw=arm.draw, fixed=fixed),
        )
        for group in kinds(arm)
    ]
    return tuple(sorted(found, key=lambda one: -one.share.value))


def _given(received: np.ndarray, arm: Arm, group: Group) -> np.ndarray:
    return np.where(members(arm, group=group), received, 0).sum(axis=1)
