"""Who is who over a life: which males turned up, who holds ground, who chases whom, by week or by month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...measures.groups import SEXES
from ...measures.registry import SECONDS_PER_HOUR
from ...measures.whom import Kind, kinds_of
from ...statistics.intervals import Floats
from .design import Life, Plan
from .months import lost_of, mean_of, weights
from .trouble import Trouble


@dataclass(frozen=True)
class Males:
    """Tanks in which so many of the unsexed fish turned out male; in how many of them it went wrong, and
    what the fish told of lost over the whole life, mean.
    """

    males: int
    tanks: int
    wrong: int
    lost: float


@dataclass(frozen=True)
class Turned:
    """What the unsexed fish of a kind turned out to be; ``showed``: males mature at the end, mean."""

    name: str
    species: str
    fish: int
    by_males: tuple[Males, ...]
    showed: float


@dataclass(frozen=True)
class Part:
    """One sex of a species, as the fish turned out."""

    species: str
    sex: str

    @property
    def name(self) -> str:
        return f"{self.species} {self.sex}"


@dataclass(frozen=True)
class Ground:
    """A part of the fish by stretch of time: share of its days that one of them holds ground, and of the
    tanks in which the fish that holds most is one of them.
    """

    part: Part
    holds: tuple[float, ...]
    holds_most: tuple[float, ...]


@dataclass(frozen=True)
class Chased:
    """Chases by one part on another: of each fish that is chased and lit hour, model scale, by stretch."""

    by: Part
    of: Part
    an_hour: tuple[float, ...]


@dataclass(frozen=True)
class Stretches:
    """What all lives come to in some stretches of time, such as weeks: nan where nobody is in."""

    ground: tuple[Ground, ...]
    chased: tuple[Chased, ...]


def parts_of(life: Life) -> tuple[Part, ...]:
    """All that there can be, in the order of the stock list."""
    species = dict.fromkeys(life.rows[0].species)
    return tuple(Part(one, sex) for one in species for sex in SEXES)


def turned_of(plan: Plan, lives: Sequence[Life], told_of: Kind, trouble: Trouble) -> tuple[Turned, ...]:
    """Each kind that has unsexed fish."""
    wrong = np.array([one.day is not None for one in trouble.onsets])
    edges = np.array([0.0]), np.array([float(plan.days)])
    whole = [weights(one, *edges, days=plan.days) for one in lives]
    both = zip(lives, whole, strict=True)
    lost = np.array([lost_of(one, told_of.labels, weight)[0] for one, weight in both])
    found = []
    for kind in kinds_of(plan.scenario):
        of_kind = np.isin(lives[0].rows[0].labels, kind.labels) & lives[0].unsexed
        if not of_kind.any():
            continue
        males = np.array([int((one.male & of_kind).sum()) for one in lives])
        showed = [int((one.male & of_kind & one.adult[-1]).sum()) for one in lives]
        rows = tuple(
            Males(k, int(here.sum()), int(wrong[here].sum()), mean_of(lost[here]))
            for k, here in ((k, males == k) for k in sorted(set(males.tolist())))
        )
        found.append(Turned(kind.name, kind.species, int(of_kind.sum()), rows, float(np.mean(showed))))
    return tuple(found)


def stretches_of(lives: Sequence[Life], stretches: Sequence[Floats]) -> Stretches:
    """Ground and chases.

    Parameters
    ----------
    stretches : for each life [s, b], days of each of s stretches that each measured day stands for.
    """
    parts = parts_of(lives[0])
    tables = [_tables(life, weight, parts) for life, weight in zip(lives, stretches, strict=True)]
    lit, held, most, chases, days = (np.sum(one, axis=0) for one in zip(*tables, strict=True))
    seen = np.flatnonzero(lit.any(axis=0))
    ground = tuple(Ground(parts[g], _told(held[:, g], lit[:, g]), _told(most[:, g], days)) for g in seen)
    chased = tuple(
        Chased(parts[g], parts[h], _told(chases[:, g, h], lit[:, h]))
        for h in seen
        for g in seen
        if chases[:, g, h].any()
    )
    return Stretches(ground, chased)


def _tables(
    life: Life, weight: Floats, parts: Sequence[Part]
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """By stretch: fish-hours in and held of each part, days on which it holds most, chases, all days."""
    sexes = np.array([SEXES[0] if male else SEXES[1] for male in life.male])
    species = np.array(life.rows[0].species)
    of = np.array([(species == one.species) & (sexes == one.sex) for one in parts]).T.astype(float)  # [n, g]
    lit = np.array([row.lit_s for row in life.rows]) / SECONDS_PER_HOUR  # [b, n]
    chases = np.array([of.T @ _chases(life, k) @ of for k in range(len(life.rows))])  # [b, g, g]
    top = of[life.owner.argmax(axis=1)] * (life.owner.max(axis=1) > 0)[:, None]
    return (
        weight @ (lit @ of),
        weight @ ((lit * life.owner) @ of),
        weight @ top,
        np.tensordot(weight, chases, axes=1),
        weight.sum(axis=1),
    )


def _chases(life: Life, k: int) -> Floats:
    found = life.rows[k].chases
    assert found is not None
    return np.asarray(found, dtype=float)


def _told(top: Floats, bottom: Floats) -> tuple[float, ...]:
    found = np.divide(top, bottom, out=np.full(np.shape(top), np.nan), where=bottom > 0)
    return tuple(float(one) for one in found)
