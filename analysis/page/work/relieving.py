"""What helps: ordinary changes tried on the tank as it is, for the worst-off fish or for one named."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from ....sim.run.model import HaltedError
from ....sim.run.trials import Job
from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...document import as_json
from ...measures.registry import FREE
from ...measures.row import value_of
from ...measures.whom import FishGroup, FishGroupError, asked_for, check_stays
from ...questions.answer.telling import middle_of
from ...questions.relief.answer import Relief, Tried, answer_of
from ...questions.relief.changes import Change
from ...questions.relief.costs import cost_words
from ...questions.relief.design import Plan, ReliefError, plan_of
from ...questions.relief.files import whole_json
from ...questions.relief.watch import watched
from ...questions.relief.words import document_of, sentences
from ..editing.copies import alternative_of
from ..task import Task
from .asked import found_of, only
from .simulating import Done, each_done

WATCHING = "Looking where the fish are in the tank as it is."


def find_relief(task: Task) -> None:
    """Try the changes; kept are their words and scenarios by number (``changes``).

    The scenario is None where the fish that is taken out differs from one simulated tank to the next.
    """
    only(task, "fish")
    scenario = task.scenario
    whom, plan = _whom(task, scenario), _plan(scenario)
    first_tank(found_of(task, scenario))
    count = _Count(task)
    try:
        relief = answer_of(plan, count.run, whom=whom, told=count.told)
    except ReliefError as problem:
        raise RefusedError(f"{task.draft.name}: {problem}") from problem
    if not relief.stopped:
        task.post(None, done=count.done, asked=count.asked, told=WATCHING)
    task.post(_result(task, relief), done=count.done, asked=count.asked)


def _whom(task: Task, scenario: Scenario) -> FishGroup | None:
    asked = task.what.get("fish")
    if asked is None:
        return None
    if not isinstance(asked, str):
        raise RefusedError(f"what.fish: found {show(asked)}; allowed: the name of a fish, or null")
    try:
        whom = asked_for(scenario, asked)
        check_stays(scenario, whom)
    except FishGroupError as problem:
        raise RefusedError(f"what.fish: {problem}") from problem
    return whom


def _plan(scenario: Scenario) -> Plan:
    try:
        return plan_of(scenario)
    except ReliefError as problem:
        raise RefusedError(f"run.trials: {problem}") from problem


class _Count:
    """Runs what the search asks for, and says how far it is."""

    def __init__(self, task: Task) -> None:
        self._task, self._said = task, ""
        self.done = self.asked = 0

    def told(self, what: str, jobs: int) -> None:
        """What is begun now, and how many simulated tanks it takes."""
        self.asked += jobs
        self._said = f"{what} ({jobs} simulated tanks)."
        self._post()

    def run(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        """Each job with its outcomes; a task that is to end breaks the search off as Ctrl-C does."""
        try:
            for one in each_done(self._task, scenarios, jobs):
                self.done += 1
                self._post()
                yield one
        except HaltedError as halt:
            raise KeyboardInterrupt from halt

    def _post(self) -> None:
        self._task.post(None, done=self.done, asked=self.asked, told=self._said)


def _result(task: Task, relief: Relief) -> dict[str, Any]:
    watch = watched(relief, halted=task.halted)
    changes = {
        number: (one.change.name, _watching_as(task.scenario, one.change.scenario))
        for number, one in enumerate(relief.tried, 1)
    }
    task.kept["changes"] = changes
    task.kept["telling"] = {0: {"middle": _middle(relief)}}
    return {
        "pieces": as_json(document_of(relief, watch, typed=False)),
        "json": whole_json(relief, watch),
        "whom": relief.whom.name,
        "changes": [
            {**_change(number, one), "can_copy": _can_copy(task.scenario, changes[number][1])}
            for number, one in enumerate(relief.tried, 1)
        ],
    }


def _change(number: int, one: Tried) -> dict[str, Any]:
    change: Change = one.change
    return {
        "number": number,
        "text": change.name,
        "verdict": one.verdict,
        "cost": cost_words(change.cost),
        "words": sentences(one),
        "can_film": change.scenario is not None,
    }


def _watching_as(base: Scenario, changed: Scenario | None) -> Scenario | None:
    """A change with the species watched that the tank as it is names, where some of it is left."""
    if changed is None:
        return None
    watch = base.run.watch if base.run.watch in changed.species else None
    return replace(changed, run=replace(changed.run, watch=watch))


def _can_copy(base: Scenario, changed: Scenario | None) -> bool:
    """Whether a change can be written down as a copy."""
    return changed is not None and alternative_of(base, changed, "a change") is not None


def _middle(relief: Relief) -> int:
    """The trial in which the fish to be helped swam free a middling share of its time."""
    labels = relief.whom.labels
    shares = {row.trial: value_of(row, measure=FREE, labels=labels) for row in relief.seen}
    return middle_of({trial: 0.0 if math.isnan(free) else free for trial, free in shares.items()})
