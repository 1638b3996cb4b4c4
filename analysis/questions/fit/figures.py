"""A watch as a handful of figures: the same from a tally and from a simulated tank watched alike.

A figure is of a group of fish: how many of them hide when the tank is looked over, how often they are chased
and chase. Rates are taken as logarithms, shares as the arcsine of their root, so that a figure scatters
about alike wherever it is. From three watches on, how much the watches differ is a figure too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ....sim.rules.support.random_numbers import generator
from ....sim.run.days import TICK_S
from ....sim.scenario.scenario import Scenario
from ...statistics.intervals import Floats
from ...statistics.misfit import Misfit, misfit
from ..watching.rows import GIVEN, HIDDEN, RECEIVED, Row, TalliedRow, looks_in, model_values, rows_of, seen_of
from ..watching.tally import Tally
from ..watching.windows import Watched, labels_of, windows_of

USED = (HIDDEN, RECEIVED, GIVEN)
FEWEST_SPREAD = 3  # watches from which on it is looked at how much they differ
MOST_MISSED = 0.6  # share of the acts that a watcher may overlook; each simulated tank draws its own
NEAR_H = 1.5  # hours: a window as late after the light came on as the watch, give or take so much
Kind = tuple[float, int, float | None]  # of a watch: minutes, looks, hours since the light came on
_SAID = {HIDDEN: "hidden", RECEIVED: "chased", GIVEN: "chasing"}


class NoFigureError(ValueError):
    """A tally says nothing that can be held against the model; the message says why."""


@dataclass(frozen=True)
class Figure:
    """One figure of a tally, and where it comes from."""

    seen: TalliedRow
    spread: bool = False  # how much the watches differ, instead of what they say together

    @property
    def row(self) -> Row:
        return self.seen.row

    @property
    def name(self) -> str:
        """``"Tropheus duboisi females: hidden"``."""
        differ = ", from watch to watch" if self.spread else ""
        return f"{self.row.name}: {_SAID[self.row.measure]}{differ}"

    def of(self, top: Floats, bottom: Floats) -> float:
        """Its value from tops and bottoms in the watches that count for it, [k]."""
        if not self.spread:
            return float(_even(self.row, top.sum(), bottom.sum()))
        return float(np.std(_even(self.row, top, bottom), ddof=1))

    def far(self, values: Floats) -> Floats:
        """Values of the figure on a scale that goes on where a share ends; half a look keeps it finite."""
        if self.row.measure != HIDDEN:
            return values
        looks = float(np.nansum(self.seen.bottom))
        hidden = looks * np.sin(values) ** 2
        found: Floats = np.log((hidden + 0.5) / (looks - hidden + 0.5))
        return found


def _even(row: Row, top: Floats | float, bottom: Floats | float) -> Floats:
    """A share or rate where it scatters alike; half an act keeps none from minus infinity."""
    if row.measure == HIDDEN:
        share: Floats = np.asarray(top) / np.maximum(bottom, 1e-9)
        return np.arcsin(np.sqrt(np.clip(share, 0.0, 1.0)))
    return np.log((np.asarray(top) + 0.5) / np.asarray(bottom))


@dataclass(frozen=True)
class Figures:
    """All figures of a tally of a scenario's tank, and how they are taken from simulated tanks."""

    scenario: Scenario
    tally: Tally
    every: tuple[Figure, ...]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(one.name for one in self.every)

    @property
    def levels(self) -> tuple[Figure, ...]:
        """Those that say how much, not how much the watches differ, [l]."""
        return tuple(one for one in self.every if not one.spread)

    def levels_of(self, values: Floats) -> Floats:
        """The levels among values of all figures, [..., p] to [..., l], where none and all lie far out.

        Shares are logarithms of odds here: a tank in which nobody ever hides then is as far from one in which
        somebody does as it should be.
        """
        every = [one for one in enumerate(self.every) if not one[1].spread]
        return np.stack([one.far(values[..., k]) for k, one in every], axis=-1)

    @property
    def sums(self) -> Floats | None:
        """Weights of the levels, [s, l]: how much is hidden altogether, and how much chased; None of neither.

        A rule that keeps all fish in, or lets all of them out, moves every figure a little the same way.
        """
        kinds = [one.row.measure for one in self.levels]
        rows = [[kind == wanted for kind in kinds] for wanted in (HIDDEN, RECEIVED) if wanted in kinds]
        return np.array(rows, float) if rows else None

    def misfit(self, seen: Floats, case: Floats) -> Misfit:
        """How a tank, or the tally [p], lies among simulated ones [n, p], by how much its figures are."""
        return misfit(self.levels_of(seen), self.levels_of(case), sums=self.sums)

    @property
    def counted(self) -> Floats:
        """What the tally says, [p]."""
        seen = [(one, one.seen.covered) for one in self.every]
        return np.array([one.of(one.seen.top[at], one.seen.bottom[at]) for one, at in seen])

    def watched(self, tank: Watched, *, more: int = 0) -> Floats:
        """What somebody says of a simulated tank who watches it as the keeper did, [p].

        A share of the acts is overlooked, another in each tank. ``more``: watches that are added to those of
        the tally, like the one in which most was noted.

        Raises NoFigureError when a watch is longer than the tank is for without night or meal.
        """
        rng = generator(self.scenario.run.seed, "watched as the keeper did", tank.trial, more)
        kept = rng.random(len(tank.events)) >= MOST_MISSED * rng.random()
        tank = replace(tank, events=tank.events[kept])
        fullest = int(np.sum([one.seen.covered for one in self.every], axis=0).argmax())
        which = np.array([*range(len(self.tally.watches)), *[fullest] * more])
        sums = np.zeros((len(which), len(self.every), 2))
        for kind, at in self._kinds(which).items():
            sums[at] = self._windows(tank, *kind, many=len(at), rng=rng)
        covered = [one.seen.covered[which] for one in self.every]
        found = [one.of(*sums[at, f].T) for f, (one, at) in enumerate(zip(self.every, covered, strict=True))]
        return np.array(found)

    def _kinds(self, which: NDArray[np.int64]) -> dict[Kind, list[int]]:
        """Watches that are matched by the same windows, by minutes, looks and hour."""
        found: dict[Kind, list[int]] = {}
        for place, number in enumerate(which):
            watch = self.tally.watches[number]
            kind = watch.minutes, looks_in(self.tally, watch), watch.hour
            found.setdefault(kind, []).append(place)
        return found

    def _windows(
        self,
        tank: Watched,
        minutes: float,
        looks: int,
        hour: float | None,
        *,
        many: int,
        rng: np.random.Generator,
    ) -> Floats:
        """Tops and bottoms in so many windows, [many, p, 2], each another as long as there are enough."""
        cut = windows_of(tank, minutes=minutes)
        if not cut.count:
            raise NoFigureError(f"{minutes:g}")
        rows = [one.row for one in self.every]
        values = model_values(
            cut, rows, labels=labels_of(self.scenario), minutes=minutes, looks=max(looks, 1)
        )
        late = cut.starts * TICK_S / 3600.0 % self.scenario.lit_hours
        near = np.arange(cut.count) if hour is None else np.argsort(np.abs(late - hour), kind="stable")
        within = cut.count if hour is None else int((np.abs(late - hour) <= NEAR_H).sum())
        pool = near[: max(within, many)]
        return values[rng.choice(pool, size=many, replace=many > len(pool))]


def figures_of(scenario: Scenario, tally: Tally) -> Figures:
    """The figures that a tally gives: of the finest groups whose fish could be told apart.

    Raises NoFigureError when it gives none.
    """
    found: list[Figure] = []
    for measure in USED:
        rows = [row for row in rows_of(scenario, tally) if row.measure == measure]
        told: frozenset[str] = frozenset()
        for row in sorted(rows, key=lambda one: len(one.labels)):
            seen = seen_of(tally, row)
            if row.labels <= told or seen.why_not or not seen.covered.any():
                continue
            told |= row.labels
            found.append(Figure(seen))
            if seen.covered.sum() >= FEWEST_SPREAD:
                found.append(Figure(seen, spread=True))
    if not found:
        raise NoFigureError("it has neither a look nor a chase of fish that could be told apart")
    return Figures(scenario, tally, tuple(found))
