"""What if, as numbers: each alternative against the base, worst-off fish and mild species first.

Nothing here is rated "good": a falling chase rate stands beside the hidden and pinned shares.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....sim.run.table import AS_STOCKED, Trials
from ....sim.scenario.scenario import Alternative, Scenario
from ...measures.groups import Group, common_trials, members, single_fish
from ...measures.groups import species as species_of
from ...measures.pinned import WorstOff as Ranked
from ...measures.pinned import lost_together, pinned, worst_off
from ...measures.rates import rate, tally, values_of
from ...measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ...measures.victim import group_of, victim_in
from ...measures.whom import FishGroup, Kind, kinds_of
from ...statistics.allocation import chance_best
from ...statistics.intervals import NAN, REPEATS, Count, Estimate, Floats, Interval, estimate
from ...statistics.multiple import WORSE, holm, verdict
from ...statistics.paired import Difference
from ...statistics.stopping import share_count
from .design import goal_bounds, is_fixed, paired_goal

WORST, CHOSEN, MILD, OTHERS = "worst", "chosen", "mild", "others"
MOSTLY = (
    0.5  # share of the variance owed to guesses from which their range is shown, however few tanks each has
)


@dataclass(frozen=True)
class Figure:
    """One goal of a group in the base and in an alternative, means over the tanks in which both have it."""

    goal: str
    before: float
    after: float
    difference: Difference
    told: bool  # the interval leaves out 0
    narrowed: float  # by which share pairing narrowed the interval; nan without a width
    guess_low: float  # 5th to 95th percentile of the differences by guess; nan with too few repeats
    guess_high: float


@dataclass(frozen=True)
class Whose:
    """The figures of a group. ``role`` is WORST, CHOSEN, MILD or OTHERS.

    For WORST the group is the worst-off fish of each tank, whichever that is in the base and whichever in
    the alternative: a fish picked because it did badly in these very tanks would seem to gain by any change.
    """

    role: str
    name: str
    figures: Mapping[str, Figure]  # by goal; differences have 0 trials where it is not in both tanks


@dataclass(frozen=True)
class WorstOff:
    """The fish described alike that lost most over all tanks of a scenario, and how they fare."""

    label: str
    species: str
    fish: int
    lost: Estimate
    received: float
    hidden: float
    pinned: Count


@dataclass(frozen=True)
class Fate:
    """What a change does to fish described alike that are in both tanks; ``p_value`` is corrected."""

    label: str
    species: str
    lost: Difference
    p_value: float


@dataclass(frozen=True)
class Against:
    """One alternative beside the base."""

    name: str
    changes: tuple[str, ...]
    trials: int  # tanks that both have
    same: bool  # every goal of every group was the same in every tank
    groups: tuple[Whose, ...]  # worst-off first, then the chosen one, the mild species, the others
    worst: WorstOff
    worse: tuple[Fate, ...]  # fish alike that lose more of their free swimming than in the base, told
    judged: int  # kinds of fish alike that are in both tanks

    def of(self, role: str) -> Whose | None:
        """The group of a role."""
        return next((one for one in self.groups if one.role == role), None)

    @property
    def chosen(self) -> Whose:
        """Whoever was asked for, the victim when nobody was."""
        found = self.of(CHOSEN)
        assert found is not None
        return found


class Chosen(NamedTuple):
    """For whom the best is looked for, and why."""

    group: Group
    why: str
    beside: str


def chosen_of(scenario: Scenario, base: Trials, asked: Group | FishGroup | None) -> Chosen:
    """Whoever was asked for or picked before; None: the victim in the trials of the base."""
    if isinstance(asked, Group):
        return Chosen(asked, "as you asked", "")
    whom = asked or victim_in(base, kinds_of(scenario))
    return Chosen(group_of(whom), whom.why, whom.beside)


def everywhere(
    scenario: Scenario, tables: Sequence[Trials], asked: Group | FishGroup | None
) -> Group | FishGroup | None:
    """Whoever was asked for; else the victim, or all of its species where some table has other fish of it.

    Six juveniles are held against a male and five females only so.
    """
    if asked is not None:
        return asked
    whom = victim_in(tables[0], kinds_of(scenario))
    fish = [one.arms[AS_STOCKED].fish for one in tables]
    if all(set(whom.labels) & set(one.label) for one in fish):
        return whom
    every = (pair for one in fish for pair in zip(one.label, one.species, strict=True))
    labels = dict.fromkeys(label for label, species in every if species == whom.species)
    return replace(whom, name=whom.species, labels=tuple(labels))


@dataclass(frozen=True)
class Comparison:
    """All that ``rockshy compare`` says; figures of the base come first where there is one a scenario."""

    title: str
    question: str
    whose: str  # name of the chosen group
    species: str
    fish: int  # in it
    why: str  # it is that one
    beside: str  # that it is not of the species that is watched; see rockshy.analysis.measures.victim
    watch: str
    watch_reason: str
    goal: str
    fixed: bool
    guesses: int
    names: tuple[str, ...]
    trials: tuple[int, ...]
    worst: WorstOff  # of the base
    levels: tuple[Estimate, ...]  # the goal of the chosen group in each scenario
    best: tuple[float, ...]  # chance to be the best for it; nan where it is not in the tank
    against: tuple[Against, ...]
    months: int | None = None  # that each was lived through; None: days one after the other
    since: float = 0.0  # the day of a life from which on its weeks count


def answer_of(
    base_scenario: Scenario,
    tables: Sequence[Trials],
    *,
    group: Group | FishGroup | None = None,
    goal: str = LOST,
    months: int | None = None,
    since: float = 0.0,
) -> Comparison:
    """Work out what the trials of a base and its alternatives say.

    Parameters
    ----------
    base_scenario : its ``alternatives`` name the others.
    tables : a table for each of them, base first, with the trials 0, 1, 2, ... of each.
    group, goal : for whom, see :func:`chosen_of`, and by what, the best is looked for.
    months, since : see :class:`Comparison`.

    Raises
    ------
    ValueError
        When there are not as many tables as scenarios, or nobody was in the base while it was measured.
    """
    base, alternatives = tables[0], base_scenario.alternatives
    if len(tables) != len(alternatives) + 1:
        raise ValueError(f"there are {len(tables)} tables; use {len(alternatives) + 1}, the base's first")
    if not base.arms[AS_STOCKED].lit_s.any():
        raise ValueError("no fish was in the tank in the measured time; measure longer or later")
    chosen = chosen_of(base_scenario, base, group)
    values = [values_of(table, measure=goal, group=chosen.group) for table in tables]
    return Comparison(
        title=base.title,
        question=base_scenario.question,
        whose=chosen.group.name,
        species=chosen.group.species,
        fish=int(members(base.arms[AS_STOCKED], group=chosen.group).any(axis=0).sum()),
        why=chosen.why,
        beside=chosen.beside,
        watch=base.watch,
        watch_reason=base.watch_reason,
        goal=goal,
        fixed=is_fixed(base),
        guesses=len(np.unique(base.arms[AS_STOCKED].draw)),
        names=("the tank as it is", *(one.name for one in alternatives)),
        trials=tuple(table.done for table in tables),
        worst=_worst_off(base, base_scenario),
        levels=tuple(_level(table, goal, chosen.group) for table in tables),
        best=chances(values, draw=base.arms[AS_STOCKED].draw, fixed=is_fixed(base)),
        against=tuple(
            _against(table, base=base, alternative=one, scenario=base_scenario, group=chosen.group)
            for one, table in zip(alternatives, tables[1:], strict=True)
        ),
        months=months,
        since=since,
    )


def chances(values: Sequence[Floats], *, draw: Sequence[int] | object, fixed: bool) -> tuple[float, ...]:
    """Chance to be the best of each, the base first; nan for those that have no value in any tank."""
    there = [k for k, one in enumerate(values) if np.isfinite(one).any()]
    found = np.full(len(values), np.nan)
    if 0 in there and len(there) > 1:
        found[there] = chance_best([values[k] for k in there], draw=np.asarray(draw), fixed=fixed)
    return tuple(float(chance) for chance in found)


def _level(table: Trials, goal: str, group: Group) -> Estimate:
    """A goal of one scenario by itself; the share of tanks for "pinned" with the interval of a count."""
    values, fixed = values_of(table, measure=goal, group=group), is_fixed(table)
    draw = table.arms[AS_STOCKED].draw
    found = estimate(values, draw=draw, bounds=goal_bounds(table, goal=goal), fixed=fixed)
    if goal != PINNED:
        return found
    count = share_count(values, draw=draw, fixed=fixed)
    return replace(
        found, **{name: getattr(count, name) for name in ("low", "high", "guess_low", "guess_high")}
    )


# ---- one alternative


def _against(
    other: Trials, *, base: Trials, alternative: Alternative, scenario: Scenario, group: Group
) -> Against:
    groups = [
        _whose(WORST, "worst-off fish of each tank", worst_in_tank(other), worst_in_tank(base), other, base)
    ]
    groups += [
        _whose(role, one.name, _goals(other, one), _goals(base, one), other, base)
        for role, one in _roles(base, group)
    ]
    fates = _fates(other, base, kinds_of(scenario))
    here, _ = common_trials(other.arms[AS_STOCKED], other=base.arms[AS_STOCKED])
    return Against(
        name=alternative.name,
        changes=alternative.changes,
        trials=len(here),
        same=all(_is_same(one) for one in groups) and all(_no_change(one.lost) for one in fates),
        groups=tuple(groups),
        worst=_worst_off(other, alternative.scenario),
        worse=tuple(one for one in fates if verdict(one.lost, p_value=one.p_value) == WORSE),
        judged=len(fates),
    )


def _roles(base: Trials, group: Group) -> list[tuple[str, Group]]:
    """Whom to look at: the chosen one, the mild species, the other species of the base."""
    arm = base.arms[AS_STOCKED]
    who = members(arm, group=group)
    every = sorted(species_of(arm), key=lambda one: one.species != base.watch)
    others = [one for one in every if (members(arm, group=one) != who).any()]
    return [(CHOSEN, group)] + [(MILD if one.species == base.watch else OTHERS, one) for one in others]


def _goals(table: Trials, group: Group) -> dict[str, Floats]:
    return {goal: values_of(table, measure=goal, group=group) for goal in GOALS}


def _whose(
    role: str, name: str, mine: Mapping[str, Floats], its: Mapping[str, Floats], other: Trials, base: Trials
) -> Whose:
    return Whose(role, name, {goal: figure(mine[goal], its[goal], goal, other, base) for goal in GOALS})


def figure(mine: Floats, its: Floats, goal: str, other: Trials, base: Trials) -> Figure:
    """One goal before and after, from a value a trial of each table, [t]."""
    found = paired_goal(mine, base=its, goal=goal, tables=(other, base))
    here, there = common_trials(other.arms[AS_STOCKED], other=base.arms[AS_STOCKED])
    change = mine[here] - its[there]
    known = np.isfinite(change)
    low, high = _over_guesses(goal, change[known], base.arms[AS_STOCKED].draw[there][known], is_fixed(base))
    return Figure(
        goal, _mean(its[there][known]), _mean(mine[here][known]), found, found.told, found.narrowed, low, high
    )


def _over_guesses(goal: str, change: Floats, draw: NDArray[np.int64], fixed: bool) -> Interval:
    """Range of a difference over guesses; none where it is the luck of single tanks for the most part."""
    one = estimate(change, draw=draw, fixed=fixed)
    enough = one.trials >= REPEATS * one.guesses or (goal != PINNED and one.ignorance >= MOSTLY)
    return (one.guess_low, one.guess_high) if enough else (NAN, NAN)


def _mean(values: Floats) -> float:
    return float(values.mean()) if len(values) else NAN


def _is_same(one: Whose) -> bool:
    return all(_no_change(found.difference) for found in one.figures.values())


def _no_change(found: Difference) -> bool:
    return found.better == found.worse == 0


# ---- the worst-off fish


def worst_in_tank(table: Trials) -> dict[str, Floats]:
    """Each goal of the worst-off fish of each tank, whichever it is there, [t]."""
    arm, worst = table.arms[AS_STOCKED], _ranked(table)
    place = {label: i for i, label in enumerate(arm.fish.label)}
    spot = np.searchsorted(arm.trial, worst.trial)
    known = np.array([label in place for label in worst.worst_in_tank], dtype=bool)
    fish = np.array([place.get(label, 0) for label in worst.worst_in_tank], dtype=np.int64)
    lost = {one.label: one.by_trial for one in worst.losses}
    figures, held = tally(table), pinned(table)
    values = {goal: np.full(len(arm.trial), np.nan) for goal in GOALS}
    for k in np.flatnonzero(known):
        i, j = spot[k], fish[k]
        values[LOST][i] = lost[arm.fish.label[j]][k]
        for goal in (RECEIVED, HIDDEN):
            parts = figures.parts(goal)
            values[goal][i] = parts.top[i, j] / parts.bottom[i, j]
        if held.counts[k, j]:
            values[PINNED][i] = held.pinned[k, j]
    return values


def _worst_off(table: Trials, scenario: Scenario) -> WorstOff:
    """The fish described alike that lost most over all tanks of a table."""
    arm, fixed = table.arms[AS_STOCKED], is_fixed(table)
    groups = [group for group in _alike(kinds_of(scenario), table) if members(arm, group=group).any()]
    lost = [(group, lost_together(table, group=group, fixed=fixed)) for group in groups]
    known = [(group, one) for group, one in lost if one is not None and math.isfinite(one.value)]
    first, most = max(known, key=lambda one: one[1].value)
    told = {
        goal: rate(tally(table), measure=goal, group=first, fixed=fixed).value for goal in (RECEIVED, HIDDEN)
    }
    wanted = np.isin(arm.fish.label, list(first.labels))
    count = pinned(table).count(wanted, fixed=fixed)
    return WorstOff(first.name, first.species, int(wanted.sum()), most, told[RECEIVED], told[HIDDEN], count)


def _alike(kinds: Sequence[Kind], *tables: Trials) -> list[Group]:
    """Fish described alike, as far as they were in all of some tables."""
    there = [{one.label for one in single_fish(table.arms[AS_STOCKED])} for table in tables]
    both = [(kind, frozenset(kind.labels).intersection(*there)) for kind in kinds]
    return [Group(species=kind.species, labels=here, title=kind.name) for kind, here in both if here]


def _ranked(table: Trials) -> Ranked:
    found = worst_off(table, fixed=is_fixed(table))
    if found is None or not found.losses:
        raise ValueError("nobody was in the tank in the measured time; measure longer or later")
    return found


def _fates(other: Trials, base: Trials, kinds: Sequence[Kind]) -> list[Fate]:
    """What the change does to fish described alike that are in both, in the order of the stock."""
    groups = _alike(kinds, other, base)
    found = [
        paired_goal(
            values_of(other, measure=LOST, group=one),
            base=values_of(base, measure=LOST, group=one),
            goal=LOST,
            tables=(other, base),
        )
        for one in groups
    ]
    judged = [k for k, one in enumerate(found) if not math.isnan(one.value)]
    corrected = holm([found[k].p_value for k in judged])
    return [
        Fate(groups[k].name, groups[k].species, found[k], float(p))
        for k, p in zip(judged, corrected, strict=True)
    ]
