"""The rock of a tank as runs draw it, kept from view to view: the stock changes none of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ....sim.run.drawing import draw_trial_rock
from ....sim.run.set_ups import draw_of
from ....sim.scenario.scenario import RockSpec, RunSpec, Scenario, TankSpec
from ....sim.scenario.timeline import RockAnew
from ....sim.tank.rockwork import Rock
from ...questions.check.drawn import DrawnTanks, draw_few


@dataclass(frozen=True)
class Laid:
    """All that the rock of a scenario depends on, so that it is drawn once."""

    tank: TankSpec
    rock: RockSpec
    run: RunSpec
    parameters: tuple[tuple[str, float], ...]
    anew: tuple[RockAnew, ...]

    @classmethod
    def of(cls, scenario: Scenario) -> Laid:
        run = scenario.run
        draws = RunSpec(seed=run.seed, trials=run.trials, guesses=run.guesses, fixed=run.fixed, wide=run.wide)
        anew = tuple(one for one in scenario.events if isinstance(one, RockAnew))
        return cls(scenario.tank, scenario.rock, draws, tuple(sorted(scenario.parameters.items())), anew)

    @property
    def scenario(self) -> Scenario:
        """The same without fish."""
        parameters = dict(self.parameters)
        return Scenario("", "", self.tank, self.rock, (), self.run, {}, parameters, events=self.anew)


@lru_cache(maxsize=24)
def drawn_few(laid: Laid) -> DrawnTanks:
    """The rock of the first few simulated tanks."""
    return draw_few(laid.scenario)


@lru_cache(maxsize=12)
def drawn_rock(laid: Laid, trial: int) -> Rock:
    """The rock of one simulated tank."""
    return draw_trial_rock(laid.scenario, trial=trial, draw=draw_of(laid.scenario, trial))
