"""Which group belongs into which tank, as numbers, all of them from trials in which nothing was chosen.

Plans are held against each other trial by trial. How likely each is the best is asked of the means of all
fares at once: the worst off of a plan is another group in another run.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ...measures.plight import WORDS, word
from ...statistics.allocation import drawn_gains, standing
from ...statistics.intervals import Estimate, Floats, estimate
from ...statistics.multiple import LEVEL, holm
from ...statistics.paired import Difference, paired_difference
from ...study.runner import Announce, Run
from ..orders import Ordered
from .assign import MOVE_POINTS
from .choices import taken_by
from .design import Design, Plan
from .order import Step, in_order
from .room import Home, Room, members
from .search import Moves

COSTS_FROM = 0.1  # share kept that company must cost before it is named (assumption)


class Fare(NamedTuple):
    """What fish keep of their day in a tank, 0 to 1."""

    owner: int
    name: str
    fish: int
    tank: str
    kept: Estimate

    @property
    def plight(self) -> str:
        """How bad that is, in a word."""
        return word(1.0 - self.kept.value)


@dataclass(frozen=True)
class Placed:
    """One plan: who is where, how all fare there, and what it takes.

    Attributes
    ----------
    fares : of everybody in the room, the worst off first.
    steps : what is done, in order.
    moves, money : how many moves and how much of the keeper's money.
    bought, given : names of groups that come into the room or leave it.
    chance : to be the best of the plans here; nan where there is nothing to hold it against.
    gain : what the worst off keep more than the worst off now, trial by trial.
    allowed : it keeps every limit, as the present state may not.
    """

    homes: tuple[Home, ...]
    fares: tuple[Fare, ...]
    steps: tuple[Step, ...]
    moves: int
    money: int
    bought: tuple[str, ...]
    given: tuple[str, ...]
    chance: float
    gain: Difference
    allowed: bool

    @property
    def worst(self) -> Fare:
        """The fare of those who are worst off."""
        return self.fares[0]

    def of(self, owner: int) -> Fare | None:
        """The fare of a group; None where it is not in the room."""
        return next((one for one in self.fares if one.owner == owner), None)


@dataclass(frozen=True)
class Company:
    """What one group costs another in the same tank."""

    who: str
    by: str
    tank: str
    kept: Difference  # with them less without
    p_value: float  # corrected for the number of pairs


@dataclass(frozen=True)
class Tried:
    """A group in a tank, by trials that only sift: what it keeps and what the worst off of the others do."""

    group: int
    tank: int
    kept: float
    worst: float
    before: float  # what that one keeps without the group; nan where it is in the tank now

    @property
    def others_fall(self) -> bool:
        """Whether somebody is shut away who was not."""
        was, now = word(1.0 - self.before), word(1.0 - self.worst)
        return now == WORDS[-1] != was != ""


@dataclass(frozen=True)
class Placing:
    """Every number of the answer.

    Attributes
    ----------
    now : the room as it is. ``plans``: the chosen one first.
    apart : groups that cost others much, the worst first.
    tried : each move by itself.
    errors : what the surrogate was amiss by, round by round; ``settled``: it had nothing more to ask for.
    possible, run : how many different tanks the limits allow, and how many of them were run.
    """

    plan: Plan
    now: Placed
    plans: tuple[Placed, ...]
    apart: tuple[Company, ...]
    tried: tuple[Tried, ...]
    errors: tuple[float, ...]
    settled: bool
    possible: int
    run: int
    tanks: int
    fresh: int
    stopped: bool
    rows: tuple[tuple[object, ...], ...] = field(repr=False)
    order: Ordered | None = None  # over weeks, of the plan that is put forward; None where nobody asked

    @property
    def room(self) -> Room:
        return self.plan.room

    @property
    def best(self) -> Placed:
        """The plan that is put forward."""
        return self.plans[0]

    @property
    def no_place(self) -> tuple[Tried, ...]:
        """Tanks in which a group, or somebody because of it, would be shut away, the worst first."""
        bad = [
            one
            for one in self.tried
            if self.room.groups[one.group].now != one.tank
            and (word(1.0 - one.kept) == WORDS[-1] or one.others_fall)
        ]
        return tuple(sorted(bad, key=lambda one: min(one.kept, one.worst)))

    @property
    def stays(self) -> bool:
        """Whether nothing is worth doing."""
        return self.best.homes == self.now.homes


def answer_of(plan: Plan, run: Run, *, told: Announce | None = None) -> Placing:
    """Search the room and work out what fresh trials say of what was found; see ``Design``.

    Raises
    ------
    RoomError
        When no plan keeps every limit, or none was found within the rounds.
    """
    work = Design(plan)
    work.carry_out(run, told)
    room, search = plan.room, work.search
    trials = work.fresh
    now = Moves(room.now, _out_now(room), search.finalists[0].plan)
    first = _urgent(work, trials)
    chances = _chances(work, search.finalists, trials)
    plans = [
        _placed(work, one, now, trials, first, chance)
        for one, chance in zip(search.finalists, chances, strict=True)
    ]
    as_it_is = next((one for one in plans if one.homes == room.now), None)
    return Placing(
        plan=plan,
        now=as_it_is or _placed(work, now, now, trials, first, np.nan),
        plans=tuple(plans),
        apart=_apart(work),
        tried=_tried(work),
        errors=tuple(search.errors),
        settled=search.settled,
        possible=sum(bool(room.inside(home)) for homes in search.homes for home in homes),
        run=len(search.fares),
        tanks=work.tanks,
        fresh=len(trials),
        stopped=work.stopped,
        rows=_rows(work, now, trials),
    )


def _out_now(room: Room) -> int:
    return sum(1 << g for g, one in enumerate(room.groups) if one.now is None)


def _urgent(work: Design, trials: Sequence[int]) -> tuple[int, ...]:
    """Groups in the order in which they are caught: those that must come out, then the worst off."""
    kept: dict[int, float] = {}
    for home in work.room.now:
        kept |= dict(zip(work.room.inside(home), work.search.mean(home, trials).tolist(), strict=True))
    groups = range(len(work.room.groups))
    return tuple(sorted(groups, key=lambda g: (not work.room.groups[g].must_leave, kept.get(g, 1.0))))


# ---- one plan


def _placed(
    work: Design, one: Moves, now: Moves, trials: Sequence[int], first: tuple[int, ...], chance: float
) -> Placed:
    room = work.room
    fares = _fares(work, one, trials)
    taken = [taken_by(room, home) for home in one.homes]
    given = [g for g in members(one.out) if room.groups[g].now is not None]
    bought = [g for home in one.homes for g in members(home.who) if room.groups[g].is_wish]
    return Placed(
        homes=one.homes,
        fares=fares,
        steps=in_order(room, one, first),
        moves=sum(moves for moves, _ in taken) + len(given),
        money=sum(money for _, money in taken) - sum(room.groups[g].gives or 0 for g in given),
        bought=tuple(room.groups[g].name for g in bought),
        given=tuple(room.groups[g].name for g in given),
        chance=chance,
        gain=_gain(work, one, now, trials),
        allowed=all(not work.search.allowed.broken(home) for home in one.homes),
    )


def _fares(work: Design, one: Moves, trials: Sequence[int]) -> tuple[Fare, ...]:
    room, draw = work.room, work.draws(tuple(trials))
    found = []
    for home in one.homes:
        values = _values(work, home, trials)
        for k, owner in enumerate(room.inside(home)):
            kept = estimate(values[:, k], draw=np.array(draw), fixed=room.run.fixed)
            found.append(Fare(owner, room.names[owner], room.sizes[owner], room.tanks[home.tank].name, kept))
    return tuple(sorted(found, key=lambda fare: fare.kept.value))


def _values(work: Design, home: Home, trials: Sequence[int]) -> Floats:
    """[t, inside] what those in a tank keep."""
    if not work.room.inside(home):
        return np.zeros((len(trials), 0))
    own = work.search.fares[home]
    return np.array([own[trial] for trial in trials]).reshape(len(trials), -1)


def _gain(work: Design, one: Moves, now: Moves, trials: Sequence[int]) -> Difference:
    """What the worst off of the plan keep more than the worst off now; each are one group in all trials."""

    def worst(moves: Moves) -> Floats:
        values = np.hstack([_values(work, home, trials) for home in moves.homes if work.room.inside(home)])
        found: Floats = values[:, int(np.nanargmin(np.nanmean(values, axis=0)))]
        return found

    draw = np.array(work.draws(tuple(trials)))
    if not any(work.room.inside(home) for home in now.homes):
        now = one
    return paired_difference(
        worst(one),
        base=worst(now),
        draw=draw,
        bounds=(-1.0, 1.0),
        fixed=work.room.run.fixed,
        lower_is_better=False,
    )


def _chances(work: Design, plans: Sequence[Moves], trials: Sequence[int]) -> list[float]:
    """Chance that each plan is the best, by the rule by which they were found.

    The means of all fares are drawn together from a multivariate t about the observed ones.
    """
    if len(plans) < 2:
        return [np.nan] * len(plans)
    places: dict[tuple[Home, int], int] = {}
    columns: list[Floats] = []
    for home in dict.fromkeys(home for one in plans for home in one.homes):
        values = _values(work, home, trials)
        for k in range(len(work.room.inside(home))):
            places[home, k] = len(columns)
            columns.append(values[:, k])
    draw = np.array(work.draws(tuple(trials)))
    found = standing([np.zeros(len(trials)), *columns], draw=draw, fixed=work.room.run.fixed)
    if found.free < 1 or not np.isfinite(found.gain).all():
        return [np.nan] * len(plans)
    drawn = drawn_gains(found)[1:]  # [columns, draws]
    scores = []
    for one in plans:
        own = drawn[[places[home, k] for home in one.homes for k in range(len(work.room.inside(home)))]]
        points = np.floor(100.0 * own.min(axis=0)) - MOVE_POINTS * one.plan.moves
        scores.append(points + 0.5 * own.sum(axis=0) / work.room.owners)
    wins = np.array(scores) >= np.max(scores, axis=0)
    return [float(share) for share in (wins / wins.sum(axis=0)).mean(axis=1)]


# ---- who costs whom


def _apart(work: Design) -> tuple[Company, ...]:
    """Pairs of a group and somebody whom its company costs much, told from luck over all such pairs."""
    room, fares = work.room, work.search.fares
    found: list[Company] = []
    for home, g in itertools.product(fares, range(len(room.groups))):
        without = home._replace(who=home.who & ~(1 << g))
        if not home.who >> g & 1 or without not in fares:
            continue
        trials = [trial for trial in fares[home] if trial in fares[without]]
        one, other = _values(work, home, trials), _values(work, without, trials)
        inside = room.inside(home)
        for k, owner in enumerate(room.inside(without)):
            cost = paired_difference(
                one[:, inside.index(owner)],
                base=other[:, k],
                draw=np.array(work.draws(tuple(trials))),
                bounds=(-1.0, 1.0),
                fixed=room.run.fixed,
                lower_is_better=False,
            )
            tank = room.tanks[home.tank].name
            found.append(Company(room.names[owner], room.groups[g].name, tank, cost, cost.p_value))
    corrected = holm([one.p_value for one in found])
    told = [
        Company(one.who, one.by, one.tank, one.kept, float(p))
        for one, p in zip(found, corrected, strict=True)
        if p <= LEVEL and one.kept.value <= -COSTS_FROM
    ]
    return tuple(sorted(told, key=lambda one: one.kept.value))


def _tried(work: Design) -> tuple[Tried, ...]:
    """Each group in each tank to which it was moved by itself, and in its own."""
    room, found = work.room, []
    for g, one in enumerate(room.groups):
        for t, now in enumerate(room.now):
            home = now._replace(who=now.who | 1 << g)
            kept = work.search.known(home)
            if kept is None or (one.now is None and not one.may_go):
                continue
            inside = room.inside(home)
            others = {k: float(value) for k, value in zip(inside, kept, strict=True) if k != g}
            least = min(others, key=lambda k: others[k], default=None)
            without = work.search.known(home._replace(who=home.who & ~(1 << g)))
            old = {} if without is None else dict(zip((k for k in inside if k != g), without, strict=True))
            worst, before = (np.nan, np.nan) if least is None else (others[least], old.get(least, np.nan))
            found.append(Tried(g, t, float(kept[inside.index(g)]), worst, float(before)))
    return tuple(found)


def _rows(work: Design, now: Moves, trials: Sequence[int]) -> tuple[tuple[object, ...], ...]:
    """Plan, tank, group, trial, draw, share kept; plan 0 is the room as it is."""
    room = work.room
    plans: Mapping[int, Moves] = dict(enumerate([now, *work.search.finalists]))
    return tuple(
        (number, room.tanks[home.tank].name, room.names[owner], trial, draw, float(values[i, k]))
        for number, one in plans.items()
        for home in one.homes
        for values in [_values(work, home, trials)]
        for k, owner in enumerate(room.inside(home))
        for i, (trial, draw) in enumerate(zip(trials, work.draws(tuple(trials)), strict=True))
    )
