"""Made-up tanks in which every set of mechanisms has a known worth, read off the scenario itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
import pytest
from fake_relief import FREE_ALONE, HOURS, LIT_S, TEXT, _columns
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.why import design
from rockshy.analysis.questions.why.answer import Why, answer_of
from rockshy.analysis.questions.why.behind import Behind, behind_of
from rockshy.analysis.questions.why.design import plan_of
from rockshy.analysis.questions.why.mechanisms import (
    CROWDING,
    GROUND,
    LOOKS,
    SEXES,
    SHELTER,
    SIGHT,
    SIZE,
    TEMPER,
)
from rockshy.analysis.questions.why.words import document_of
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

FIVE = (SIZE, SIGHT, GROUND, SHELTER, CROWDING)  # the mechanisms of the tank of one species
ONE_SPECIES = TEXT[: TEXT.rindex("[[stock]]")] + TEXT[TEXT.index("[run]") :]
WHOLE = (FREE_ALONE, LIT_S)  # what a fish that loses nothing swims, and of what

Worth = Callable[[frozenset[str], int], tuple[float, float]]  # mechanisms on, trial -> lost, chases an hour


def tank(text: str = ONE_SPECIES, *, trials: int = 16, guesses: int = 8) -> Scenario:
    """A tank of four duboisi, or of duboisi with threadfins."""
    text = text.replace("trials = 32", f"trials = {trials}").replace(
        "guesses = 8", f"guesses = {min(guesses, trials)}"
    )
    return parse(text, name="made-up.toml")


def on_in(scenario: Scenario, base: Scenario) -> frozenset[str]:
    """Which mechanisms are on in a scenario, by what it says."""
    rows = scenario.stock
    kinds = list(scenario.species.values())
    tempers = {(one.traits["temper"].low, one.traits["temper"].high) for one in kinds}

    def count(one: Scenario, sex: str) -> int:
        return sum(fish.sex == sex for fish in individuals(one.stock))

    off = {
        SIZE: len({row.length_cm for row in rows} - {None}) == 1,
        LOOKS: scenario.parameters.get("look_alike") == 1.0,
        SIGHT: "sight_cm" in scenario.parameters,
        GROUND: "claim_s" in scenario.parameters,
        SHELTER: scenario.rock.crevices is not None,
        TEMPER: len(kinds) > 1 and len(tempers) == 1,
        CROWDING: len(individuals(rows)) < len(individuals(base.stock)),
        SEXES: any(row.females > was.females for row, was in zip(rows, base.stock, strict=True)),
    }
    here = FIVE if len(base.species) == 1 else tuple(off)
    return frozenset(code for code in here if not off[code])


@dataclass
class Game:
    """Carries out jobs; every fish of a tank has the worth of the coalition. Chases are rounded to 1/3."""

    worth: Worth
    stop_after: int | None = None
    base: Scenario | None = None
    asked: list[list[Job]] = field(default_factory=list)
    seen: list[frozenset[str]] = field(default_factory=list)

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        self.base = self.base or scenarios[0]
        self.asked.append(list(jobs))
        for job in jobs:
            if self.stop_after is not None and len(self.seen) >= self.stop_after:
                raise KeyboardInterrupt
            scenario = scenarios[job.which]
            self.seen.append(on_in(scenario, self.base))
            yield job, tuple(self._outcome(scenario, job, name) for name in job.arms or ())

    def _outcome(self, scenario: Scenario, job: Job, name: str) -> Outcome:
        people = tuple(individuals(scenario.stock))
        n, peace = len(people), name == LEFT_ALONE
        lost, rate = (0.0, 0.0) if peace else self.worth(on_in(scenario, self.base or scenario), job.trial)
        chases = np.zeros((n, n), dtype=np.int64)
        for i in range(n):
            chases[(i + 1) % n, i] = round(rate * HOURS)
        columns = _columns(people, np.full(n, lost), chases)
        return Outcome(name, job.trial, draw_of(scenario, job.trial), people, columns)


def played(worth: Worth, *, scenario: Scenario | None = None, **game: object) -> Why:
    """What is answered in a tank where mechanisms have this worth."""
    return answer_of(plan_of(scenario or tank(), meant=True), Game(worth, **game))  # type: ignore[arg-type]


def glove(on: frozenset[str], _: int) -> tuple[float, float]:
    """One left glove, size; two right ones, sight and shelter; crowding and ground dummies."""
    worth = float(SIZE in on and bool({SIGHT, SHELTER} & on))
    return 0.1 + 0.6 * worth, 2.0 + 6.0 * worth


def opposed(on: frozenset[str], _: int) -> tuple[float, float]:
    """Sight costs freedom and spares chases; looks spare both."""
    lost = 0.3 + 0.3 * (SIGHT in on) + 0.1 * (CROWDING in on) - 0.1 * (LOOKS in on)
    return lost, 6.0 - 2.0 * (SIGHT in on) + 3.0 * (CROWDING in on) - 1.0 * (LOOKS in on)


@cache
def mixed() -> Why:
    """All eight mechanisms, sampled orders."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(design, "MOST_TICKS", 0.0)
        return played(opposed, scenario=tank(TEXT, trials=16))


def behind(found: Why) -> Behind:
    return behind_of(found.switches, tanks=0)


def said(found: Why) -> str:
    """All words on one line."""
    return " ".join(as_text(document_of(found, behind(found))).split())
