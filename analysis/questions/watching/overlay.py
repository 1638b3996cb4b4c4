"""A tally laid over simulated tanks: everything that is worked out, before anything is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.rules.support.random_numbers import generator
from ....sim.scenario.scenario import Scenario
from ...statistics.intervals import Floats
from .agree import Compared, compare, drawn_sets
from .ethogram import CHASE
from .ranks import Ranks, chase_table, ranks_of
from .rows import Row, looks_in, model_values, rows_of, seen_of
from .scale import NoScaleError, Scale, fit_scale, of_tank
from .tally import Tally, Watch
from .windows import Watched, Windows, labels_of, windows_of


@dataclass(frozen=True)
class Overlay:
    """What a tally and the model say of the same tank."""

    title: str
    tally: Tally
    tanks: int  # simulated
    asked: int
    windows: int  # of the first watch's length, in all tanks
    rows: tuple[Compared, ...]
    acts: dict[str, int]  # counted, by act
    ranks: Ranks
    scale: Scale | None
    no_scale: str  # why there is none

    @property
    def judged(self) -> tuple[Compared, ...]:
        """Rows of which tally and model both say something."""
        return tuple(one for one in self.rows if np.isfinite(one.value) and np.isfinite(one.p_any))


class NoWindowError(ValueError):
    """A watch is longer than any stretch of the model without a night or a meal."""


def overlay(scenario: Scenario, tally: Tally, watched: Sequence[Watched]) -> Overlay:
    """Lay a tally of a scenario's tank over simulated tanks, at least two.

    Raises NoWindowError when a watch is longer than any window of the model can be.
    """
    labels = labels_of(scenario)
    seen = [seen_of(tally, row) for row in rows_of(scenario, tally)]
    seen = [one for one in seen if one.why_not or one.covered.any()]
    rows = [one.row for one in seen]
    by_length = {
        minutes: [windows_of(one, minutes=minutes) for one in watched]
        for minutes in dict.fromkeys(watch.minutes for watch in tally.watches)
    }
    for minutes, cut in by_length.items():
        if min(one.count for one in cut) < 1:
            raise NoWindowError(f"{minutes:g}")
    values = _values(tally, rows, by_length, labels)
    seed = scenario.run.seed
    first = tally.watches[0].minutes
    fewest = min(len(tank[0]) for tank in values)
    singles = np.stack([tank[0][:fewest] for tank in values])  # as many from each tank
    scale, no_scale = _scale(scenario, tally, by_length, labels)
    return Overlay(
        title=scenario.title,
        tally=tally,
        tanks=len(watched),
        asked=scenario.run.trials,
        windows=sum(one.count for one in by_length[first]),
        rows=tuple(compare(seen, drawn_sets(values, seed=seed), singles=singles)),
        acts={act: tally.count(act) for act in dict.fromkeys(one.act for one in tally.acts)},
        ranks=ranks_of(tally, labels, sets=_tables(tally, by_length, len(labels), seed), seed=seed),
        scale=scale,
        no_scale=no_scale,
    )


def _values(
    tally: Tally, rows: Sequence[Row], by_length: dict[float, list[Windows]], labels: Sequence[str]
) -> list[list[Floats]]:
    """Top and bottom of the rows, by tank and watch; watches alike share an array."""
    kinds = [(watch.minutes, looks_in(tally, watch)) for watch in tally.watches]
    made = [
        {
            (minutes, looks): model_values(
                by_length[minutes][t], rows, labels=labels, minutes=minutes, looks=looks
            )
            for minutes, looks in dict.fromkeys(kinds)
        }
        for t in range(len(next(iter(by_length.values()))))
    ]
    return [[tank[kind] for kind in kinds] for tank in made]


def _tables(
    tally: Tally, by_length: dict[float, list[Windows]], fish: int, seed: int
) -> list[NDArray[np.int64]]:
    """Who chased whom in each simulated tank, watched once as the real one was."""
    whole = [watch for watch in tally.of_acts if watch.watched is None]
    found = []
    for t in range(len(next(iter(by_length.values())))):
        rng = generator(seed, "watched for ranks", t)
        table = np.zeros((fish, fish), np.int64)
        for minutes in dict.fromkeys(watch.minutes for watch in whole):
            cut = by_length[minutes][t]
            many = sum(watch.minutes == minutes for watch in whole)
            chosen = rng.choice(cut.count, size=many, replace=many > cut.count)
            table += chase_table(cut, chosen.tolist(), fish=fish)
        found.append(table)
    return found


def _scale(
    scenario: Scenario, tally: Tally, by_length: dict[float, list[Windows]], labels: Sequence[str]
) -> tuple[Scale | None, str]:
    """The factor from all chases of the watched fish, whichever they were in each watch."""
    chases = [one for one in tally.acts if one.act == CHASE]
    counted = [sum(one.count for one in chases if one.watch == watch.name) for watch in tally.of_acts]
    model = [
        [_chases_with(by_length[watch.minutes][t], watch, labels) for watch in tally.of_acts]
        for t in range(len(next(iter(by_length.values()))))
    ]
    try:
        minutes = sum(watch.minutes for watch in tally.of_acts)
        return of_tank(fit_scale(counted, model, minutes=minutes), scenario), ""
    except NoScaleError as problem:
        return None, str(problem)


def _chases_with(windows: Windows, watch: Watch, labels: Sequence[str]) -> Floats:
    """Chases in each window that the fish of a watch gave or got."""
    who = np.array([watch.watched is None or label in watch.watched.labels for label in labels], dtype=bool)
    acts = windows.chases[who[windows.chases[:, 1]] | who[windows.chases[:, 2]]]
    return np.bincount(acts[:, 0], minlength=windows.count).astype(float)
