"""How much rock, as numbers: what was seen at each amount, the least that does, what more rock does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from ....sim.scenario.scenario import Scenario
from ...measures.registry import BITES, FREE, HIDDEN, PINNED, RECEIVED
from ...measures.victim import WORST_OFF
from ...measures.whom import FishGroup
from ...statistics.intervals import CONFIDENCE, NAN, Count, Estimate
from ...statistics.multiple import holm
from ...statistics.paired import Difference
from .amount import Amount, amount_of
from .design import Design, Plan
from .grid import Grid, is_bare
from .least import CANNOT_TELL, FOUND, Least, hinges, trials_needed
from .rows import SWEPT, Table

NOTICED = 0.03  # of the day swimming about, that a keeper would notice: a judgement


@dataclass(frozen=True)
class AmountFigures:
    """What was seen at one amount of rock."""

    values: tuple[float, ...]
    said: str
    own: bool
    run: int  # simulated tanks
    pinned: Count
    received: Estimate  # this and bites on model scale
    hidden: Estimate
    free: Estimate
    bites: Estimate
    against_own: Difference | None  # pinned here less pinned in the keeper's tank now, trial by trial


@dataclass(frozen=True)
class Change:
    """The surest rise or fall of a measure with more rock along a line, trial by trial."""

    measure: str
    less: int  # places of the two amounts
    more: int
    difference: Difference  # with more rock less with less
    p_value: float  # corrected for all pairs of amounts looked at (Holm)
    pairs: int

    @property
    def rises(self) -> bool:
        """Whether there is more of it with more rock."""
        return self.difference.value > 0

    @property
    def is_worse(self) -> bool:
        """Whether the species is the worse off by it."""
        return not self.difference.improved


@dataclass(frozen=True)
class Line:
    """The answer along one line: everything at one height, say, or the whole sweep."""

    places: tuple[int, ...]  # of the amounts, ascending
    other: float | None  # value of the second axis
    least: Least
    within: tuple[int, ...]  # places with at most the wanted share of their tanks, each by itself
    changes: tuple[Change, ...]
    trials_more: float  # at the largest amount, until it can be told; 0 when it can, inf where it never will
    ask_for: int  # trials at each amount that would be enough, in whole rounds; 0 where none would
    minutes_more: float

    @property
    def found(self) -> int | None:
        """Place of the least amount, or None."""
        return self.places[self.least.place] if self.least.place < len(self.places) else None


@dataclass(frozen=True)
class RockAnswer:
    """Every number of the printed answer about how much rock."""

    title: str
    question: str
    species: str
    why: str  # why it is this species
    beside: str  # that it is not the species that is watched; see rockshy.analysis.measures.victim
    level: float
    fixed: bool
    monotone: bool
    guesses: int
    most_trials: int
    measured_hours: int
    tanks: int
    stopped: bool
    remarks: tuple[str, ...]
    amounts: tuple[AmountFigures, ...]
    lines: tuple[Line, ...]


def answer_of(swept: Design, *, scenario: Scenario) -> RockAnswer:
    """Work out the answer from what was run so far.

    Parameters
    ----------
    scenario : the keeper's own, for its title and question.

    Raises
    ------
    ValueError
        When no tank judges the species.
    """
    plan, table = swept.plan, swept.table
    if not any(len(table.tried(place).hits) for place in range(table.amounts)):
        raise ValueError(f"no simulated tank has a fish of {swept.species} that counts")
    each_s = swept.seconds / swept.fresh if swept.fresh else NAN
    run = plan.scenarios[0].run
    return RockAnswer(
        title=scenario.title,
        question=scenario.question,
        species=swept.species,
        why=_why(swept.whom),
        beside=swept.whom.beside,
        level=plan.level,
        fixed=plan.fixed,
        monotone=plan.monotone,
        guesses=1 if plan.fixed else len({row.draw for row in swept.rows.values()}),
        most_trials=plan.trials,
        measured_hours=max(1, math.floor((run.days - run.settle_days) * run.lit_hours + 1e-9)),
        tanks=len(swept.rows),
        stopped=swept.stopped,
        remarks=plan.grid.remarks,
        amounts=tuple(_amounted(plan.grid, table, place) for place in range(table.amounts)),
        lines=tuple(_line(plan, table, k, each_s) for k in range(len(plan.grid.lines))),
    )


def _why(whom: FishGroup) -> str:
    """Why it is this species: which of its fish are the worst off, where it has several kinds."""
    if whom.name == whom.species or whom.why != WORST_OFF:
        return whom.why
    return f"{whom.name.removeprefix(whom.species).strip()} of it are {whom.why}"


def _amounted(grid: Grid, table: Table, place: int) -> AmountFigures:
    own = grid.own
    against = None
    if own is not None and own != place:
        against = table.difference(own, place, name=PINNED)
    return AmountFigures(
        values=grid.points[place].values,
        said=grid.short(place),
        own=grid.points[place].own,
        run=table.run(place),
        pinned=table.count(place),
        received=table.estimate(place, name=RECEIVED),
        hidden=table.estimate(place, name=HIDDEN),
        free=table.estimate(place, name=FREE),
        bites=table.estimate(place, name=BITES),
        against_own=against,
    )


def _line(plan: Plan, table: Table, number: int, each_s: float) -> Line:
    places = plan.grid.lines[number]
    found = plan.least(table, places)
    more, minutes, asked = 0.0, 0.0, 0
    if found.verdict == CANNOT_TELL:
        more = minutes = trials_needed(table.tried(places[-1]), level=plan.level)
        if math.isfinite(more):
            rounds = math.ceil((table.run(places[-1]) + more) / plan.a_round)
            asked = plan.a_round * max(1, rounds)
            tanks = sum(max(0, asked - table.run(places[k])) for k in hinges(found))
            minutes = tanks * each_s / 60.0
    other = plan.grid.axes[1].values[number] if len(plan.grid.axes) == 2 else None
    within = tuple(place for place in places if table.tried(place).share <= plan.level)
    return Line(places, other, found, within, tuple(changes(table, places)), more, asked, minutes)


def changes(table: Table, places: Sequence[int]) -> list[Change]:
    """The surest rise and the surest fall of each measure along a line, where they are beyond doubt.

    All pairs of amounts are compared trial by trial and the p values corrected for their number.
    """
    pairs = list(combinations(places, 2))
    found: list[Change] = []
    for measure in SWEPT:
        compared = [table.difference(less, more, name=measure) for less, more in pairs]
        corrected = holm([one.p_value for one in compared])
        seen = [
            Change(measure, *pair, difference, float(p_value), len(pairs))
            for pair, difference, p_value in zip(pairs, compared, corrected, strict=True)
            if p_value <= 1 - CONFIDENCE
        ]
        for rises in (True, False):
            told = [one for one in seen if one.rises == rises]
            found += sorted(told, key=lambda one: (one.p_value, -abs(one.difference.value)))[:1]
    return found


def least_of_use(answer: RockAnswer, places: Sequence[int]) -> int:
    """The least amount of a line with which fish swim about as much as with any, as far as one notices."""
    free = {place: answer.amounts[place].free.value for place in places}
    known = {place: value for place, value in free.items() if math.isfinite(value)}
    enough = max(known.values(), default=0.0) - NOTICED
    return min((place for place, value in known.items() if value >= enough), default=places[0])


def weighed(plan: Plan, answer: RockAnswer) -> tuple[int | None, Amount | None]:
    """The amount found, the least where several lines have one; the keeper's own where none does."""
    found = [line.found for line in answer.lines if line.least.verdict == FOUND and line.found is not None]
    places = found or [place for place in (plan.grid.own,) if place is not None]
    known: list[tuple[int, Amount | None]] = []
    for place in dict.fromkeys(places):
        scenario = plan.grid.points[place].scenario
        known.append((place, None if is_bare(scenario.rock) else amount_of(scenario)))
    if not known:
        return None, None
    return min(known, key=lambda one: 0.0 if one[1] is None else one[1].bulk_l.middle)
