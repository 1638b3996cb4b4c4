"""The answer: from the Trials table to a tree of numbers, worst-off fish first.

:func:`answer` works the numbers out, :func:`words` says them to a keeper,
:func:`to_json` hands them to a program. No number is worked out in the words.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm, Trials
from ...document.files import plain
from ...measures.givers import Giver, givers
from ...measures.groups import Group, kinds, members, single_fish, species
from ...measures.pinned import (
    CUTS,
    HOURS_EDGES,
    SHARE_EDGES,
    Pinned,
    PinnedRule,
    WorstOff,
    by_cut,
    hours_distribution,
    lost_range,
    lost_together,
    pinned,
    pinned_hours,
    share_distribution,
    worst_off,
)
from ...measures.rates import Tally, Trend, of_tanks, rates, ratio, tally, trend
from ...measures.registry import SECONDS_PER_HOUR, SHARE
from ...measures.victim import victim_in
from ...measures.whom import FishGroup, Kind
from ...statistics.intervals import (
    CONFIDENCE,
    DRAW_PERCENTILES,
    Count,
    Estimate,
    Floats,
    Interval,
    count_estimate,
    estimate,
)
from .turned import Turned, turned_of
from .words import words

__all__ = ["Answer", "Portrait", "Spread", "answer", "run_json", "to_json", "words"]

HIERARCHY = ("linearity", "steepness", "consistency")


@dataclass(frozen=True)
class Portrait:
    """Everything about one fish, several that are alike, one sex of a species, or one species.

    ``figures`` holds, arm by arm, the measures of :data:`.rates.RATES`.
    """

    label: str
    labels: tuple[str, ...]  # of the fish that it is about
    species: str
    sex: str  # "male", "female", "" when it varies or both are meant
    holding: bool
    fish: float  # mean number of fish of the group in a tank
    figures: Mapping[str, Mapping[str, Estimate]]
    ratio_own_kind: Estimate | None  # chases received, times those with its own kind only
    lost: Estimate | None  # share of the free-swimming time it would have if left alone
    single_fish: Interval  # what single fish of it lose in single tanks, 5th to 95th percentile
    pinned: Mapping[str, Count]


@dataclass(frozen=True)
class Spread:
    """A whole distribution for the watched species, one list of shares for each arm."""

    edges: tuple[float, ...]
    shares: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True)
class Answer:
    """What the trials of one scenario say; every number of the printed answer.

    Attributes
    ----------
    asked, done, guesses, measured_hours : trials asked for and finished, draws, lit hours measured.
    fish, alike, species, kinds : a :class:`Portrait` each, worst off first; rates an hour, shares 0 to 1.
    hierarchy, trends, place_spread, hours_spread, cuts : of the tank and of the run.

    Source
    ------
    See :func:`answer`.
    """

    title: str
    watch: str
    watch_reason: str
    asked: int
    done: int
    guesses: int
    fixed: bool  # nothing unmeasured was drawn: there is no range over guesses
    controls: Mapping[str, int]  # trials of each control that was run
    measured_hours: float  # lit hours measured, mean over fish and trials
    rule: PinnedRule
    freedom_checked: bool
    gone: Mapping[str, tuple[int, int]]  # species -> fish of it that were out by then, and in the stock
    fish: tuple[Portrait, ...]  # worst off first
    most_chased: str  # label of the fish with most chases received an hour
    alike: tuple[Portrait, ...]  # fish that are the same to the model taken together, worst off first
    turned: tuple[Turned, ...]  # those of ``alike`` whose fish are unsexed, by what they turned out to be
    whom: FishGroup  # whom the first lines are about, the victim: nearly always the first of these
    most_chased_alike: str  # the label of those of them with most chases received an hour
    givers: tuple[Giver, ...]  # who chases the victim, the largest share first
    worst_in_tank: Mapping[str, Count]  # species -> tanks whose worst-off fish was one of it
    species: tuple[Portrait, ...]  # the watched one first
    kinds: tuple[Portrait, ...]
    hierarchy: Mapping[str, Estimate]  # of all fish of a tank, from who chases whom
    trends: Mapping[str, Trend]  # "received", "hidden", "pinned_hours"; empty when too short to tell
    place_spread: Spread  # lit hours by their largest share in one place
    hours_spread: Spread  # fish by their share of pinned hours
    cuts: Mapping[float, Count]  # watched species pinned, by another cut for "one place"

    @property
    def victim(self) -> Portrait:
        """The portrait of ``whom``."""
        return next(one for one in self.alike if set(one.labels) <= set(self.whom.labels))


def answer(trials: Trials, *, alike: Sequence[Kind] = (), rule: PinnedRule | None = None) -> Answer:
    """Work out the answer of one scenario.

    Parameters
    ----------
    trials : see :func:`rockshy.sim.run.trials.run_trials`; ``trials.recipe["fixed"]`` says whether the
        drawing of unmeasured numbers was switched off.
    alike : fish that the stock list describes alike, which headline and ranking take together, see
        :func:`rockshy.analysis.measures.whom.kinds_of`; each fish stands alone without.
    rule : what counts as pinned; the project's own when None.

    Returns
    -------
    Answer
        Chases and bites an hour of lit time on the model's own scale, shares 0 to 1, lit hours.

    Raises
    ------
    ValueError
        When no trial was finished or nobody was in the tank while it was measured.

    Source
    ------
    Intervals: rockshy.analysis.statistics.intervals names theirs; what *pinned* means is the project's own.
    """
    if trials.done == 0:
        raise ValueError("no trial was finished, so there is nothing to answer from; run at least one")
    stocked = trials.arms[AS_STOCKED]
    if not stocked.lit_s.any():
        raise ValueError("no fish was in the tank in the measured time; measure longer or later")
    setting = rule or PinnedRule()
    work = _Work(trials, setting, fixed=bool(trials.recipe.get("fixed", False)))
    ranked = _ranked([work.portrait(group) for group in single_fish(stocked)])
    together = _ranked([work.portrait(group) for group in _together(single_fish(stocked), alike)])
    kept = [work.portrait(group) for group in species(stocked)]
    table = work.tables[AS_STOCKED]
    whom = victim_in(trials, [*alike, *_others(stocked, alike)])
    return Answer(
        title=trials.title,
        watch=trials.watch,
        watch_reason=trials.watch_reason,
        asked=trials.asked,
        done=trials.done,
        guesses=len(np.unique(stocked.draw)),
        fixed=work.fixed,
        controls={name: len(arm.trial) for name, arm in trials.arms.items() if name != AS_STOCKED},
        measured_hours=float(stocked.lit_s[stocked.lit_s > 0].mean() / SECONDS_PER_HOUR),
        rule=setting,
        freedom_checked=work.held[AS_STOCKED].freedom_checked,
        gone=_gone(stocked),
        fish=ranked,
        most_chased=_most_chased(ranked),
        alike=together,
        turned=turned_of(trials, table, together, draw=work.portrait, fixed=work.fixed),
        whom=whom,
        most_chased_alike=_most_chased(together),
        givers=givers(stocked, labels=whom.labels, fixed=work.fixed),
        worst_in_tank=work.worst_in_tank(),
        species=tuple(sorted(kept, key=lambda one: one.species != trials.watch)),
        kinds=tuple(work.portrait(group) for group in kinds(stocked)),
        hierarchy={
            name: estimate(of_tanks(table, measure=name), draw=stocked.draw, bounds=SHARE, fixed=work.fixed)
            for name in HIERARCHY
        },
        trends=work.trends(),
        place_spread=work.spread(SHARE_EDGES, share_distribution),
        hours_spread=work.spread(HOURS_EDGES, partial(hours_distribution, rule=setting)),
        cuts=work.cuts(),
    )


class _Work:
    """Tables that several parts of the answer share, worked out once."""

    def __init__(self, trials: Trials, rule: PinnedRule, *, fixed: bool) -> None:
        self.trials, self.rule, self.fixed = trials, rule, fixed
        self.tables: dict[str, Tally] = {name: tally(trials, arm=name, rule=rule) for name in trials.arms}
        # A fish left alone is the yardstick of the freedom condition, so it is never pinned itself.
        self.held: dict[str, Pinned] = {
            name: pinned(trials, arm=name, rule=rule) for name in trials.arms if name != LEFT_ALONE
        }
        self.worst: WorstOff | None = worst_off(trials, fixed=fixed)
        self.losses = {loss.label: loss.lost for loss in self.worst.losses} if self.worst else {}

    def portrait(self, group: Group) -> Portrait:
        stocked = self.trials.arms[AS_STOCKED]
        who = members(stocked, group=group)
        labels = tuple(np.array(stocked.fish.label)[who.any(axis=0)].tolist())
        figures = {
            name: rates(table, group=group, fixed=self.fixed)
            for name, table in self.tables.items()
            if members(table.arm, group=group).any()
        }
        own = self.tables.get(OWN_KIND) if OWN_KIND in figures else None
        return Portrait(
            label=group.name,
            labels=labels,
            species=group.species,
            sex=group.sex or _one_sex(stocked, group),
            holding=_is_fish(group) and bool(stocked.fish.holding[who.any(axis=0)].all()),
            fish=float(who.sum(axis=1).mean()),
            figures=figures,
            ratio_own_kind=ratio(self.tables[AS_STOCKED], control=own, group=group, fixed=self.fixed)
            if own
            else None,
            lost=self._lost(group),
            single_fish=lost_range(self.trials, group=group),
            pinned=self._pinned(group),
        )

    def _lost(self, group: Group) -> Estimate | None:
        if group.labels:
            return lost_together(self.trials, group=group, fixed=self.fixed)
        return self.losses.get(group.label)

    def _pinned(self, group: Group) -> dict[str, Count]:
        counts = {}
        for name, held in self.held.items():
            wanted = np.array(
                [_has(group, *one) for one in zip(held.fish.label, held.fish.species, strict=True)]
            )
            if wanted.any() and not group.sex:
                counts[name] = held.count(wanted, fixed=self.fixed)
        return counts

    def worst_in_tank(self) -> dict[str, Count]:
        """Tanks by the species of their worst-off fish, the most frequent first."""
        if self.worst is None:
            return {}
        fish = self.trials.arms[AS_STOCKED].fish
        kind = dict(zip(fish.label, fish.species, strict=True))
        found = np.array([kind.get(label, "") for label in self.worst.worst_in_tank])
        known = found != ""
        counts = {
            name: count_estimate(found[known] == name, draw=self.worst.draw[known], fixed=self.fixed)
            for name in dict.fromkeys(fish.species)
        }
        return dict(sorted(counts.items(), key=lambda item: -item[1].hits))

    def trends(self) -> dict[str, Trend]:
        arm = self.trials.arms[AS_STOCKED]
        held_s = np.where(pinned_hours(arm, rule=self.rule), arm.hour_lit_s, 0.0)
        found = {
            "received": trend(arm, fixed=self.fixed),
            "hidden": trend(arm, hourly=arm.hour_hidden_s, per_s=1.0, bounds=SHARE, fixed=self.fixed),
            "pinned_hours": trend(arm, hourly=held_s, per_s=1.0, bounds=SHARE, fixed=self.fixed),
        }
        return {name: moved for name, moved in found.items() if moved is not None}

    def cuts(self) -> dict[float, Count]:
        """The watched species pinned by the usual cuts and by the one asked for."""
        cuts = sorted({*CUTS, self.rule.place_share})
        return by_cut(self.trials, species=self.trials.watch, cuts=cuts, rule=self.rule, fixed=self.fixed)

    def spread(self, edges: tuple[float, ...], distribution: Callable[..., Floats]) -> Spread:
        watched = Group(species=self.trials.watch)
        shares = {
            name: tuple(map(float, distribution(arm, group=watched, edges=edges)))
            for name, arm in self.trials.arms.items()
        }
        return Spread(edges, shares)


def _gone(arm: Arm) -> dict[str, tuple[int, int]]:
    """How many fish of each species were in no tank while it was measured, and of how many."""
    stock = Counter(arm.fish.species)
    out = Counter(np.array(arm.fish.species)[~(arm.lit_s > 0).any(axis=0)].tolist())
    return {name: (out[name], stock[name]) for name in stock if out[name]}


def _together(single: list[Group], alike: Sequence[Kind]) -> list[Group]:
    """Fish that are alike as one group where several of them were in the tank, the others one by one."""
    there = {one.label: one for one in single}
    groups = []
    for kind in alike:
        labels = [label for label in kind.labels if label in there]
        if len(labels) > 1:
            groups.append(Group(species=kind.species, labels=frozenset(labels), title=kind.name))
            there = {label: one for label, one in there.items() if label not in labels}
    return [*there.values(), *groups]


def _others(arm: Arm, alike: Sequence[Kind]) -> list[Kind]:
    """The fish that belong to none of these, one by one."""
    known = {label for kind in alike for label in kind.labels}
    single = [one for one in single_fish(arm) if one.label not in known]
    return [Kind(one.label, one.species, (one.label,)) for one in single]


def _is_fish(group: Group) -> bool:
    return bool(group.label or group.labels)


def _has(group: Group, label: str, species: str) -> bool:
    """Whether a fish belongs to a group, its sex aside."""
    return (label in (group.labels or {group.label})) if _is_fish(group) else species == group.species


def _ranked(portraits: list[Portrait]) -> tuple[Portrait, ...]:
    """Worst off first: most lost against left alone; without that control, least free swimming."""

    def badness(one: Portrait) -> float:
        value = one.lost.value if one.lost else -one.figures[AS_STOCKED]["free"].value
        return value if math.isfinite(value) else -math.inf

    return tuple(sorted(portraits, key=lambda one: -badness(one)))


def _most_chased(portraits: tuple[Portrait, ...]) -> str:
    found = max(portraits, key=lambda one: np.nan_to_num(one.figures[AS_STOCKED]["received"].value))
    return found.label if found.figures[AS_STOCKED]["received"].value > 0 else ""


def _one_sex(arm: Arm, group: Group) -> str:
    seen = np.unique(arm.sex[members(arm, group=group)]) if _is_fish(group) else np.array([])
    return ("male", "female")[int(seen[0])] if len(seen) == 1 else ""


def to_json(answer: Answer) -> dict[str, object]:
    """The answer as plain dicts, lists, texts and numbers; what could not be told is None, never nan."""
    tree = plain(answer)
    assert isinstance(tree, dict)
    return {"confidence": CONFIDENCE, "guess_percentiles": list(DRAW_PERCENTILES), **tree}


def run_json(
    answer: Answer, *, question: str, options: Sequence[str] = (), beside: Mapping[str, object] | None = None
) -> dict[str, object]:
    """What ``rockshy run --json`` prints; options as typed; ``beside`` stands before the answer."""
    return {"question": question, "options": list(options), **(beside or {}), **to_json(answer)}
