"""What is run of a room: the present tanks, one change each, then whatever the best plans consist of.

Plans are found exactly on what is known: tanks that were run count as they were, all others as the surrogate
foretells them plus its error, so that none is passed over for want of a run. What the best plans consist of
is run, and so on until they consist of tanks that were run. Plans that are near each other are then held
against each other on more trials, and what is put forward is run afresh: on trials that chose nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ...statistics.intervals import Floats
from .allowed import Allowed
from .assign import Choices, Plan, best_of, best_plans, rivals
from .choices import RoomError, away, choices_of, feasible, homes_of, in_the_way
from .room import Home, Room
from .surrogate import Surrogate, fit

MOST_ROUNDS = 20  # of runs that the surrogate asks for
NEAR = 6  # points within which plans are held against each other on more trials
FINALISTS = 4  # plans of different numbers of moves; the runner-up comes beside them

Wanted = tuple[str, list[Home], range]  # what it is for, which tanks, in which trials


@dataclass(frozen=True)
class Shares:
    """Which trials are for what."""

    sift: range
    choose: range
    fresh: range


class Moves(NamedTuple):
    """A plan: who is in which tank, and who is out of the room."""

    homes: tuple[Home, ...]
    out: int  # groups that are given away or not bought, a bit each
    plan: Plan  # as it was found


@dataclass
class Search:
    """Says which tanks are run next; fares are entered by :meth:`enter`.

    Attributes
    ----------
    fares : by tank and trial, what each of those in it keeps, in the order of ``Room.inside``.
    rounds, errors : how often the surrogate asked for runs, and its error each time.
    settled : whether the best plans consisted of tanks that were run when it ended.
    finalists : plans that were held against each other, the chosen one first.
    """

    room: Room
    shares: Shares
    taken: int | None = None  # the group that alone is moved, where one is asked about
    fares: dict[Home, dict[int, Floats]] = field(default_factory=dict)
    rounds: int = 0
    errors: list[float] = field(default_factory=list)
    settled: bool = False
    finalists: list[Moves] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.allowed = Allowed(self.room)
        self.most_moves = self.room.bounds.most_moves
        self._kept: dict[Home, Floats] = {}
        self.homes = self._homes()
        self.outs, self._away = away(self.room)
        if feasible(self.room, self.homes, most_moves=self.most_moves, most_money=self._money) < 0:
            raise RoomError(in_the_way(self.room, self.allowed))

    @property
    def _money(self) -> int | None:
        return self.room.bounds.most_money

    def _homes(self) -> list[list[Home]]:
        """What each tank may hold; where one group is asked about, what is wrong now may stay so."""
        found = []
        for t, now in enumerate(self.room.now):
            old = self.allowed.broken(now) if self.taken is not None else frozenset()
            every = homes_of(self.room, t, most_moves=self.most_moves)
            found.append([home for home in every if self._may_be(home) and self.allowed.broken(home) <= old])
        return found

    def _may_be(self, home: Home) -> bool:
        """Whether the group that is asked about is not where it is now."""
        g = self.taken
        return g is None or self.room.groups[g].now != home.tank or not home.who >> g & 1

    # ---- what is run next

    def batches(self) -> Iterator[Wanted]:
        """Present tanks; each change by itself; what the best plans ask for; the finalists, twice."""
        sift = self.shares.sift
        yield "The tanks as they are", self._lived_in(self.room.now), sift
        yield "One move at a time", self._lived_in(self._single()), sift
        while (new := self._asked_for()) and self.rounds < MOST_ROUNDS:
            self.rounds += 1
            yield f"Tanks of promising plans, round {self.rounds}", new, sift
        self.settled = not new
        near = self._lived_in([*self.room.now, *(h for one in self._near() for h in one.homes)])
        yield "The plans that are near each other", near, self.shares.choose
        self.finalists = self._best([*sift, *self.shares.choose])
        tanks = self._lived_in([*self.room.now, *(h for one in self.finalists for h in one.homes)])
        yield "The best of them once more, on fresh trials", tanks, self.shares.fresh

    def enter(self, home: Home, trial: int, kept: Floats) -> None:
        """What those in a tank keep in a trial."""
        self.fares.setdefault(home, {})[trial] = kept
        if trial in self.shares.sift:
            self._kept.pop(home, None)

    def _lived_in(self, homes: Sequence[Home]) -> list[Home]:
        return [home for home in dict.fromkeys(homes) if self.room.inside(home)]

    def _single(self) -> list[Home]:
        """Every tank that one move can make: a group more or less, or other rock."""
        found = []
        for homes, now in zip(self.homes, self.room.now, strict=True):
            found += [home for home in homes if (home.who ^ now.who).bit_count() + (home.layout > 0) == 1]
        return found

    # ---- what is known of a tank

    def known(self, home: Home) -> Floats | None:
        """What each of those in a tank keeps by the trials that sift; None where it was not run."""
        if not self.room.inside(home):
            return np.zeros(0)
        if home not in self._kept:
            own = self.fares.get(home, {})
            if any(trial not in own for trial in self.shares.sift):
                return None
            self._kept[home] = self.mean(home, self.shares.sift)
        return self._kept[home]

    def mean(self, home: Home, trials: Sequence[int]) -> Floats:
        """What each of those in a tank keeps over some trials; those that were not run are left out."""
        if not self.room.inside(home):
            return np.zeros(0)
        own = self.fares[home]
        rows = np.array([own[trial] for trial in trials if trial in own])
        known = np.isfinite(rows)
        found: Floats = np.where(known, rows, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
        return found

    def surrogate(self) -> Surrogate:
        """Fitted to all that was run so far."""
        known = {home: kept for home in self.fares if (kept := self.known(home)) is not None}
        return fit(self.room, known)

    # ---- plans

    def _asked_for(self) -> list[Home]:
        """Tanks of the best plans that were not run: for each number of moves, as the error allows."""
        model = self.surrogate()
        self.errors.append(model.error)

        def hoped(home: Home) -> Floats:
            kept = self.known(home)
            return np.minimum(model.kept(home) + model.error, 1.0) if kept is None else kept

        tanks = self._choices(self.homes, [[hoped(home) for home in homes] for homes in self.homes])
        found = list(self._solve(tanks).values())
        found += self._rivals(tanks, found)[:1]
        homes = [h for one in found for h in self._moves(one, self.homes).homes]
        return [home for home in dict.fromkeys(homes) if self.known(home) is None]

    def _near(self) -> list[Moves]:
        """The best plan of each number of moves and the best one's rivals, by what was run to sift."""
        homes, tanks = self._run(self.shares.sift)
        best = self._ranked(tanks)
        if not best:
            raise RoomError(
                f"after {MOST_ROUNDS} rounds no plan consists of tanks that were run; allow fewer moves, or "
                "let fewer groups go everywhere"
            )
        every = [*best, *self._rivals(tanks, best), *self._rivals(tanks, best[1:])]
        near = [one for one in every if one in best or one.rank[0] >= best[0].rank[0] - NEAR]
        return [self._moves(one, homes) for one in dict.fromkeys(near)]

    def _best(self, trials: Sequence[int]) -> list[Moves]:
        """The best plans by all trials so far, of tanks that were run in all of them."""
        homes, tanks = self._run(trials)
        best = self._ranked(tanks)
        if self.taken is None:
            best = list(dict.fromkeys([*best[:FINALISTS], *self._rivals(tanks, best)[:1]]))
        return [self._moves(one, homes) for one in best]

    def _run(self, trials: Sequence[int]) -> tuple[list[list[Home]], list[Choices]]:
        """The tanks that were run in all of some trials, as choices."""

        def is_run(home: Home) -> bool:
            own = self.fares.get(home, {})
            return not self.room.inside(home) or all(trial in own for trial in trials)

        homes = [[home for home in some if is_run(home)] for some in self.homes]
        return homes, self._choices(homes, [[self.mean(home, trials) for home in some] for some in homes])

    def _ranked(self, tanks: Sequence[Choices]) -> list[Plan]:
        """The best plan of each number of moves; where one group is asked about, one for each tank."""
        if self.taken is None:
            return sorted(self._solve(tanks).values(), key=lambda one: one.rank, reverse=True)
        return self._every(tanks)

    def _rivals(self, tanks: Sequence[Choices], plans: Sequence[Plan]) -> list[Plan]:
        best = max(plans, key=lambda one: one.rank, default=None)
        if best is None or self.taken is not None:
            return []
        groups, moves = len(self.room.groups), self.most_moves
        return rivals(tanks, best, groups=groups, most_moves=moves, most_money=self._money)

    def _every(self, tanks: Sequence[Choices]) -> list[Plan]:
        """A plan for each tank that the group can go to, the best first."""
        found: list[Plan] = []
        left = list(tanks)
        while (best := best_of(self._solve(left))) is not None:
            found.append(best)
            came = next((t for t, pick in enumerate(best.picks) if left[t].who[pick] & ~left[t].home), None)
            if came is None:
                break
            left[came] = left[came].without(best.picks[came])
        return found

    def _choices(self, homes: Sequence[Sequence[Home]], fares: Sequence[Sequence[Floats]]) -> list[Choices]:
        own = [choices_of(self.room, t, some, fares[t]) for t, some in enumerate(homes)]
        return [*own, self._away]

    def _solve(self, tanks: Sequence[Choices]) -> dict[int, Plan]:
        return best_plans(
            tanks, groups=len(self.room.groups), most_moves=self.most_moves, most_money=self._money
        )

    def _moves(self, plan: Plan, homes: Sequence[Sequence[Home]]) -> Moves:
        found = tuple(some[pick] for some, pick in zip(homes, plan.picks[:-1], strict=True))
        return Moves(found, self.outs[plan.picks[-1]], plan)

    def rank(self, one: Moves, trials: Sequence[int]) -> tuple[float, float, int]:
        """How good a plan is by some trials; see :class:`Plan`."""
        kept = np.concatenate([self.mean(home, trials) for home in one.homes])
        points = int(np.floor(100.0 * kept.min() + 1e-9))
        return one.plan._replace(points=points, total=float(kept.sum())).rank
