"""A room of a file whose simulated tanks are made up: what each fish loses depends on who is with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from fake_relief import FREE_ALONE, LIT_S, number_of
from fake_trials import quiet_columns
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.scenario import Scenario

HARM = {  # a fish of the first loses so much to each fish of the second
    ("Pseudosimochromis curvifrons", "Petrochromis trewavasae"): 0.08,
    ("Tropheus duboisi", "Petrochromis trewavasae"): 0.05,
    ("Eretmodus cyanostictus", "Tropheus moorii"): 0.03,
    ("Tropheus duboisi", "Tropheus moorii"): 0.05,
}
HOURS = 3


class FakeTanks:
    """Carries out jobs at once; with ``stop_after`` it is broken off after so many."""

    def __init__(self, stop_after: int | None = None) -> None:
        self.stop_after, self.jobs = stop_after, 0
        self.asked: list[tuple[str, int]] = []

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in jobs:
            if self.stop_after is not None and self.jobs >= self.stop_after:
                raise KeyboardInterrupt
            self.jobs += 1
            self.asked.append((scenarios[job.which].title, job.trial))
            yield job, tuple(self.outcome(scenarios[job.which], job.trial, arm) for arm in job.arms or ())

    def outcome(self, scenario: Scenario, trial: int, arm: str) -> Outcome:
        people = tuple(individuals(scenario.stock))
        lost = np.array([self._lost(one.species, one.label, people, trial, arm) for one in people])
        free = FREE_ALONE * (1.0 - lost) * LIT_S
        columns = quiet_columns(len(people), HOURS, hidden_s=LIT_S - free, free_s=free)
        return Outcome(arm, trial, draw_of(scenario, trial), people, columns)

    def _lost(self, species: str, label: str, people: Sequence[object], trial: int, arm: str) -> float:
        if arm == LEFT_ALONE:
            return 0.0
        harm = sum(HARM.get((species, one.species), 0.002) for one in people)  # type: ignore[attr-defined]
        rng = np.random.default_rng([trial, number_of(label)])
        return float(np.clip(0.05 + harm + 0.03 * rng.standard_normal(), 0.0, 0.97))
