"""Which tanks of a room are run in which trials; each fish is held against itself left alone.

Numbers of scenarios are given as tanks come up, which is the same in every run of the same room.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ....sim.run.set_ups import draw_of
from ....sim.run.table import AS_STOCKED, LEFT_ALONE
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ...measures.registry import LOST, MEASURES
from ...measures.row import BOTH, RULE, STOCKED
from ...statistics.intervals import NAN, Floats
from ...study import runner
from ...study.runner import Batch, Study
from .choices import RoomError
from .room import Group, Home, Room
from .search import Search, Shares

BLOCK = 8  # trials that sift, and of which the others are multiples: a block of draws
LEAST_TRIALS = 4 * BLOCK  # to sift, to choose, and two blocks afresh
ALONE = (LEFT_ALONE,)


@dataclass(frozen=True)
class Plan(runner.Plan):
    """What is asked. ``scenario`` is the first tank with fish; ``taken``: the group that alone is moved."""

    room: Room
    shares: Shares
    taken: int | None


def plan_of(room: Room, *, take: str | None = None) -> Plan:
    """Share the trials out, and leave everybody but the group to be taken where they are.

    Parameters
    ----------
    take : name of a group: which tanks can take it is all that is asked.

    Raises
    ------
    RoomError
        For fewer than LEAST_TRIALS trials, a room without fish, or a group that there is not.
    """
    trials = room.run.trials
    if trials < LEAST_TRIALS:
        raise RoomError(f"{trials} simulated tanks of each are too few; use at least {LEAST_TRIALS}")
    choose = BLOCK * max(1, trials // (2 * BLOCK) - 1)
    shares = Shares(range(BLOCK), range(BLOCK, BLOCK + choose), range(BLOCK + choose, trials))
    taken = None if take is None else _named(room, take)
    if taken is not None:
        room = _only(room, taken)
    scenario = next((found for home in room.now if (found := room.scenario(home)) is not None), None)
    if scenario is None:
        scenario = room.scenario(Home(0, 0, 1))
    assert scenario is not None, "a group has fish"
    return Plan(scenario, trials, room, shares, taken)


def _named(room: Room, take: str) -> int:
    wanted = " ".join(take.split()).casefold()
    for g, one in enumerate(room.groups):
        if one.name.casefold() == wanted:
            return g
    from ....sim.scenario.hints import nearest

    names = [one.name for one in room.groups]
    near = nearest(take, names)
    raise RoomError(
        f'"{take}" is no group of the room; use one of {", ".join(names)}'
        + (f". Did you mean {near}?" if near else "")
    )


def _only(room: Room, taken: int) -> Room:
    """The room in which one group alone is moved."""

    def held(g: int, one: Group) -> Group:
        if g == taken:
            return replace(one, must_leave=one.now is not None, price=None, gives=None)
        if one.now is None:
            return replace(one, price=0, gives=None)  # left out of it
        return replace(one, may_go=frozenset([one.now]), must_leave=False, gives=None)

    groups = tuple(held(g, one) for g, one in enumerate(room.groups))
    tanks = tuple(replace(one, layouts=one.layouts[:1]) for one in room.tanks)
    return replace(
        room, groups=groups, tanks=tanks, bounds=replace(room.bounds, most_moves=1, most_money=None)
    )


class Design(Study):
    """Runs what the search wants; see :class:`.search.Search`, which holds what came of it.

    Raises
    ------
    RoomError
        When no plan keeps every limit.
    """

    def __init__(self, plan: Plan) -> None:
        super().__init__([])
        self.plan, self.room = plan, plan.room
        self.search = Search(plan.room, plan.shares, plan.taken)
        self._places: dict[Home, int] = {}
        self._homeless: int | None = None
        self._free: dict[tuple[int, int], dict[str, tuple[float, float]]] = {}
        self._alone: dict[int, dict[str, float]] = {}
        self._jobs = 0
        self._now = [home for home in self.room.now if self.room.inside(home)]
        for home in self._now:
            self.place(home)

    # ---- what is run next

    def batches(self) -> Iterator[Batch]:
        """What the search wants, and with it the present fish left alone in the same trials."""
        for what, homes, trials in self.search.batches():
            asked = [
                Job(self.place(home), trial, BOTH if home in self._now else STOCKED)
                for trial in trials
                for home in dict.fromkeys([*self._now, *homes])
            ]
            asked += [Job(place, trial, ALONE) for place in self._yard() for trial in trials]
            yield Batch(what, [job for job in asked if (job.which, job.trial) not in self._free])
            self.enter(homes, trials)

    @property
    def can_answer(self) -> bool:
        """Whether what is put forward was run afresh in as many trials as a block has."""
        if not self.search.finalists:
            return False
        self.enter([home for one in self.search.finalists for home in one.homes], self.plan.shares.fresh)
        self.enter(self._now, self.plan.shares.fresh)
        return len(self.fresh) >= BLOCK

    @property
    def fresh(self) -> tuple[int, ...]:
        """The fresh trials in which every tank of what is put forward was run."""
        homes = [*self._now, *(home for one in self.search.finalists for home in one.homes)]
        needed = [self.search.fares.get(home, {}) for home in homes if self.room.inside(home)]
        return tuple(trial for trial in self.plan.shares.fresh if all(trial in own for own in needed))

    @property
    def tanks(self) -> int:
        """How many tanks were simulated, those of the yardstick too."""
        return self._jobs

    def place(self, home: Home) -> int:
        """Number of the scenario of a tank with fish."""
        if home not in self._places:
            self._places[home] = self._add(self.room.scenario(home))
        return self._places[home]

    def _add(self, scenario: Scenario | None) -> int:
        assert scenario is not None, "nobody is in it"
        self.scenarios.append(scenario)
        return len(self.scenarios) - 1

    def _yard(self) -> list[int]:
        """The tank in which fish that are in none yet are seen left alone: the longest."""
        homeless = sum(1 << g for g, one in enumerate(self.room.groups) if one.now is None)
        if not homeless:
            return []
        if self._homeless is None:
            longest = max(range(len(self.room.tanks)), key=lambda t: self.room.tanks[t].spec.length_cm)
            self._homeless = self._add(self.room.scenario(Home(longest, 0, homeless)))
        return [self._homeless]

    # ---- what came of it

    def take(self, job: Job, outcomes: tuple[Outcome, ...]) -> None:
        """Keep how long each fish swam free, and how long it would if left alone."""
        self._jobs += len(outcomes)
        own = self._free.setdefault((job.which, job.trial), {})
        for one in outcomes:
            free, lit = one.columns["free_s"], one.columns["lit_s"]
            for k, fish in enumerate(one.people):
                if one.name == AS_STOCKED:
                    own[fish.label] = (float(free[k]), float(lit[k]))
                elif one.name == LEFT_ALONE and lit[k] > 0:
                    self._alone.setdefault(job.trial, {})[fish.label] = float(free[k] / lit[k])

    def enter(self, homes: list[Home], trials: range) -> None:
        """Hand the search what those in some tanks kept, as far as it was run."""
        for home in homes:
            for trial in trials:
                own = self._free.get((self._places.get(home, -1), trial))
                if own and trial not in self.search.fares.get(home, {}):
                    alone = self._alone.get(trial, {})
                    kept = [self._kept(k, own, alone) for k in self.room.inside(home)]
                    self.search.enter(home, trial, np.array(kept))

    def _kept(self, owner: int, own: dict[str, tuple[float, float]], alone: dict[str, float]) -> float:
        """The share of their free swimming that an owner's fish keep in one tank; nan: it is not known."""
        known = [(*own[label], alone[label]) for label in self.room.labels[owner] if alone.get(label)]
        top: Floats = np.array(sum(free for free, _, _ in known))
        bottom: Floats = np.array(sum(lit * share for _, lit, share in known))
        return float(1.0 - MEASURES[LOST].value(top, bottom, rule=RULE)) if known else NAN

    def draws(self, trials: tuple[int, ...]) -> list[int]:
        """The draw of each trial."""
        return [draw_of(self.plan.scenario, trial) for trial in trials]
