"""Broods: females that begin to hold, how they change from eggs to fry, and when they hold no more.

It begins by itself where an event says so, or as the keeper reports it; the fry are a number alone. A female
that came in with eggs is none of these: how far on she is nobody knows.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..rules.support.random_numbers import generator
from ..scenario.timeline import Holding, Spawning
from .done import FRY_LEFT, FRY_TAKEN, HOLDS, Done

if TYPE_CHECKING:
    from .model import TankModel


class Brood(NamedTuple):
    """Day on which it was laid, and on which the fry are let go."""

    laid: float
    due: float


class Broods:
    """The broods of one model. Days are counted from the first morning.

    Attributes
    ----------
    told : whether the scenario has events of them, so that who holds is told in what comes out.
    by_themselves : whether females that can begin to hold by themselves.
    now : by the place of a female that holds since an event or by herself.
    """

    def __init__(self, model: TankModel) -> None:
        events = model.scenario.timeline.events
        self.told = any(isinstance(one, Holding | Spawning) for one in events)
        self.model, self.by_themselves = model, False
        self.now: dict[int, Brood] = {}
        self._waited: dict[int, float] = {}
        self._number: dict[int, int] = {}
        self._free_since: dict[int, float] = {}

    def begin(self, labels: Collection[str], *, day: float, days: float | None = None) -> None:
        """Females hold eggs from a day on, for so many days; as the draw says when None."""
        for label in labels:
            i = self.model.place_of(label)
            if i is not None:
                self._begin(i, day, days)

    def _begin(self, i: int, day: float, days: float | None = None) -> None:
        fish = self.model.shoal.fish
        fish.holding[i], fish.guard[i] = True, 1.0
        self.now[i] = Brood(day, day + (self.model.slow.brood_d if days is None else days))
        self._waited[i] = 0.0
        self._number[i] = self._number.get(i, 0) + 1
        self._note(i, day, HOLDS)

    def pass_days(self, days: float, *, until: float) -> None:
        """What some days up to a moment do to those that hold and those that could.

        Source: OliveiraAlmada1998 (temper rises from eggs to fry); assumption (that it rises evenly on a log
        scale; that females who can spawn do so at a constant rate).
        """
        for i, brood in list(self.now.items()):
            if until >= brood.due:
                self._let_go(i)
            else:
                share = (until - brood.laid) / (brood.due - brood.laid)
                self.model.shoal.fish.guard[i] = self.model.slow.fry_temper**share
        if self.by_themselves:
            for i in self._ready():
                self._wait(i, days, until)

    def _let_go(self, i: int) -> None:
        fish, one, brood = self.model.shoal.fish, self.model.people[i], self.now.pop(i)
        fish.holding[i], fish.guard[i] = False, 1.0
        self._free_since[i] = brood.due
        fry = max(1, round(self.model.slow.fry[one.species]))
        self._note(i, brood.due, FRY_LEFT if fish.present[i] else FRY_TAKEN, number=fry)

    def _ready(self) -> list[int]:
        """Mature females in the tank that hold nothing, with a mature male of their kind beside them."""
        fish, kinds = self.model.shoal.fish, self.model.scenario.species
        here = fish.present & fish.adult
        beside = fish.species * 1000 + fish.part  # of one kind and on one side of a divider, in no box
        with_male = np.isin(beside, beside[here & fish.male])
        found = np.flatnonzero(here & ~fish.male & ~fish.holding & with_male)
        return [int(i) for i in found if kinds[self.model.people[i].species].is_mouthbrooder]

    def _wait(self, i: int, days: float, until: float) -> None:
        """Days that she could are used up as by a clock, so that it is all one how they are cut up."""
        days = min(days, until - self._free_since.get(i, -math.inf))
        label, broods = self.model.people[i].label, self._number.get(i, 0)
        share = float(generator(self.model.trial_seed, label, "spawns", broods).random())
        enough = -math.log(1.0 - share) * self.model.slow.spawn_wait_d
        self._waited[i] = self._waited.get(i, 0.0) + days
        if self._waited[i] >= enough:
            self._begin(i, until - (self._waited[i] - enough))

    def _note(self, i: int, day: float, deed: int, *, number: int = 1) -> None:
        self.model.done.append(Done(day, deed, self.model.people[i].label, number=number))
