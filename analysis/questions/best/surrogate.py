"""How a plan that was not run would fare: judged from the plans that were, group by group.

What each group of fish keeps is regressed on who they are, who else is there, and the room they have; the
worst-off group is then the least of those. Each plan that was run is foretold by a fit that has not seen it,
so the error that is reported is that of plans like these, the choice of the worst-off group included.

Source: BarberEtAl2021, GolubEtAl1979 (the regression, :mod:`rockshy.analysis.statistics.ridge`); assumption
(the columns).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.species.species import Species, library
from ...statistics import ridge
from ...statistics.intervals import Floats
from .space import Space, Stocking

SEXES = ("male", "female", "unsexed")
Group = tuple[str, str]  # species and sex
Fares = Mapping[Group, float]  # what each group of a plan keeps, on the mean
CHUNK = 512  # plans that are judged at once
FOLDS = 8


@dataclass(frozen=True)
class Columns:
    """Makes the columns of groups: who they are, who else is there, what room they have."""

    space: Space
    species: tuple[str, ...]
    traits: Floats  # [species, 3] temper of males and of females, length in cm
    genus: tuple[str, ...]
    liked: tuple[int, ...]  # place of each species of the wish list
    there: Floats  # [species, sexes] fish that are in the tank already

    def groups(self, plans: Sequence[Stocking]) -> tuple[list[Group], Floats, NDArray[np.int64]]:
        """The groups of some plans, plan by plan, a row of columns for each, and which plan each is of."""
        fish = np.array([self._fish(plan) for plan in plans])  # [plans, species, sexes]
        which, own, sex = np.nonzero(fish)
        found = [(self.species[i], SEXES[j]) for i, j in zip(own, sex, strict=True)]
        room = np.array([self._room(plan) for plan in plans])[which]
        return found, self._rows(fish[which], own, sex, room), which

    def _fish(self, plan: Stocking) -> Floats:
        """How many there are, [species, sexes]."""
        fish = self.there.copy()
        for own, (males, females) in zip(self.liked, plan.fish, strict=True):
            fish[own, 0] += males
            fish[own, 1] += females
        return fish

    def _room(self, plan: Stocking) -> list[float]:
        tank, rock = self.space.tanks[plan.tank], self.space.layout(plan)
        area, high = tank.length_cm * tank.width_cm / 1e4, rock.height_cm / tank.water_cm
        fish = self.space.count(plan)
        beside = [rock.piles / 4.0, fish / 10.0, fish / area / 20.0]
        return [tank.length_cm / 100.0, area, rock.cover, rock.cover**2, high, rock.cover * high, *beside]

    def _rows(self, fish: Floats, own: NDArray[np.int64], sex: NDArray[np.int64], room: Floats) -> Floats:
        """Columns of n groups; ``fish``: of the plan of each, [n, species, sexes]."""
        each = np.arange(len(own))
        mine = np.eye(len(self.species))[own]
        count, male = fish.sum(axis=2), (sex == 0).astype(float)
        others = count * (1.0 - mine)
        males, females, alike = fish[each, own, 0], fish[each, own, 1], count[each, own]
        by_each = (mine[:, :, None] * others[:, None, :]).reshape(len(own), -1) / 5.0
        beside = [
            male,
            (count > 0).sum(axis=1) / 4.0,
            males / 2.0,
            females / 5.0,
            male * males / 2.0,
            1.0 / alike,
            others.sum(axis=1) / 10.0,
            (fish[:, :, 0] * (1.0 - mine)).sum(axis=1) / 5.0,
        ]
        parts = [mine, mine * (1.0 - male)[:, None], np.column_stack(beside), room, count / 5.0]
        parts += [fish[:, :, 0] / 2.0, self._rivals(count, own)]
        parts += [mine * count.sum(axis=1)[:, None] / 10.0, mine * room[:, 2:3], by_each]
        return np.concatenate(parts, axis=1)

    def _rivals(self, count: Floats, own: NDArray[np.int64]) -> Floats:
        """By how much the others are hotter, larger and alike: sums over them, and the most."""
        hottest = self.traits[:, :2].max(axis=1)
        temper = np.maximum(0.0, hottest - hottest[own][:, None])
        larger = np.maximum(0.0, self.traits[:, 2] / self.traits[own, 2][:, None] - 1.0)
        genus = np.array(self.genus)
        alike = (genus == genus[own][:, None]) & (np.arange(len(genus)) != own[:, None])
        sums = [(one * count).sum(axis=1) / 10.0 for one in (temper, larger, alike)]
        most = [(one * (count > 0)).max(axis=1) for one in (temper, larger)]
        return np.column_stack([*sums, *most])


def columns_of(space: Space) -> Columns:
    """The columns for the plans of a space."""
    kinds: dict[str, Species] = {**library(), **space.base.species, **space.wanted.kinds}
    names = tuple(dict.fromkeys([*(one.species for one in space.wanted.liked), *sorted(space.kinds_there)]))
    traits = np.array([_traits(kinds[name]) for name in names])
    there = np.zeros((len(names), len(SEXES)))
    for one in space.there:
        there[names.index(one.species), SEXES.index(one.sex)] += 1
    liked = tuple(names.index(one.species) for one in space.wanted.liked)
    return Columns(space, names, traits, tuple(name.split(" ")[0] for name in names), liked, there)


def _traits(kind: Species) -> list[float]:
    names = ("temper", "temper_female", "length_max_male_cm")
    return [kind.traits[name].value if name in kind.traits else 1.0 for name in names]


@dataclass(frozen=True)
class Surrogate:
    """Fits of what groups keep, fold by fold, and how far they were out.

    Attributes
    ----------
    error : of the worst-off group of a plan, foretold without it: root of the mean square.
    told : the share of what differs between plans that it foretells, 0 to 1.
    """

    columns: Columns
    fitted: ridge.Fitted
    error: float
    told: float

    def worst(self, plans: Sequence[Stocking]) -> Floats:
        """What the worst-off group of each plan keeps by each fit, [folds, plans]."""
        parts = [self._worst(plans[k : k + CHUNK]) for k in range(0, len(plans), CHUNK)]
        return np.concatenate(parts, axis=1) if parts else np.zeros((len(self.fitted.offset), 0))

    def _worst(self, plans: Sequence[Stocking]) -> Floats:
        _, rows, which = self.columns.groups(plans)
        starts = np.searchsorted(which, np.arange(len(plans)))
        said = self.fitted.weights @ rows.T + self.fitted.offset[:, None]
        return np.asarray(np.minimum.reduceat(said, starts, axis=1))


def fit(columns: Columns, plans: Sequence[Stocking], fares: Sequence[Fares]) -> Surrogate:
    """Learn from plans that were run; ``fares``: what each group of each kept."""
    groups, rows, case = columns.groups(plans)
    kept = np.array([fares[k][group] for k, group in zip(case, groups, strict=True)])
    starts = np.searchsorted(case, np.arange(len(plans)))
    fitted = ridge.fit(rows, kept, folds=FOLDS, case=case)
    foretold = np.minimum.reduceat(kept - fitted.miss, starts)
    found = np.minimum.reduceat(kept, starts)
    error = float(np.sqrt(np.mean((foretold - found) ** 2)))
    spread = float(found.var())
    told = max(0.0, 1.0 - error**2 / spread) if spread > 0 else 0.0
    return Surrogate(columns, fitted, error, told)


def apart(one: Stocking, other: Stocking) -> int:
    """How many fish two plans differ by; another tank or rock counts as one fish more each."""
    fish = int(np.abs(np.subtract(one.fish, other.fish)).sum())
    return fish + (one.tank != other.tank) + (one.layout != other.layout)
