"""Made-up lives: what each fish loses on each measured day is stated."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from fake_relief import HOURS, TEXT, _columns
from fake_trials import HOT, MILD
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.life.answer import Answer, answer_of
from rockshy.analysis.questions.life.design import plan_of
from rockshy.analysis.questions.life.words import document_of
from rockshy.sim.fish.population import Individual, individuals
from rockshy.sim.run.done import column_of
from rockshy.sim.run.life import Measured, _stacked
from rockshy.sim.run.set_ups import draw_of
from rockshy.sim.run.table import LEFT_ALONE
from rockshy.sim.run.trials import Job, Outcome
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Scenario

DAYS = (1, 5, 12, 26, 31, 40, 54, 68, 82, 88)  # measured, of three months
DATED = f'[[event]]\nday = 30\nout = "{HOT} male 1"\n'

Loss = Callable[[Scenario, Individual, int, int], float]  # scenario, fish, trial, day -> share lost
Grown = Callable[[Individual, int], tuple[bool, int]]  # fish, trial -> male, and the day on which it matures
Holder = Callable[[int, int], str]  # trial, day -> the fish that holds ground all day, "" for none


def tank(*, trials: int = 16, more: str = "", young: bool = False) -> Scenario:
    """Four duboisi, unsexed ones where they are ``young``, with four threadfins."""
    text = TEXT.replace("trials = 32", f"trials = {trials}").replace("guesses = 8\n", "")
    if young:
        text = text.replace("males = 1\nfemales = 3", "unsexed = 4", 1)
    return parse(text + more, name="made-up.toml")


def as_stocked(fish: Individual, _: int) -> tuple[bool, int]:
    return fish.sex == "male", 0


def nobody(_: int, __: int) -> str:
    return ""


@dataclass
class Lives:
    """Carries out jobs; every fish but the first gives the first duboisi female three chases a day."""

    loss: Loss
    grown: Grown = as_stocked
    holder: Holder = nobody
    out_from: int | None = None  # the day from which the duboisi are out
    stop_after: int | None = None
    done: int = 0

    def __call__(
        self, scenarios: Sequence[Scenario], jobs: Sequence[Job]
    ) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        for job in jobs:
            if self.stop_after is not None and self.done >= self.stop_after:
                raise KeyboardInterrupt
            self.done += 1
            yield job, tuple(self._life(scenarios[job.which], job, name) for name in job.arms or ())

    def _life(self, scenario: Scenario, job: Job, name: str) -> Outcome:
        told = []
        for since, day in zip((0, *(day - 1 for day in DAYS[1:])), DAYS, strict=True):
            one = self._day(scenario, job, day, peace=name == LEFT_ALONE)
            told.append((Measured(day, since), replace(one, name=name), np.ones(len(one.people))))
        labels = [one.label for one in individuals(scenario.stock)]
        return _stacked(told, done=column_of((), labels), hours=HOURS)

    def _day(self, scenario: Scenario, job: Job, day: int, *, peace: bool) -> Outcome:
        people = tuple(individuals(scenario.stock))
        lost = np.array([0.0 if peace else self.loss(scenario, one, job.trial, day) for one in people])
        chases = np.zeros((len(people), len(people)), dtype=np.int64)
        if not peace:
            chases[2:, 1] = 3
        columns = _columns(people, lost, chases)
        columns["length_cm"] = np.full(len(people), 6.0 + day / 30)
        grown = [self.grown(one, job.trial) for one in people]
        columns["sex"] = np.array([0 if male else 1 for male, _ in grown], np.int8)
        columns["adult"] = np.array([day >= mature for _, mature in grown])
        holds = np.array([one.label == self.holder(job.trial, day) for one in people])
        if self.out_from is not None and day >= self.out_from:
            gone = np.array([one.species == MILD for one in people])
            columns |= {name: np.where(gone, 0.0, columns[name]) for name in ("lit_s", "free_s", "hidden_s")}
            columns["hour_lit_s"] = np.where(gone[:, None], 0.0, columns["hour_lit_s"])
        columns["hour_owner_s"] = columns["hour_lit_s"] * holds[:, None]
        return Outcome("", job.trial, draw_of(scenario, job.trial), people, columns)


def lived(loss: Loss, *, scenario: Scenario | None = None, months: int = 3, **how: Any) -> Answer:
    """What is answered of lives in which fish lose this."""
    return answer_of(plan_of(scenario or tank(), months=months), Lives(loss, **how))


def said(found: Answer) -> str:
    """All words on one line."""
    return " ".join(as_text(document_of(found)).split())
