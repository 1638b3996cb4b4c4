"""Which simulated tanks of a run are worth a look, and what each comes to in a few figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ....sim.run.table import AS_STOCKED, Trials
from ...document.plain import percent
from ...measures.pinned import pinned
from ...statistics.intervals import Floats


@dataclass(frozen=True)
class OneTank:
    """One simulated tank as the watched species has it."""

    trial: int
    free: float  # share of lit time in which it swam free
    pinned: bool | None  # None where no fish of it counts
    chases: int  # that it received in the measured time


@dataclass(frozen=True)
class Telling:
    """Numbers of trials to look at."""

    middle: int  # the watched species swam free a middling share of its time
    worst: int  # the smallest share
    pinned: int | None  # a middling one of those in which it was pinned; None where it never was
    unpinned: int | None  # a middling one of those in which it was not


def tanks_of(trials: Trials) -> tuple[OneTank, ...]:
    """Every simulated tank, in order of the trials."""
    arm, held = trials.arms[AS_STOCKED], pinned(trials)
    free, watched = _free(trials), np.array(arm.fish.species) == trials.watch
    chases = arm.chases[:, :, watched].sum(axis=(1, 2))
    is_pinned, judged = held.species_pinned(species=trials.watch)
    known = {int(held.trial[k]): bool(is_pinned[k]) for k in np.flatnonzero(judged)}
    return tuple(
        OneTank(int(trial), float(free[k]), known.get(int(trial)), int(chases[k]))
        for k, trial in enumerate(arm.trial)
    )


def telling_of(tanks: tuple[OneTank, ...]) -> Telling:
    """The tanks to look at, of at least one."""
    free = {one.trial: one.free for one in tanks}
    held = {one.trial: one.free for one in tanks if one.pinned}
    loose = {one.trial: one.free for one in tanks if one.pinned is False}
    return Telling(
        middle_of(free),
        _in_order(free)[0],
        middle_of(held) if held else None,
        middle_of(loose) if loose else None,
    )


def telling_trials(trials: Trials) -> tuple[int, int]:
    """Trials in which the watched species swam free a middling and the smallest share of its time."""
    telling = telling_of(tanks_of(trials))
    return telling.middle, telling.worst


def tank_said(trials: Trials, trial: int) -> str:
    """How the watched species fared in one of the tanks, in a sentence; "" where it is none of them."""
    tanks = tanks_of(trials)
    this = next((one for one in tanks if one.trial == trial), None)
    if this is None:
        return ""
    telling = telling_of(tanks)
    ranks = {telling.middle: ", about average for", telling.worst: ", the least of"} if len(tanks) > 1 else {}
    rank = f"{ranks[trial]} {len(tanks)} simulated tanks" if trial in ranks else ""
    said = f"In it {trials.watch} swam free {percent(this.free)} of the lit time{rank}"
    held = {True: "; it was pinned to one place", False: "; it was not pinned to one place", None: ""}
    return f"{said}{held[this.pinned]}."


def middle_of(values: Mapping[int, float]) -> int:
    """The trial with the middle one of some values, trial -> value; of equals that with the lower number."""
    return _in_order(values)[len(values) // 2]


def _in_order(values: Mapping[int, float]) -> list[int]:
    return sorted(values, key=lambda trial: (values[trial], trial))


def _free(trials: Trials) -> Floats:
    """[t] share of its lit time in which the watched species swam free; 0 where it was never in."""
    arm = trials.arms[AS_STOCKED]
    watched = np.array(arm.fish.species) == trials.watch
    lit_s = arm.lit_s[:, watched].sum(axis=1)
    return np.divide(arm.free_s[:, watched].sum(axis=1), lit_s, out=np.zeros(len(lit_s)), where=lit_s > 0)
