"""What a room is told about a scenario, as plain numbers: no word and no picture yet."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, Trials
from ...sim.scenario.scenario import Scenario
from ..document.plain import called
from ..document.typed import Typed
from ..measures.groups import Group, kinds, members, species
from ..measures.rates import values_of
from ..measures.registry import HIDDEN, LOST, PINNED, RECEIVED
from ..measures.whom import kinds_of
from ..questions.answer.answer import answer as answer_in_full
from ..questions.answer.brief import first_lines
from ..questions.compare.answer import Against, Comparison, answer_of
from ..questions.compare.design import goal_bounds, is_fixed
from ..statistics.intervals import estimate
from .plain import jargon_in
from .spots import Spots
from .verdicts import Verdict, judge, moved

Floats = NDArray[np.float64]

BASE = "the tank as it is"
MOST_GROUPS = 6  # rows of who chases whom; the rest stand together
REST = "all others"
LONGEST = 80  # signs of a name inside a sentence; no name of a file is longer


@dataclass(frozen=True)
class SetUp:
    """How the watched fish fare in one set-up."""

    name: str
    changes: tuple[str, ...]
    tanks: int  # simulated tanks in which it can be pinned
    pinned: int  # of these, in which it was
    lost: float  # share of its free swimming lost, over all tanks; nan where it cannot be told
    half: float  # give or take
    by_tank: tuple[float, ...]  # the same, tank by tank
    chased: float  # times an hour, one fish, model scale
    hidden: float  # share of the lit time
    way: str = ""  # against the base: a word of :func:`rockshy.analysis.talk.verdicts.moved`
    held_told: bool = False  # whether pinning surely changed


@dataclass(frozen=True)
class Chasers:
    """Who chases whom, in the tank as it is: chases an hour that one fish of the column gets from a row."""

    groups: tuple[str, ...]
    fish: tuple[float, ...]  # of each group in a tank, on average
    rates: Floats  # [g, g] row chases column
    hidden: tuple[float, ...]  # share of its lit time that each group hides
    by_sex: bool  # groups are sexes of one species


@dataclass(frozen=True)
class Facts:
    """Everything of the talk but why and how much rock, which are answers of their own."""

    scenario: Scenario
    watch: str  # species
    tanks: int  # simulated tanks of each set-up
    setups: tuple[SetUp, ...]  # the base first
    best: int | None  # place of the alternative that looks best for the watched fish
    strips: Mapping[int, tuple[Spots, ...]]  # by place of the set-up
    chasers: Chasers | None  # None where nobody is there to chase
    verdict: Verdict | None  # None without an argument, or without an alternative
    answer: Comparison | None
    lines: tuple[str, ...] = ()  # the answer in short, for the tank as it is

    @property
    def typical(self) -> int:
        """The trial in which the watched fish lost a middling share; of those that are shown."""
        shown = [one.trial for one in self.strips.get(0, ())]
        lost = [(self.base.by_tank[trial], trial) for trial in shown if trial < len(self.base.by_tank)]
        known = sorted(one for one in lost if math.isfinite(one[0]))
        return known[(len(known) - 1) // 2][1] if known else shown[0] if shown else 0

    @property
    def base(self) -> SetUp:
        return self.setups[0]


def facts_of(scenario: Scenario, tables: Sequence[Trials], strips: Mapping[int, Sequence[Spots]]) -> Facts:
    """Work it out from the tables of the base and of each alternative, on the same trials.

    ``strips`` are single tanks by place of the set-up: the base's, and those of the best alternative. Raises
    ValueError when nobody was in the base while it was measured.
    """
    watch = tables[0].watch
    group = Group(species=watch)
    answer = answer_of(scenario, tables, group=group, goal=LOST) if len(tables) > 1 else None
    against = answer.against if answer else ()
    names = [(BASE, ()), *((one.name, one.changes) for one in scenario.alternatives)]
    setups = [
        _setup(table, group, name, changes, against[k - 1] if k else None)
        for k, (table, (name, changes)) in enumerate(zip(tables, names, strict=True))
    ]
    return Facts(
        scenario=scenario,
        watch=watch,
        tanks=tables[0].done,
        setups=tuple(setups),
        best=best_of(answer),
        strips={place: _marked(some, tables[place], group) for place, some in strips.items()},
        chasers=chasers_of(tables[0].arms[AS_STOCKED]),
        verdict=_verdict(scenario, against),
        answer=answer,
        lines=_lines(scenario, tables[0]),
    )


def _lines(scenario: Scenario, table: Trials) -> tuple[str, ...]:
    """The first lines of the answer that a room understands."""
    answered = answer_in_full(table, alike=kinds_of(scenario))
    verdict, *others = first_lines(answered, scenario)
    told = (verdict, *_followed(scenario, table.watch, answered.victim.species), *others)
    return tuple(one for one in told if not jargon_in(one))


def _followed(scenario: Scenario, watch: str, worst: str) -> tuple[str, ...]:
    """Which fish before and after are about, where others are worse off."""
    if watch == worst:
        return ()
    why = "which the file asks about" if scenario.run.watch else "the mildest here by temper and timidity"
    who = Typed(scenario).name(called(watch, watch))
    return (f"What the changes do is told of {who}, {why}.",)


def _marked(some: Sequence[Spots], table: Trials, group: Group) -> tuple[Spots, ...]:
    """Single tanks with whether the watched fish were pinned in them, as the counts have it."""
    values = values_of(table, measure=PINNED, group=group)
    held = dict(zip(table.arms[AS_STOCKED].trial.tolist(), values.tolist(), strict=True))
    return tuple(
        replace(one, pinned=None if math.isnan(held.get(one.trial, math.nan)) else bool(held[one.trial]))
        for one in sorted(some, key=lambda one: one.trial)
    )


def best_of(answer: Comparison | None) -> int | None:
    """Place of the alternative most likely to be the best for the watched fish; None without one."""
    if answer is None:
        return None
    known = [k for k, chance in enumerate(answer.best) if k and math.isfinite(chance)]
    return max(known, key=lambda k: answer.best[k], default=None)


def _setup(
    table: Trials, group: Group, name: str, changes: tuple[str, ...], against: Against | None
) -> SetUp:
    held = values_of(table, measure=PINNED, group=group)
    known = np.isfinite(held)
    has_alone = LEFT_ALONE in table.arms
    lost = values_of(table, measure=LOST, group=group) if has_alone else np.full(table.done, np.nan)
    arm = table.arms[AS_STOCKED]
    bounds = goal_bounds(table, goal=LOST) if has_alone else (-math.inf, 1.0)
    found = estimate(lost, draw=arm.draw, bounds=bounds, fixed=is_fixed(table))
    figures = against.chosen.figures if against else None
    return SetUp(
        name=name,
        changes=changes,
        tanks=int(known.sum()),
        pinned=int(held[known].sum()),
        lost=found.value,
        half=(found.high - found.low) / 2,
        by_tank=tuple(float(value) for value in lost),
        chased=_average(values_of(table, measure=RECEIVED, group=group)),
        hidden=_average(values_of(table, measure=HIDDEN, group=group)),
        way=moved(figures[LOST].difference) if figures else "",
        held_told=bool(figures and figures[PINNED].told),
    )


def _average(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else math.nan


def _verdict(scenario: Scenario, against: Sequence[Against]) -> Verdict | None:
    if scenario.argument is None or not against:
        return None
    figures = against[0].chosen.figures
    lost, held, name = figures[LOST].difference, figures[PINNED].difference, against[0].name
    short = name if len(name) <= LONGEST else f"{name[: LONGEST - 1].rstrip()}\u2026"
    return judge(lost, held, change=f"\u201c{short}\u201d", same=against[0].same)


# ---- who chases whom


def chasers_of(arm: Arm) -> Chasers | None:
    """Chases between species, or between the sexes of a single species; None with one fish or none.

    A rate is the chases that all fish of the row give, for each fish of the column and lit hour.
    """
    if arm.lit_s.any(axis=0).sum() < 2:
        return None
    groups = species(arm)
    by_sex = len(groups) == 1
    if by_sex:
        groups = kinds(arm)
    who = [members(arm, group=one) for one in groups]
    names = [f"{one.sex}s" if by_sex else one.species for one in groups]
    if len(groups) > MOST_GROUPS:
        order = np.argsort([-float(one.sum()) for one in who], kind="stable")
        kept = sorted(order[: MOST_GROUPS - 1])
        rest = np.any([who[k] for k in order[MOST_GROUPS - 1 :]], axis=0)
        names, who = [*(names[k] for k in kept), REST], [*(who[k] for k in kept), rest]
    lit_h = [float(np.where(one, arm.lit_s, 0.0).sum()) / 3600.0 for one in who]
    rates = np.zeros((len(who), len(who)))
    for i, chasing in enumerate(who):
        for j, chased in enumerate(who):
            both = chasing[:, :, None] & chased[:, None, :]
            rates[i, j] = float(arm.chases[both].sum()) / lit_h[j] if lit_h[j] else 0.0
    hidden_h = [float(np.where(one, arm.hidden_s, 0.0).sum()) / 3600.0 for one in who]
    hidden = tuple(part / whole if whole else 0.0 for part, whole in zip(hidden_h, lit_h, strict=True))
    fish = tuple(float(one.sum(axis=1).mean()) for one in who)
    return Chasers(tuple(names), fish, rates, hidden, by_sex)
