"""What helps: ordinary changes tried on the tank as it is, for the worst-off fish or for one named."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...measures.registry import FREE
from ...measures.row import value_of
from ...measures.whom import FishGroup, FishGroupError, asked_for, check_stays
from ...questions.answer.telling import middle_of
from ...questions.relief.answer import Relief, Tried, answer_of
from ...questions.relief.brief import brief_of
from ...questions.relief.costs import cost_words
from ...questions.relief.design import Plan, ReliefError, plan_of
from ...questions.relief.files import whole_json
from ...questions.relief.policies import latest_arrivals
from ...questions.relief.watch import watched
from ...questions.relief.words import document_of, sentences
from ..editing.copies import alternative_of
from ..task import Task
from .asked import found_of, headline, only, pieces
from .lives import lives_of
from .simulating import Count

WATCHING = "Looking where the fish are in the tank as it is."


def find_relief(task: Task) -> None:
    """Try the changes; kept are their words and scenarios by number (``changes``).

    The scenario is None where the fish that is taken out differs from one simulated tank to the next.
    """
    only(task, "fish")
    whom, plan = _whom(task), _plan(task.scenario)
    first_tank(found_of(task, task.scenario))
    lived, longer = lives_of(task, [plan.scenario], tried=latest_arrivals)
    plan, count = replace(plan, months=lived.months), Count(task, longer=longer)
    try:
        relief = answer_of(
            plan,
            count.run,
            whom=whom,
            told=lambda what, jobs: count.begin(f"{what} ({jobs} simulated tanks).", jobs),
        )
    except ReliefError as problem:
        raise RefusedError(f"{task.draft.name}: {problem}") from problem
    if not relief.stopped:
        count.post(told=WATCHING)
    count.told = ""
    count.post(_result(task, relief))


def _whom(task: Task) -> FishGroup | None:
    asked = task.what.get("fish")
    if asked is None:
        return None
    if not isinstance(asked, str):
        raise RefusedError(f"what.fish is {show(asked)}; use the name of a fish, or null")
    try:
        whom = asked_for(task.scenario, asked)
        check_stays(task.scenario, whom)
    except FishGroupError as problem:
        raise RefusedError(f"what.fish: {problem}") from problem
    return whom


def _plan(scenario: Scenario) -> Plan:
    try:
        return plan_of(scenario)
    except ReliefError as problem:
        raise RefusedError(f"run.trials: {problem}") from problem


def _result(task: Task, relief: Relief) -> dict[str, Any]:
    watch = watched(relief, halted=task.halted)
    found = [(one, _watching_as(task.scenario, one.change.scenario)) for one in relief.tried]
    task.kept["changes"] = {k: (one.change.name, changed) for k, (one, changed) in enumerate(found, 1)}
    task.kept["telling"] = {0: {"middle": _middle(relief)}}
    return {
        "headline": headline(brief_of(relief), task.scenario),
        "pieces": pieces(document_of(relief, watch, typed=False), task.scenario),
        "json": whole_json(relief, watch),
        "changes": [_change(task.scenario, k, *both) for k, both in enumerate(found, 1)],
    }


def _change(base: Scenario, number: int, one: Tried, changed: Scenario | None) -> dict[str, Any]:
    return {
        "number": number,
        "text": one.change.name,
        "verdict": one.verdict,
        "cost": cost_words(one.change.cost),
        "words": sentences(one),
        "can_film": changed is not None,
        "can_copy": changed is not None and alternative_of(base, changed, "a change") is not None,
    }


def _watching_as(base: Scenario, changed: Scenario | None) -> Scenario | None:
    """A change with the species watched that the tank as it is names, where some of it is left."""
    if changed is None:
        return None
    watch = base.run.watch if base.run.watch in changed.species else None
    return replace(changed, run=replace(changed.run, watch=watch))


def _middle(relief: Relief) -> int:
    """The trial in which the fish to be helped swam free a middling share of its time."""
    labels = relief.whom.labels
    shares = {row.trial: value_of(row, measure=FREE, labels=labels) for row in relief.seen}
    return middle_of({trial: 0.0 if math.isnan(free) else free for trial, free in shares.items()})
