"""Made-up simulated tanks with known effects of known changes, for trying what helps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from fake_trials import HOT, MILD, quiet_columns, tank_file
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.relief.answer import Relief, Tried, answer_of
from rockshy.analysis.questions.relief.design import Plan, plan_of
from rockshy.analysis.questions.relief.watch import watch_of
from rockshy.analysis.questions.relief.words import document_of
from rockshy.sim.fish.population import Individual, individuals
from rockshy.sim.run.set_ups import draw_of, set_ups
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

HOURS = 3
LIT_S = 3600.0 * HOURS
FREE_ALONE = 0.9


def relief_tank(*, question: str, rock: str, hot: str, run: str) -> str:
    """The file of a tank of duboisi with threadfins; ``hot``: how many of these."""
    return tank_file(
        "Stonecomb club, a tank made up",
        question,
        glass=(100, 50, 50),
        water="water_level = 45\n",
        rock=f"{rock}\npiece_size = 12",
        stock=((MILD, "males = 1\nfemales = 3"), (HOT, hot)),
        run=f"days = 2\n{run}",
    )


TEXT = relief_tank(
    question="What helps the duboisi?",
    rock="cover = 0.3\nheight = 20\npiles = 1",
    hot="males = 2\nfemales = 2",
    run="trials = 32\nguesses = 8\nseed = 7",
)
HOT_MALES = (f"{HOT} male 1", f"{HOT} male 2")

Loss = Callable[[Scenario, Individual, int], float]  # expected share lost by a fish in a trial
Chief = Callable[[int, str], str]  # label of the fish that chases another in a trial


def base(old: str = "", new: str = "", *, trials: int = 32) -> Scenario:
    """The made-up tank, with a piece of its text replaced."""
    assert old in TEXT
    text = TEXT.replace(old, new, 1) if old else TEXT
    return parse(text.replace("trials = 32", f"trials = {trials}"), name="made-up.toml")


def first_hot_male(trial: int, _: str = "") -> str:
    """One of the two by turns, so that neither label alone is the chief chaser; the same for all."""
    return HOT_MALES[trial // 3 % 2]


def nothing_helps(_: Scenario, fish: Individual, __: int) -> float:
    """The females of the mild species lose most, whatever is done."""
    return {MILD: 0.5 if fish.sex == "female" else 0.4, HOT: 0.2}[fish.species]


def there(scenario: Scenario) -> set[str]:
    """Labels of the fish of a scenario."""
    return {one.label for one in individuals(scenario.stock)}


@dataclass
class World:
    """Carries out jobs. ``noise`` is of each fish in each tank, ``shared`` of each fish in each trial."""

    loss: Loss = nothing_helps
    chief: Chief = first_hot_male
    noise: float = 0.03
    shared: float = 0.1
    seed: int = 0
    stop_after: int | None = None
    backwards: bool = False
    asked: list[list[Job]] = field(default_factory=list)
    scenarios: Sequence[Scenario] = ()

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        self.asked.append(list(jobs))
        self.scenarios = list(scenarios)
        done = sum(len(batch) for batch in self.asked[:-1])
        for k, job in enumerate(reversed(jobs) if self.backwards else jobs):
            if self.stop_after is not None and done + k >= self.stop_after:
                raise KeyboardInterrupt
            yield job, self.outcomes(scenarios[job.which], job)

    def outcomes(self, scenario: Scenario, job: Job) -> tuple[Outcome, ...]:
        """The set-ups of one job."""
        return tuple(self._outcome(scenario, job, name) for name in job.arms or set_ups(scenario))

    def _outcome(self, scenario: Scenario, job: Job, name: str) -> Outcome:
        people = tuple(individuals(scenario.stock))
        peace = name == LEFT_ALONE
        lost = np.array([0.0 if peace else self._lost(scenario, one, job) for one in people])
        n = len(people)
        labels = [one.label for one in people]
        chases = np.zeros((n, n), dtype=np.int64)
        for i, one in enumerate(people):
            chief = self.chief(job.trial, one.label)
            if not peace and one.species == MILD and chief in labels and chief != one.label:
                chases[labels.index(chief), i] = 6
        columns = _columns(people, lost, chases)
        return Outcome(name, job.trial, draw_of(scenario, job.trial), people, columns)

    def _lost(self, scenario: Scenario, fish: Individual, job: Job) -> float:
        common = np.random.default_rng([self.seed, 1, job.trial, number_of(fish.label)])
        own = np.random.default_rng([self.seed, 2, job.trial, job.which, number_of(fish.label)])
        drift = self.shared * common.standard_normal() + self.noise * own.standard_normal()
        return float(np.clip(self.loss(scenario, fish, job.trial) + drift, 0.0, 1.0))


def number_of(label: str) -> int:
    """A number for a label."""
    return int.from_bytes(label.encode()[-12:], "little")


def _columns(people: Sequence[Individual], lost: np.ndarray, chases: np.ndarray) -> dict[str, np.ndarray]:
    free = FREE_ALONE * (1.0 - lost) * LIT_S
    hour_chased = np.zeros((len(people), HOURS), dtype=np.int64)
    hour_chased[:, 0] = chases.sum(axis=0)
    stuck, every = (lost > 0.7)[:, None], np.ones((1, HOURS))
    return quiet_columns(
        len(people),
        HOURS,
        sex=np.array([1 if one.sex == "female" else 0 for one in people], dtype=np.int8),
        hidden_s=LIT_S - free,
        free_s=free,
        chases=chases,
        hour_share=np.where(stuck, 0.95, 0.5) * every,
        hour_outside_s=np.where(stuck, 0.05, 0.8) * free[:, None] / HOURS * every,
        hour_chased=hour_chased,
        hour_hidden_s=(LIT_S - free)[:, None] / HOURS * every,
    )


def plan(*, trials: int = 32, scenario: Scenario | None = None) -> Plan:
    """A plan for the made-up tank."""
    return plan_of(base(trials=trials) if scenario is None else scenario)


# ---- worlds with a known effect, and what is found in them

TALLER = "rock up to 30 cm (12 in) instead of 20 cm (7.9 in)"
LESS, MORE = 0.3, 0.3


def chief_matters(scenario: Scenario, fish: Individual, trial: int) -> float:
    """The mild fish lose less where the fish that chases all of them in this trial is not there."""
    relief = LESS if fish.species == MILD and first_hot_male(trial) not in there(scenario) else 0.0
    return nothing_helps(scenario, fish, trial) - relief


def taller_costs_others(scenario: Scenario, fish: Individual, trial: int) -> float:
    """Taller rock helps the mild fish and harms the hot ones."""
    taller = scenario.rock.height_cm > 20
    return nothing_helps(scenario, fish, trial) + taller * (-LESS if fish.species == MILD else MORE)


def taller_while_sifting(scenario: Scenario, fish: Individual, trial: int) -> float:
    """A change that only seems to help, in the very trials that sift."""
    lucky = scenario.rock.height_cm > 20 and trial < 16 and fish.species == MILD
    return nothing_helps(scenario, fish, trial) - LESS * lucky


def another_scapegoat(scenario: Scenario, fish: Individual, trial: int) -> float:
    """With taller rock one hot fish by turns is far worse off in each tank, the others a little better."""
    if scenario.rock.height_cm <= 20:
        return nothing_helps(scenario, fish, trial)
    if fish.species == MILD:
        return 0.2
    is_it = (fish.sex == "male") == (trial % 2 == 0) and fish.number == 1 + trial // 2 % 2
    return 0.65 if is_it else 0.0


def worse_without_females(scenario: Scenario, fish: Individual, trial: int) -> float:
    """With more hot females the mild fish lose more."""
    hot = sum(row.females for row in scenario.stock if row.species == HOT)
    return nothing_helps(scenario, fish, trial) + (0.3 if fish.species == MILD and hot > 2 else 0.0)


@cache
def tried(loss: Callable[..., float], trials: int = 32, **world: float) -> tuple[World, Relief]:
    run = World(loss=loss, **world)  # type: ignore[arg-type]
    return run, answer_of(plan(trials=trials), run)


def named(found: Relief, name: str) -> Tried:
    return next(one for one in found.tried if one.change.name == name)


def in_words(found: Relief) -> str:
    return as_text(
        document_of(found, watch_of(found.plan.scenario, found.seen, whom=found.whom, kinds=found.kinds))
    )
