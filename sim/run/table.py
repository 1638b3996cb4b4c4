"""The Trials table: what many runs of one scenario leave, one Arm for each set-up run on the same seeds."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .compact import Column

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
    """Results of one set-up; t trials, n fish, h measured lit hours. All counts are of the measured time.

    A :class:`rockshy.sim.run.compact.Column` reads as an array of its type; reading it twice makes two.

    Attributes
    ----------
    name, fish : of the set-up, and its fish: the columns' second axis.
    trial, draw, sex, ..., hour_lit_s : columns with their shapes and units: help of ``run_trials``.

    Source
    ------
    Counted in the runs; what counts as a chase, hidden or a place is said in sim/MODEL.md.
    """

    name: str
    fish: FishList
    trial: NDArray[np.int64]  # [t] number of the trial, ascending
    draw: NDArray[np.int64]  # [t] which draw of what nobody has measured
    sex: NDArray[np.int8]  # [t, n] 0 male, 1 female
    adult: NDArray[np.bool_]  # [t, n]
    length_cm: Column[np.float64] = Column(np.float64)  # [t, n] total length
    lit_s: Column[np.float64] = Column(np.float64)  # [t, n] lit seconds measured while in the tank
    hidden_s: Column[np.float64] = Column(np.float64)  # [t, n] in a shelter, a corner or under the surface
    # swimming free: neither hidden nor in flight nor in a contest
    free_s: Column[np.float64] = Column(np.float64)  # [t, n]
    meals: Column[np.float64] = Column(np.float64)  # [t, n] meals offered
    meals_missed: Column[np.float64] = Column(np.float64)  # [t, n] meals of which it got nothing
    food: Column[np.float64] = Column(np.float64)  # [t, n] portions eaten
    chases: Column[np.int64] = Column(np.int64)  # [t, n, n] row chases column
    bites: Column[np.int64] = Column(np.int64)  # [t, n, n]
    displays: Column[np.int64] = Column(np.int64)  # [t, n, n] displays without a chase, row to column
    wins: Column[np.int64] = Column(np.int64)  # [t, n, n] decided contests, row won against column
    # by measured lit hour; a place is 15 cm of swimming round one cell
    hour_share: Column[np.float64] = Column(np.float64)  # [t, n, h] largest share of the hour in one place
    hour_outside_s: Column[np.float64] = Column(np.float64)  # [t, n, h] swimming free outside that place
    hour_owner_s: Column[np.float64] = Column(np.float64)  # [t, n, h] in which it held a territory
    hour_chased: Column[np.int64] = Column(np.int64)  # [t, n, h] chases received
    hour_hidden_s: Column[np.float64] = Column(np.float64)  # [t, n, h]
    # lit seconds of the hour in the tank: 3600 unless it arrives or leaves
    hour_lit_s: Column[np.float64] = Column(np.float64)  # [t, n, h]
    holding: NDArray[np.bool_] | None = None  # [t, n] held eggs at its beginning or end, where events tell
    # [t, n, 2] times that rules of thumb took it out, and put it back, of a life in weeks
    netted: NDArray[np.int64] | None = None

    @property
    def held(self) -> NDArray[np.bool_]:
        """[t, n] which fish held eggs; those of the stock list where no event tells of broods."""
        if self.holding is None:
            return np.tile(self.fish.holding, (len(self.trial), 1))
        return self.holding.astype(bool)


@dataclass(frozen=True)
class Trials:
    """All arms of one scenario. ``arms`` holds AS_STOCKED always, the controls where they were run.

    Attributes
    ----------
    title : of the scenario.
    watch, watch_reason : the mild species, and why it is that one.
    arms : :class:`Arm` by the name of its set-up: "as stocked", "own kind", "left alone".
    asked, done : trials asked for, and finished.
    recipe : everything needed to repeat it: scenario, seed, version, parameters, rules of one's own.

    Source
    ------
    Counted in the runs.
    """

    title: str
    watch: str  # species key of the mild species
    watch_reason: str  # "named in the scenario" or why it was chosen
    arms: dict[str, Arm]
    asked: int  # trials asked for
    recipe: dict[str, object] = field(default_factory=dict)  # scenario text, seed, version, parameters

    @property
    def done(self) -> int:
        return len(self.arms[AS_STOCKED].trial)
