"""Made-up simulated tanks of a wish list whose best plan is known, for trying the search for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from rockshy.analysis.questions.best.space import Space, Stocking
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

LIT_S = 36_000.0
ALONE = 0.9  # share of lit time that every fish swims free when nobody attacks
LIKED = (
    "Tropheus duboisi",
    "Tropheus moorii",
    "Pseudosimochromis curvifrons",
    "Simochromis diagramma",
    "Petrochromis trewavasae",
    "Eretmodus cyanostictus",
    "Ophthalmotilapia ventralis",
    "Interochromis loocki",
)
TANK = """
title = "Stonecomb club, a wish list made up"
question = "What shall I buy?"
[tank]
length = "4 ft"
front_to_back = "18 in"
height = "20 in"
[rock]
cover = 0.3
piles = 2
[run]
days = 0.2
settle = 0.1
trials = 16
seed = {seed}
[wanted]
{limits}
"""
FISH = """
[[wanted.fish]]
species = "{species}"
males = [1, 2]
females = [2, 6]
price = {price}
"""
LIMITS = 'at_least = 8\nat_most = 24\nspecies_at_least = 2\nspecies_at_most = 5\nrock = "80 kg"'


def wish_list(*, seed: int = 1, limits: str = LIMITS, species: Sequence[str] = LIKED) -> Scenario:
    """A tank without fish, with a wish list."""
    rows = (FISH.format(species=one, price=10 + 2 * k) for k, one in enumerate(species))
    text = TANK.format(seed=seed, limits=limits) + "".join(rows)
    return parse(text, name="wish.toml", fishless=True)


@dataclass
class World:
    """Carries out jobs. What groups keep falls with who else is there, by numbers drawn for the seed.

    ``drawn`` is how far those numbers differ from draw to draw, ``luck`` that of a group in a tank,
    ``shared`` what all plans of a trial have in common.
    """

    seed: int = 0
    drawn: float = 0.4
    shared: float = 0.15
    luck: float = 0.03
    stop_after: int | None = None
    done: int = 0
    asked: list[Job] = field(default_factory=list)

    @cached_property
    def harm(self) -> np.ndarray:
        """What each species takes from each by a fish of it, [from, by]."""
        rng = np.random.default_rng([self.seed, 1])
        return 0.035 * rng.random((len(LIKED), len(LIKED))) ** 2

    @cached_property
    def others(self) -> np.ndarray:
        """What a male of its own kind takes, what crowding takes, what rock gives, [species, 3]."""
        rng = np.random.default_rng([self.seed, 2])
        return np.array([0.08, 0.012, 0.15]) * rng.random((len(LIKED), 3))

    def truth(self, scenario: Scenario, trial: int | None = None) -> dict[tuple[str, str], float]:
        """What each group keeps, on the mean or in a trial."""
        fish = individuals(scenario.stock)
        count = np.array([sum(one.species == name for one in fish) for name in LIKED], dtype=float)
        males = np.array([sum(one.species == name and one.sex == "male" for one in fish) for name in LIKED])
        vary = np.zeros((len(LIKED), len(LIKED)))
        if trial is not None:
            draw = np.random.default_rng([self.seed, 3, draw_of(scenario, trial)])
            vary = self.drawn * draw.standard_normal(vary.shape)
        room = len(fish) / (scenario.tank.length_cm / 122.0) - 12.0
        rock = scenario.rock.cover * (1.0 - scenario.rock.cover) * 4.0 + 0.05 * scenario.rock.piles
        found = {}
        for species, sex in dict.fromkeys((one.species, one.sex) for one in fish):
            a = LIKED.index(species)
            taken = float((self.harm[a] * (1.0 + vary[a]) * count * (np.arange(len(LIKED)) != a)).sum())
            own, crowd, stone = self.others[a]
            kept = 0.75 - taken - own * (males[a] - 1) - crowd * max(0.0, room) + stone * (rock - 1.0)
            found[species, sex] = kept - 0.04 * (sex == "female")
        return found

    def worst(self, scenario: Scenario) -> float:
        """What the worst-off group truly keeps."""
        return min(self.truth(scenario).values())

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in jobs:
            if self.stop_after is not None and self.done >= self.stop_after:
                raise KeyboardInterrupt
            self.done += 1
            self.asked.append(job)
            yield job, (self._outcome(scenarios[job.which], job),)

    def _outcome(self, scenario: Scenario, job: Job) -> Outcome:
        people = tuple(individuals(scenario.stock))
        peace = job.arms == (LEFT_ALONE,)
        kept = {} if peace else self.kept(scenario, job)
        free = [ALONE if peace else ALONE * kept[one.species, one.sex] for one in people]
        columns = {"free_s": LIT_S * np.array(free), "lit_s": np.full(len(people), LIT_S)}
        name = job.arms[0] if job.arms else ""
        return Outcome(name, job.trial, draw_of(scenario, job.trial), people, columns)

    def kept(self, scenario: Scenario, job: Job) -> dict[tuple[str, str], float]:
        """What each group keeps in the simulated tank of a job."""
        common = np.random.default_rng([self.seed, 4, draw_of(scenario, job.trial)])
        all_alike = self.shared * common.standard_normal()
        luck = np.random.default_rng([self.seed, 5, job.trial, job.which])
        truth = self.truth(scenario, job.trial)
        return {
            group: float(np.clip(kept + all_alike + self.luck * luck.standard_normal(), 0.0, 1.0))
            for group, kept in truth.items()
        }


def best_there_is(world: World, space: Space, *, near: bool = True) -> tuple[Stocking, float]:
    """The best plan of the even sample, bettered step by step as long as a near one is better."""
    worst: Callable[[Stocking], float] = lambda one: world.worst(space.scenario(one))  # noqa: E731
    best = max(space.sample, key=worst)
    while near:
        better = max(space.near(best), key=worst)
        if worst(better) <= worst(best) + 1e-12:
            break
        best = better
    return best, worst(best)
