"""Which guesses decide the answer: the whole study, and its answer as a tree of numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...measures.whom import FishGroup
from ...study.runner import Announce, Run
from .design import ANSWERS, NOT_JUDGED, Design, Plan
from .fit import Additive, known_of
from .indices import FIRST_SLOTS, LEAST_ROWS, Shares, shares_of
from .inputs import Guess
from .screen import Screening


@dataclass(frozen=True)
class Answer:
    """One answer and how its spread is shared out; without shares ``why`` says why."""

    goal: str
    shares: Shares | None
    why: str = ""


@dataclass(frozen=True)
class Study:
    """What was found. ``kept`` have shares of their own, all ``others`` together the last share."""

    plan: Plan
    whom: FishGroup
    screening: Screening
    screened_goals: tuple[str, ...]  # what the screening looked at, in the order of its rows
    kept: tuple[Guess, ...]
    others: tuple[Guess, ...]
    answers: tuple[Answer, ...]
    rows: int
    tanks: int
    same_alone: tuple[str, ...]  # names of guesses that do nothing when nobody attacks
    stopped: bool

    @property
    def unfollowed(self) -> tuple[Guess, ...]:
        """Guesses whose effect was seen but that are not among the few that were followed up."""
        seen = self.screening.seen_anywhere()
        return tuple(one for k, one in enumerate(self.plan.guesses) if k in seen and one not in self.kept)


def answer_of(plan: Plan, run: Run, *, whom: FishGroup, told: Announce | None = None) -> Study:
    """Screen the guesses, then share the spread of every answer out among those that act; see ``Design``.

    Raises
    ------
    GuessError
        When no answer varies, so that there is nothing to share out.
    """
    work = Design(plan, whom)
    work.carry_out(run, told)
    whole = 2 ** (work.whole.bit_length() - 1)
    screening = work.screening
    fits = dict(zip(work.goals, screening.fits, strict=True))
    kept = tuple(plan.guesses[k] for k in screening.kept)
    alike = [slot - FIRST_SLOTS for slot in work.same_alone if slot - FIRST_SLOTS < len(kept)]
    return Study(
        plan=plan,
        whom=whom,
        screening=screening,
        screened_goals=work.goals,
        kept=kept,
        others=tuple(one for k, one in enumerate(plan.guesses) if k not in screening.kept),
        answers=tuple(_answer(goal, work, whole, fits.get(goal)) for goal in ANSWERS),
        rows=whole,
        tanks=work.tanks,
        same_alone=tuple(kept[k].name for k in alike),
        stopped=work.whole < plan.rows,
    )


def _answer(goal: str, work: Design, whole: int, fit: Additive | None) -> Answer:
    values = work.values[ANSWERS.index(goal), :whole]
    if fit is None or whole < LEAST_ROWS or not np.isfinite(values).all():
        return Answer(goal, None, work.why[goal] or NOT_JUDGED)
    known = known_of(fit, work.pages).rows(np.arange(whole))
    shares = shares_of(values, seed=work.plan.scenario.run.seed, known=known)
    if shares.variance <= 0:
        return Answer(goal, None, "there is no more than the luck of the trials in it")
    return Answer(goal, shares)
