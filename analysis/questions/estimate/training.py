"""Tanks run one by one round a tank, and what they foretell of others: a stand-in for the simulator.

What fish of a row and sex keep is regressed, over tanks of one guess each, on where the sliders stand (and on
their squares) *and* on what was drawn: what nobody has measured moves a single tank more than most sliders
do, and is known of each tank that was run. An answer is then asked for at the middle of draws.

Source: VernonEtAl2010 (what a stand-in is for); BarberEtAl2021, GolubEtAl1979 (the regression).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from ....sim.rules.support.draws import BLOCK
from ....sim.run.set_ups import draw_of
from ....sim.run.table import AS_STOCKED, LEFT_ALONE
from ....sim.run.trials import Job, Outcome
from ....sim.scenario.scenario import Scenario
from ...measures.row import BOTH, STOCKED
from ...statistics import ridge
from ...statistics.emulator import columns_of
from ...statistics.intervals import NAN, Floats
from ..fit.draws import inputs_of, scores_of, values_of
from ..guesses.inputs import GuessError, Input
from .sliders import Box, bare

OWN = BLOCK  # the first tanks are the tank itself, run with its control too
LEAST = 12 * BLOCK  # tanks from which something is foretold; of fewer, bands are too wide to help (measured)
MOST = 40 * BLOCK  # tanks after which no more are run; twice as many narrowed bands by little (measured)

Group = tuple[int, str]  # row of the box, and sex


@dataclass(frozen=True)
class StandIn:
    """What was learnt from n tanks.

    Attributes
    ----------
    box : round which they lie.
    fits : of each group what it keeps, by columns of sliders and draws.
    places : [n, sliders] of each group, where the tanks had them that its fit rests on.
    drawn : how many columns are of draws; the middle of each is 0.
    tanks : n.
    """

    box: Box
    fits: Mapping[Group, ridge.Fitted]
    places: Mapping[Group, Floats]
    drawn: int
    tanks: int

    def at(self, scenario: Scenario) -> Floats:
        """The columns of a scenario at the middle of the draws; raises OutsideError."""
        return self.columns(self.box.places(scenario))

    def columns(self, places: Floats) -> Floats:
        """The columns of sliders that stand at some places, [sliders], at the middle of the draws."""
        return np.concatenate([_slid(places[None])[0], np.zeros(self.drawn)])


class Training:
    """The tanks of a box that are run, in turn, and what they came to."""

    def __init__(self, box: Box) -> None:
        self.box = box
        run = replace(box.scenario.run, guesses=None, trials=MOST)
        self._scenario = replace(box.scenario, run=run)
        self._designs = box.designs()
        self._places: list[Floats] = []
        self._kept: list[dict[Group, float]] = []
        self._alone: list[float] = []
        self._inputs = _inputs_of(self._scenario)
        self._drawn: list[Floats] = []  # of each tank

    @property
    def tanks(self) -> int:
        """How many have been run."""
        return len(self._kept)

    def jobs(self) -> Iterator[tuple[Scenario, Job]]:
        """The tanks to run, in turn; hand each back to :meth:`take` before the next."""
        for trial in range(MOST):
            own = trial < OWN
            scenario = self._scenario if own else replace(next(self._designs), run=self._scenario.run)
            yield scenario, Job(0, trial, BOTH if own else STOCKED)

    def take(self, scenario: Scenario, outcomes: tuple[Outcome, ...]) -> None:
        """Enter a tank that was run."""
        arms = {one.name: one for one in outcomes}
        if LEFT_ALONE in arms:
            self._alone.append(_share(arms[LEFT_ALONE], np.ones(len(arms[LEFT_ALONE].people), dtype=bool)))
        draw = draw_of(self._scenario, self.tanks)
        self._drawn.append(values_of(self._scenario, self._inputs, [draw])[0])
        self._places.append(self.box.places(scenario))
        self._kept.append(self._shares(arms[AS_STOCKED]))

    def _shares(self, outcome: Outcome) -> dict[Group, float]:
        groups: dict[Group, list[int]] = {}
        for k, one in enumerate(outcome.people):
            groups.setdefault((self.box.rows.index(bare(one.row)), one.sex), []).append(k)
        return {
            group: _share(outcome, np.isin(np.arange(len(outcome.people)), mine))
            for group, mine in groups.items()
        }

    def fitted(self) -> StandIn:
        """What the tanks so far foretell."""
        drawn = np.stack(self._drawn)
        scores = scores_of(self._inputs, drawn) if self._inputs else drawn
        places = np.stack(self._places)
        columns = np.column_stack([_slid(places), scores])
        alone = float(np.mean(self._alone))
        fits, lying = {}, {}
        for group in dict.fromkeys(itertools.chain.from_iterable(self._kept)):
            kept = np.array([one.get(group, NAN) for one in self._kept]) / alone
            known = np.isfinite(kept)
            if known.sum() >= LEAST // 2:
                fits[group] = ridge.fit(columns[known], np.minimum(kept[known], 1.0))
                lying[group] = places[known]
        return StandIn(self.box, fits, lying, scores.shape[1], self.tanks)


def _inputs_of(scenario: Scenario) -> list[Input]:
    """What is drawn in each tank; nothing in a fixed scenario."""
    try:
        return [] if scenario.run.fixed else inputs_of(scenario)
    except GuessError:
        return []


def _slid(places: Floats) -> Floats:
    """The columns of sliders [n, sliders]: each and its square. Products made bands wider (measured)."""
    return columns_of(places, ())


def _share(outcome: Outcome, who: np.ndarray) -> float:
    """How much of their lit time some fish swim free; nan where none of them was in the tank."""
    lit, free = (np.asarray(outcome.columns[name])[who].sum() for name in ("lit_s", "free_s"))
    return float(free / lit) if lit > 0 else NAN
