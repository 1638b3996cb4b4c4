"""Which guesses decide the answer: the whole study, and its answer as a tree of numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...measures.registry import LOST, PINNED_FISH, RECEIVED
from ...measures.whom import FishGroup
from ...statistics.intervals import Floats
from .design import ANSWERS, Announce, Plan, Rows, Run, Screened, Work
from .fit import Additive, known_of
from .indices import LEAST_ROWS, Shares, shares_of
from .inputs import Guess, GuessError
from .screen import Screening, screen

SELDOM = 0.02  # a pinned chance below this leaves nothing to share out (assumption)
NOT_JUDGED = "in some simulated tanks none of them can be judged (holding females do not count as pinned)"
CONSTANT = {
    LOST: "they lose the same in every simulated tank",
    RECEIVED: "they are chased equally often in every simulated tank",
    PINNED_FISH: "it is the same in every simulated tank",
}


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


def study(plan: Plan, run: Run, *, whom: FishGroup, told: Announce | None = None) -> Study:
    """Screen the guesses, then share the spread of every answer out among those that act.

    Parameters
    ----------
    run : simulates jobs, such as :class:`rockshy.analysis.commands.long_run.Counted`.
    whom : whose answers.
    told : called with what comes next and how many simulated tanks it takes.

    Raises
    ------
    GuessError
        When no answer varies, so that there is nothing to share out.
    KeyboardInterrupt
        When there is nothing to answer from yet.
    """
    work = Work(plan, run, whom=whom, told=told)
    screened = work.screening()
    why = {goal: _why_not(goal, values) for goal, values in zip(ANSWERS, screened.values, strict=True)}
    goals = tuple(goal for goal in ANSWERS if not why[goal])
    if not goals:
        said = "; ".join(f"{goal}: {reason}" for goal, reason in why.items())
        raise GuessError(f"nothing varies that could be shared out ({said}); allowed: fish that are chased")
    screening = _screen(plan, work, screened, goals)
    rows = work.rows(screening.kept)
    whole = 2 ** (rows.whole.bit_length() - 1)
    fits = dict(zip(goals, screening.fits, strict=True))
    answers = tuple(_answer(goal, rows, whole, why[goal], fits, plan) for goal in ANSWERS)
    kept = tuple(plan.guesses[k] for k in screening.kept)
    return Study(
        plan=plan,
        whom=whom,
        screening=screening,
        screened_goals=goals,
        kept=kept,
        others=tuple(one for k, one in enumerate(plan.guesses) if k not in screening.kept),
        answers=answers,
        rows=whole,
        tanks=len(screened.points) + rows.tanks,
        same_alone=tuple(kept[k].name for k in _alike(rows, len(kept))),
        stopped=rows.whole < plan.rows,
    )


def _screen(plan: Plan, work: Work, screened: Screened, goals: Sequence[str]) -> Screening:
    """All guesses are kept where there are few enough."""
    found = screen(
        screened.points,
        [screened.values[ANSWERS.index(goal)] for goal in goals],
        columns=work.columns,
        most=plan.most,
    )
    if len(plan.guesses) > plan.most + 1:
        return found
    return replace(found, kept=tuple(range(len(plan.guesses))))


def _why_not(goal: str, values: Floats) -> str:
    """Why an answer cannot be shared out, as the screening shows; "" when it can."""
    if not np.isfinite(values).all():
        return NOT_JUDGED
    if np.ptp(values) <= 1e-12:
        return CONSTANT[goal]
    if goal == PINNED_FISH and values.mean() < SELDOM:
        return f"it is {100.0 * values.mean():.1f} % over all guesses, too little to share out"
    return ""


def _answer(goal: str, rows: Rows, whole: int, why: str, fits: Mapping[str, Additive], plan: Plan) -> Answer:
    values = rows.values[ANSWERS.index(goal), :whole]
    if why or whole < LEAST_ROWS or not np.isfinite(values).all():
        return Answer(goal, None, why or NOT_JUDGED)
    known = known_of(fits[goal], rows.design).rows(np.arange(whole))
    shares = shares_of(values, seed=plan.scenario.run.seed, known=known)
    if shares.variance <= 0:
        return Answer(goal, None, "there is no more than the luck of the trials in it")
    return Answer(goal, shares)


def _alike(rows: Rows, kept: int) -> list[int]:
    return [slot - 2 for slot in rows.same_alone if slot - 2 < kept]
