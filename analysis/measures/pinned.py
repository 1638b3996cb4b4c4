"""Pinned and worst off: who has given up coming out, and who has lost the most by it.

The definition is the project's own. A lit hour is a *pinned hour* of a fish when
it held no territory for most of it and at least 80 % of it lay within one place
(all water within 15 cm of swimming from one cell). A fish is *pinned* when at
least half of its lit hours are pinned hours and it swims free of that place at
most half as much as the same fish left alone. A species is pinned in a trial
when at least half of its fish that count are; holding females do not count.
Every number is a setting of :class:`PinnedRule`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ...sim.run.day_seen import FREEDOM_RATIO, HOURS_SHARE, OWNER_SHARE, PLACE_SHARE
from ...sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, FishList, Trials
from ..statistics.intervals import NAN, Count, Estimate, Floats, Interval, count_estimate, ratio_estimate
from .groups import Group, common_trials, members

SHARE_EDGES = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)  # the cut of 80 % is one of them
HOURS_EDGES = (0.0, 0.25, 0.5, 0.75, 1.0)
CUTS = (0.7, 0.8, 0.9)
SINGLE = (5.0, 95.0)  # percentiles: nine single fish of ten lie between them

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class PinnedRule:
    """The numbers of the definition, all shares from 0 to 1."""

    place_share: float = PLACE_SHARE  # of an hour within one place, at least
    owner_share: float = OWNER_SHARE  # of an hour holding a territory, less than
    hours_share: float = HOURS_SHARE  # of the lit hours that are pinned hours, at least
    freedom_ratio: float = FREEDOM_RATIO  # of the swimming outside the place when left alone, at most
    species_share: float = 0.5  # of the fish of a species that count, at least

    def __post_init__(self) -> None:
        for setting in fields(self):
            value = getattr(self, setting.name)
            if not 0 <= value <= 1:
                raise ValueError(f"{setting.name} is {value}; use 0 to 1")


@dataclass(frozen=True)
class Pinned:
    """Who was pinned in one arm; t trials (those the left-alone control shares), n fish.

    ``freedom_checked`` is False when there was no left-alone control: then
    ``outside_alone`` is nan and a fish counts as pinned by its hours alone.
    """

    rule: PinnedRule
    arm: str
    fish: FishList
    freedom_checked: bool
    trial: NDArray[np.int64]  # [t]
    draw: NDArray[np.int64]  # [t]
    hours: Floats  # [t, n] share of lit time that lay in pinned hours; nan when never in
    outside: Floats  # [t, n] share of lit time swimming free outside the place of the hour
    outside_alone: Floats  # [t, n] the same when left alone
    counts: Bools  # [t, n] was in the tank and is no holding female
    pinned: Bools  # [t, n]

    def species_pinned(self, *, species: str) -> tuple[Bools, Bools]:
        """In which trials a species is pinned, and in which it has a fish that counts, both [t]."""
        return self.enough_pinned(np.array(self.fish.species) == species)

    def enough_pinned(self, wanted: Bools) -> tuple[Bools, Bools]:
        """The same of any fish, [n], as of a species."""
        counting = (self.counts & wanted).sum(axis=1)
        held = (self.pinned & self.counts & wanted).sum(axis=1)
        return (counting > 0) & (held >= self.rule.species_share * counting), counting > 0

    def count_species(self, *, species: str, fixed: bool = False) -> Count:
        """Tanks in which the species was pinned, of those that had a fish of it that counts."""
        return self.count(np.array(self.fish.species) == species, fixed=fixed)

    def count(self, wanted: Bools, *, fixed: bool = False) -> Count:
        """Tanks in which enough of some fish, [n], were pinned, of those that had one that counts."""
        held, judged = self.enough_pinned(wanted)
        return count_estimate(held[judged], draw=self.draw[judged], fixed=fixed)

    def count_fish(self, *, label: str, fixed: bool = False) -> Count:
        """Tanks in which one fish was pinned, of those in which it counts."""
        return self.count(np.array(self.fish.label) == label, fixed=fixed)


@dataclass(frozen=True)
class Loss:
    """What one fish has lost of the free-swimming time it would have if left alone."""

    label: str
    lost: Estimate  # share of that time, 1 all of it; below 0 when it swims more than left alone
    by_trial: Floats = field(repr=False)  # [t] the same in each tank; nan where it swims nowhere left alone


@dataclass(frozen=True)
class WorstOff:
    """All fish, the worst off first, over the trials that both arms have."""

    losses: tuple[Loss, ...]
    worst_in_tank: tuple[str, ...]  # [t] label of the fish that lost the largest share in each tank
    trial: NDArray[np.int64]
    draw: NDArray[np.int64]


def pinned_hours(arm: Arm, *, rule: PinnedRule | None = None) -> Bools:
    """Which measured hours are pinned hours, [t, n, h]; an hour without lit time in the tank is not."""
    setting = rule or PinnedRule()
    lit = arm.hour_lit_s > 0
    no_owner = arm.hour_owner_s < setting.owner_share * arm.hour_lit_s
    return np.asarray(lit & no_owner & (arm.hour_share >= setting.place_share))


def pinned_time(arm: Arm, *, rule: PinnedRule | None = None) -> tuple[Floats, Floats]:
    """Seconds of lit time that lay in pinned hours, and all of it, both [t, n].

    Hours count by their lit time in the tank, so that the few minutes of a fish
    that is taken out early in an hour do not weigh like an hour.
    """
    held = np.where(pinned_hours(arm, rule=rule), arm.hour_lit_s, 0.0).sum(axis=2)
    return held, arm.hour_lit_s.sum(axis=2)


def pinned(trials: Trials, *, arm: str = AS_STOCKED, rule: PinnedRule | None = None) -> Pinned:
    """Judge every fish of an arm in every trial by the definition above.

    A fish that swims nowhere even when left alone has lost nothing and is not
    pinned, whatever its hours.

    Raises
    ------
    KeyError
        If the trials have no arm of this name.
    """
    return judge(trials.arms[arm], trials.arms.get(LEFT_ALONE), rule=rule)


def judge(table: Arm, alone: Arm | None, *, rule: PinnedRule | None = None) -> Pinned:
    """The same for an arm and its yardstick, the fish left alone."""
    setting = rule or PinnedRule()
    here = np.arange(len(table.trial))
    if alone is not None:
        here, _ = common_trials(table, other=alone)
    hours, outside = _shares(table, setting)
    in_place = hours[here] >= setting.hours_share  # nan is not: never in the tank
    freedom = np.full((len(here), len(table.fish)), np.nan)
    held = in_place
    if alone is not None:
        freedom = _of_same_fish(_shares(alone, setting)[1], alone, table)
        held = in_place & (freedom > 0) & (outside[here] <= setting.freedom_ratio * freedom)
    counts = members(table, group=Group())[here] & ~table.held[here]
    return Pinned(
        setting,
        table.name,
        table.fish,
        alone is not None,
        table.trial[here],
        table.draw[here],
        hours[here],
        outside[here],
        freedom,
        counts,
        held & counts,
    )


def freedom_alone(arm: Arm, alone: Arm) -> Floats:
    """Share of lit time each fish of an arm swims free left alone, in the trials both have, [t, n]."""
    return _of_same_fish(free_shares(alone), alone, arm)


def by_cut(
    trials: Trials,
    *,
    species: str,
    cuts: Sequence[float] = CUTS,
    arm: str = AS_STOCKED,
    rule: PinnedRule | None = None,
    fixed: bool = False,
) -> dict[float, Count]:
    """Tanks in which a species is pinned when "one place" means another share of the hour."""
    setting = rule or PinnedRule()
    held = {cut: pinned(trials, arm=arm, rule=replace(setting, place_share=cut)) for cut in cuts}
    return {cut: found.count_species(species=species, fixed=fixed) for cut, found in held.items()}


def share_distribution(arm: Arm, *, group: Group, edges: ArrayLike = SHARE_EDGES) -> Floats:
    """Share of a group's lit time by the largest share of the hour in one place, one value a bin.

    Bins hold their lower edge, the last one both; nan without lit time.
    """
    who = members(arm, group=group)[:, :, None] & (arm.hour_lit_s > 0)
    return _histogram(arm.hour_share[who], arm.hour_lit_s[who], np.asarray(edges, dtype=float))


def hours_distribution(
    arm: Arm, *, group: Group, rule: PinnedRule | None = None, edges: ArrayLike = HOURS_EDGES
) -> Floats:
    """Share of a group's fish (each in each tank) by the share of their lit hours that were pinned hours."""
    who = members(arm, group=group)
    held, lit = pinned_time(arm, rule=rule)
    values = held[who] / lit[who]
    return _histogram(values, np.ones(len(values)), np.asarray(edges, dtype=float))


def worst_off(trials: Trials, *, fixed: bool = False) -> WorstOff | None:
    """Rank the fish by the share they lost of the free-swimming time they would have if left alone.

    The loss of a fish is 1 - (mean share of lit time swimming free) / (the same
    left alone), over paired trials: the mean of its losses by trial, weighted by
    what it would have had, so that a fish which hardly swims anyway in one trial
    does not decide. Chases received are no part of it: a pinned fish is chased less.

    Returns
    -------
    WorstOff, or None when there is no left-alone control to compare with.
    """
    table, alone = trials.arms[AS_STOCKED], trials.arms.get(LEFT_ALONE)
    if alone is None:
        return None
    here, _ = common_trials(table, other=alone)
    free = free_shares(table)[here]
    freedom = freedom_alone(table, alone)
    draw = table.draw[here]
    share_lost = 1 - _per(free, freedom)
    losses = [
        Loss(label, _loss(free[:, i], freedom[:, i], draw, fixed), share_lost[:, i])
        for i, label in enumerate(table.fish.label)
        if np.isfinite(free[:, i]).any()
    ]
    losses.sort(key=lambda loss: -np.nan_to_num(loss.lost.value, nan=-np.inf))
    return WorstOff(
        tuple(losses), _worst_labels(share_lost, freedom - free, table.fish.label), table.trial[here], draw
    )


def lost_together(trials: Trials, *, group: Group, fixed: bool = False) -> Estimate | None:
    """What some fish have lost, taken together: as :func:`worst_off`, of their mean shares in each trial.

    Trials in which there is none of them, such as of a sex that is drawn, say nothing.
    """
    table, alone = trials.arms[AS_STOCKED], trials.arms.get(LEFT_ALONE)
    if alone is None:
        return None
    here, _ = common_trials(table, other=alone)
    who = members(table, group=group)[here]
    free = _mean_of(free_shares(table)[here], who)
    freedom = _mean_of(freedom_alone(table, alone), who)
    return _loss(free, freedom, table.draw[here], fixed)


def lost_range(trials: Trials, *, group: Group) -> Interval:
    """5th to 95th percentile of what single fish of a group lose in single tanks; nan: none is judged."""
    table, alone = trials.arms[AS_STOCKED], trials.arms.get(LEFT_ALONE)
    if alone is None:
        return NAN, NAN
    here, _ = common_trials(table, other=alone)
    lost = 1 - _per(free_shares(table)[here], freedom_alone(table, alone))
    known = lost[members(table, group=group)[here] & np.isfinite(lost)]
    if not len(known):
        return NAN, NAN
    low, high = np.percentile(known, SINGLE)
    return float(low), float(high)


def _mean_of(values: Floats, who: Bools) -> Floats:
    """[t] mean of the values of some fish, [t, n]; nan without any."""
    return _per(np.where(who, values, 0.0).sum(axis=1), who.sum(axis=1).astype(float))


def _loss(free: Floats, freedom: Floats, draw: NDArray[np.int64], fixed: bool) -> Estimate:
    kept = ratio_estimate(free, bottom=freedom, draw=draw, most=1.0, fixed=fixed)
    return replace(
        kept,
        value=1 - kept.value,
        low=1 - kept.high,
        high=1 - kept.low,
        guess_low=1 - kept.guess_high,
        guess_high=1 - kept.guess_low,
    )


def least_lost(freedom: Floats) -> float:
    """The least that any fish can lose on average: no fish swims free for more than all of its time.

    Parameters
    ----------
    freedom : [t, n] share of lit time swimming free left alone, at most 1; a fish with none loses nothing.

    Returns
    -------
    float : 0 or below; 0 where all swim free all the time when left alone, and without trials.
    """
    if not freedom.size:
        return 0.0
    known = np.where(np.isfinite(freedom) & (freedom > 0), freedom, 1.0)
    return float((1.0 - 1.0 / known.min(axis=1)).mean())


def free_shares(arm: Arm) -> Floats:
    """Share of lit time in which each fish swam free, [t, n]; nan where it was never in."""
    return _per(arm.free_s, arm.lit_s)


def _worst_labels(share: Floats, amount: Floats, label: tuple[str, ...]) -> tuple[str, ...]:
    """Fish with the largest share lost in each trial; of equals the one that lost more time."""
    worst = []
    for lost, time in zip(share, amount, strict=True):
        known = np.flatnonzero(np.isfinite(lost))
        worst.append(label[max(known, key=lambda i: (lost[i], time[i], -i))] if len(known) else "")
    return tuple(worst)


def _shares(arm: Arm, rule: PinnedRule) -> tuple[Floats, Floats]:
    held, lit = pinned_time(arm, rule=rule)
    return _per(held, lit), _per(arm.hour_outside_s.sum(axis=2), lit)


def _of_same_fish(values: Floats, source: Arm, arm: Arm) -> Floats:
    """Values of ``source`` [t, n] in the trials both arms have, put in the order of the fish of ``arm``."""
    _, there = common_trials(arm, other=source)
    found = np.full((len(there), len(arm.fish)), np.nan)
    place = {label: i for i, label in enumerate(source.fish.label)}
    for i, label in enumerate(arm.fish.label):
        if label in place:
            found[:, i] = values[there, place[label]]
    return found


def _per(top: Floats, bottom: Floats) -> Floats:
    return np.divide(top, bottom, out=np.full(top.shape, np.nan), where=bottom > 0)


def _histogram(values: Floats, weights: Floats, edges: Floats) -> Floats:
    inside = np.clip(values, edges[0], edges[-1])  # a share may exceed 1 by rounding
    counted = np.histogram(inside, bins=edges, weights=weights)[0]
    total = float(weights.sum())
    return np.asarray(counted / total if total > 0 else np.full(len(edges) - 1, np.nan))
