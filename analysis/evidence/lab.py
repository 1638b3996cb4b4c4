"""The bench of the experiments: set-ups, tanks on the one runner, and what was run already."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar, Protocol

import numpy as np

from ...sim.run.drawing import draw_tank
from ...sim.run.model import TankModel
from ...sim.run.running import each_done
from ...sim.run.trials import Job, Outcome, model_of_trial
from ...sim.scenario.scenario import RockSpec, RunSpec, Scenario, StockRow, TankSpec
from ...sim.species.species import library
from ..measures.row import STOCKED
from ..study.runner import Runner

ROCKY = RockSpec(cover=0.3, height_cm=25.0, piles=1, piece_cm=12.0)
BARE = RockSpec()
TANK = TankSpec(100.0, 40.0, 45.0, 42.0)
SEED = 5

Count = Callable[[Outcome], Any]
Measure = Callable[[TankModel], Any]


def set_up(
    *rows: StockRow,
    tank: TankSpec = TANK,
    rock: RockSpec = ROCKY,
    days: float = 2.0,
    settle: float = 1.0,
    **parameters: float,
) -> Scenario:
    """A scenario with every value at its default.

    Parameters
    ----------
    rows : the stock list.
    tank, rock : what they swim in.
    days, settle : simulated after the last arrival, and of these not measured.
    parameters : set in place of the default.
    """
    return Scenario(
        title="set-up",
        question="",
        tank=tank,
        rock=rock,
        stock=rows,
        run=RunSpec(days=days, settle_days=settle, fixed=True, seed=SEED),
        species={row.species: library()[row.species] for row in rows},
        parameters=parameters,
    )


def repainted(scenario: Scenario, species: str, *, like: str, name: str) -> Scenario:
    """``scenario`` with one more species: ``species`` under another name, in the colours of ``like``."""
    known = library()
    words = dict(known[species].words)
    for word in ("pattern_male", "pattern_female"):
        words[word] = known[like].words[word]
    return replace(
        scenario, species={**scenario.species, name: replace(known[species], key=name, words=words)}
    )


class Looked(Protocol):
    """A tank that is run and looked into: a dataclass with its scenario."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def scenario(self) -> Scenario:
        """What is run."""

    def carry_out(self) -> Any:
        """Run it and return what was measured."""


@dataclass(frozen=True)
class MeasuredRun:
    """One tank of which more is looked at than an outcome keeps, and what to measure when it is finished."""

    scenario: Scenario
    trial: int
    measure: Measure
    prepare: Callable[[TankModel], None] | None = None  # sets the stage before the first tick
    rock_of: int | None = None  # the trial whose rock it gets; its own when None
    events: bool = False  # keep the events
    moves: bool = False  # keep every move as well

    def carry_out(self) -> Any:
        """Run the tank to its end and return what was measured.

        Raises
        ------
        RuntimeError
            When the moves or events to be kept were too many.
        """
        rock_of = self.trial if self.rock_of is None else self.rock_of
        tank = draw_tank(self.scenario, trial=rock_of)
        with model_of_trial(self.scenario, self.trial, tank=tank, keep=self.events or self.moves) as model:
            if not self.moves:
                model.ledger = model.ledger._replace(moves=np.zeros((0, 4), np.int32))
            if self.prepare is not None:
                self.prepare(model)
            model.run()
            full = self.events and int(model.ledger.state.n_events[0]) >= len(model.ledger.events)
            if full or model.tick < model.last_tick:
                raise RuntimeError("the moves or events of this run are too many to be kept; shorten it")
            return self.measure(model)


def trials_of(scenario: Scenario, trials: int, measure: Measure, **how: Any) -> list[MeasuredRun]:
    """Runs of one scenario by the numbers of their trials; ``how`` as in :class:`MeasuredRun`."""
    return [MeasuredRun(scenario, trial, measure, **how) for trial in range(trials)]


@dataclass
class Lab:
    """Has tanks run and remembers those that several experiments share.

    Parameters
    ----------
    runner : of all studies; its executor's workers share memory with this process.
    under : what is made of each scenario before it is run, such as the same with other draws.
    """

    runner: Runner = Runner(None, None, None)
    under: Callable[[Scenario], Scenario] | None = None
    _kept: dict[Any, Any] = field(default_factory=dict)

    def count(self, scenario: Scenario, trials: int, count: Count) -> list[Any]:
        """What is counted in the outcomes of the first trials of a scenario, in their order."""
        return self._counted([scenario], [Job(0, trial, STOCKED) for trial in range(trials)], count)

    def count_each(self, scenarios: Sequence[Scenario], count: Count) -> list[Any]:
        """The same where each trial has a scenario of its own: [t] scenarios, by trial."""
        return self._counted(
            scenarios, [Job(trial, trial, STOCKED) for trial in range(len(scenarios))], count
        )

    def _counted(self, scenarios: Sequence[Scenario], jobs: Sequence[Job], count: Count) -> list[Any]:
        changed = [self._under(one) for one in scenarios]
        found = {job.trial: count(outcome) for job, (outcome,) in self.runner(changed, jobs)}
        return [found[job.trial] for job in jobs]

    def run(self, runs: Sequence[Looked]) -> list[Any]:
        """What was measured in each of some runs that are looked into, in their order."""
        found: dict[int, Any] = {}
        changed = [replace(run, scenario=self._under(run.scenario)) for run in runs]
        calls = ((place, run.carry_out) for place, run in enumerate(changed))
        for place, measured in each_done(calls, executor=self.runner.executor):
            found[place] = measured
            if self.runner.progress is not None:
                self.runner.progress(len(found), len(runs))
        return [found[place] for place in range(len(runs))]

    def _under(self, scenario: Scenario) -> Scenario:
        return scenario if self.under is None else self.under(scenario)

    def once(self, key: Any, make: Callable[[], Any]) -> Any:
        """What ``make`` gives, made only the first time that ``key`` is asked for."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]
