"""The Trials table: what many runs of one scenario leave, one Arm for each set-up run on the same seeds."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

AS_STOCKED = "as stocked"
OWN_KIND = "own kind"  # the watched species with its own kind only; same tank, rock and seeds
LEFT_ALONE = "left alone"  # same fish, rock and seeds; nobody attacks


@dataclass(frozen=True)
class FishList:
    """The fish of an arm, the same in every trial (sex of unsexed fish and lengths vary: see Arm)."""

    label: tuple[str, ...]  # "Tropheus duboisi male 1"; unique, the same in every arm
    species: tuple[str, ...]
    day_in: NDArray[np.float64]  # the first time
    day_out: NDArray[np.float64]  # the last time; inf: stays
    holding: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.label)


@dataclass(frozen=True)
class Arm:
    """Results of one set-up; t trials, n fish, h measured lit hours. All counts are of the measured time."""

    name: str
    fish: FishList
    trial: NDArray[np.int64]  # [t] number of the trial, ascending
    guess: NDArray[np.int64]  # [t] which draw of what nobody has measured
    sex: NDArray[np.int8]  # [t, n] 0 male, 1 female
    adult: NDArray[np.bool_]  # [t, n]
    length_cm: NDArray[np.float64]  # [t, n] total length
    lit_s: NDArray[np.float64]  # [t, n] lit seconds measured while in the tank
    hidden_s: NDArray[np.float64]  # [t, n] in a shelter, pressed into a corner or under the surface
    free_s: NDArray[np.float64]  # [t, n] swimming free: neither hidden nor in flight nor in a contest
    meals: NDArray[np.float64]  # [t, n] meals offered
    meals_missed: NDArray[np.float64]  # [t, n] meals of which it got nothing
    food: NDArray[np.float64]  # [t, n] portions eaten
    chases: NDArray[np.int64]  # [t, n, n] row chases column
    bites: NDArray[np.int64]  # [t, n, n]
    displays: NDArray[np.int64]  # [t, n, n] displays without a chase, row to column
    wins: NDArray[np.int64]  # [t, n, n] decided contests, row won against column
    # by measured lit hour
    hour_share: NDArray[
        np.float64
    ]  # [t, n, h] largest share of the hour in one place (15 cm of swimming round one cell)
    hour_outside_s: NDArray[np.float64]  # [t, n, h] seconds swimming free outside that place
    hour_owner_s: NDArray[np.float64]  # [t, n, h] seconds in which it held a territory
    hour_chased: NDArray[np.int64]  # [t, n, h] chases received
    hour_hidden_s: NDArray[np.float64]  # [t, n, h]
    hour_lit_s: NDArray[
        np.float64
    ]  # [t, n, h] lit seconds of the hour in the tank (3600 unless it arrives or leaves)


@dataclass(frozen=True)
class Trials:
    """All arms of one scenario. ``arms`` holds AS_STOCKED always, the controls where they were run."""

    title: str
    watch: str  # species key of the mild species
    watch_reason: str  # "named in the scenario" or why it was chosen
    arms: dict[str, Arm]
    asked: int  # trials asked for
    recipe: dict[str, object] = field(default_factory=dict)  # scenario text, seed, version, parameters

    @property
    def done(self) -> int:
        return len(self.arms[AS_STOCKED].trial)
