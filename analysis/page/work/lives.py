"""A file that reaches over weeks, tried out: lived through in blocks of days, as ``rockshy run`` does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from ....sim.run.trials import Outcome, table_of
from ....sim.run.weeks import by_week
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...document.plain import capital, many, percent, span
from ...document.typed import as_typed
from ...measures.plight import word
from ...measures.victim import first_tanks
from ...questions.answer.answer import answer
from ...questions.life.answer import Answer, answer_from
from ...questions.life.brief import brief_of
from ...questions.life.deeds import Did, rules_of
from ...questions.life.design import AS_IT_IS, LEAST_TRIALS, LifeError, plan_of
from ...questions.life.files import whole_json
from ...questions.life.first import Lives
from ...questions.life.instead import Lived, lived_of
from ...questions.life.words import document_of
from ..task import Task
from .asked import headline, pieces
from .simulating import Done, Longer, each_done, show_as_they_end


def live_out(
    task: Task, which: int, scenario: Scenario, months: int, *, shown: Callable[..., dict[str, Any]]
) -> None:
    """Live through a tank and show the answer of ``run``; ``shown``: what the page draws of its tanks."""
    try:
        design = Lives(plan_of(scenario, months=months))
    except LifeError as problem:
        raise RefusedError(f"{problem.option.removeprefix('--') or task.draft.name}: {problem}") from problem
    plan = design.plan

    def result(done: Sequence[Done]) -> dict[str, Any]:
        lived = answer_from(design)
        weeks = [_weeks(outcomes, plan.days) for job, outcomes in done if job.which == AS_IT_IS]
        trials = table_of(scenario, weeks, asked=plan.trials)
        told = answer(trials, alike=plan.kinds)
        drawn = shown(task, which, trials, told, headline=headline(brief_of(lived), scenario))
        return {
            **drawn,
            "pieces": pieces(document_of(lived), scenario),
            "worst": lived.worst.labels[0],
            "reading": [_SUMMED, *drawn["reading"]],
            "json": whole_json(lived),
            "life": life_told(lived, scenario),
        }

    def usable(done: Sequence[Done]) -> Sequence[Done]:
        enough = sum(job.which == AS_IT_IS for job, _ in done) >= LEAST_TRIALS
        return done if enough else ()

    longer = Longer(f"life of {plan.days} days", plan.work, _long(months))

    def runs() -> Iterator[Done]:
        for batch in design.batches():
            for job, outcomes in each_done(task, design.scenarios, batch.jobs, longer=longer):
                design.take(job, outcomes)
                yield job, outcomes

    more = len(first_tanks(plan.trials)) if plan.without is None else plan.trials
    show_as_they_end(task, runs(), plan.trials + more, result, usable=usable, longer=longer)


_SUMMED = "Figures of single fish are of all weeks together."


def _weeks(outcomes: tuple[Outcome, ...], days: int) -> tuple[Outcome, ...]:
    return tuple(by_week(one, days) for one in outcomes)


def life_told(lived: Answer, scenario: Scenario) -> dict[str, Any]:
    """Its months, and what was done in the simulated tanks: what the timeline shows below its days."""
    of = len(lived.lives)
    months = []
    for one, wrong in zip(lived.months, lived.trouble.by_month, strict=True):
        lost = one.lost[lived.worst.name]
        wide = span(1 - lost.high, 1 - lost.low, percent)
        said = f"Month {one.number}: {percent(1 - lost.value)} kept ({wide}), {word(lost.value)}"
        months.append(
            {
                "number": one.number,
                "kept": 1 - lost.value,
                "word": word(lost.value),
                "said": f"{said}; gone wrong in {wrong.hits} of {of} simulated tanks.",
            }
        )
    deeds = [_deed(did, of) for did in rules_of(lived)]
    whom = as_typed(replace(brief_of(lived), verdict=lived.worst.name), scenario).verdict
    return {"whom": whom, "months": months, "deeds": deeds, "days": lived.plan.days}


def _deed(did: Did, of: int) -> dict[str, Any]:
    """What a rule of thumb did, by the day on which it did it first in the middle of the tanks."""
    said = (
        f"in {did.tanks} of {of} simulated tanks, first about day {did.first:.0f}, {did.times:.1f} times each"
    )
    text = f"{capital(did.words)}: {said if did.tanks else 'never'}."
    return {"day": did.first if did.tanks else None, "text": text}


def lives_of(task: Task, scenarios: Sequence[Scenario], **how: Any) -> tuple[Lived, Longer]:
    """How long the tanks of a question live, by their files, and what carries out a trial then."""
    try:
        lived = lived_of(scenarios, None, **how)
    except LifeError as problem:
        raise RefusedError(f"{problem.option.removeprefix('--') or task.draft.name}: {problem}") from problem
    if lived.months is None:
        return lived, Longer("", lived.work)
    name = f"weeks of {lived.months} months from day {lived.since:g}"
    return lived, Longer(name, lived.work, _long(lived.months))


def _long(months: int) -> str:
    return f"Each is lived through for {many(months, 'month')}, so it takes a while."
