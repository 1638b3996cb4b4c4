"""The tank as it is beside all of its copies, on the same trials."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from ....sim.run.model import HaltedError
from ....sim.run.set_ups import watched
from ....sim.run.table import Trials
from ....sim.run.trials import Job, table_of
from ....sim.scenario.scenario import Scenario
from ...asking.errors import RefusedError
from ...asking.found import check_water
from ...document import as_json
from ...measures.asked import is_there
from ...measures.groups import Group
from ...questions.answer.telling import tanks_of, telling_of
from ...questions.compare.answer import Against, Comparison, Figure, Whose, answer_of
from ...questions.compare.design import ARMS, by_scenario, comparable
from ...questions.compare.files import whole_json
from ...questions.compare.words import LABELS, document_of, figure_cells, sentence
from ..task import Task
from .asked import Pace, found_of, only
from .simulating import Done, each_done


def compare_copies(task: Task) -> None:
    """Run base and copies trial by trial; kept are ``tables`` and ``telling``, trials to look at, of each."""
    only(task)
    base = task.scenario
    if not base.alternatives:
        raise RefusedError(
            "found no copy of the tank to compare with; allowed: one or more, each with a change"
        )
    group = Group(species=watched(base)[0])
    if not is_there(base, group):
        raise RefusedError(f"{group.name}: it is out of the tank before measuring begins")
    check_water(found_of(task, base))
    scenarios = [base, *(one.scenario for one in base.alternatives)]
    jobs = [Job(which, trial, ARMS) for trial in range(base.run.trials) for which in range(len(scenarios))]
    done: list[Done] = []
    pace = Pace(task)
    task.post(None, done=0, asked=len(jobs))
    posted = 0  # jobs of which the last result is
    try:
        for one in each_done(task, scenarios, jobs):
            done.append(one)
            if len(done) < len(jobs) and pace.is_due():
                posted = _post(task, scenarios, jobs, done, posted, group, pace)
            else:
                task.post(None, done=len(done), asked=len(jobs))
    except HaltedError:
        if not comparable(jobs, done):
            raise
    _post(task, scenarios, jobs, done, posted, group, pace)


def _post(
    task: Task,
    scenarios: Sequence[Scenario],
    jobs: Sequence[Job],
    done: Sequence[Done],
    posted: int,
    group: Group,
    pace: Pace,
) -> int:
    """Show what can be compared, where there is more of it than before; of how many jobs that is."""
    those = comparable(jobs, done)
    if len(those) <= posted:
        task.post(None, done=len(done), asked=len(jobs))
        return posted
    with pace.making():
        found = by_scenario(those)
        tables = [table_of(one, found[k], asked=len(found[k])) for k, one in enumerate(scenarios)]
        task.post(_result(task, tables, group), done=len(done), asked=len(jobs))
    return len(those)


def _result(task: Task, tables: Sequence[Trials], group: Group) -> dict[str, Any]:
    answer = answer_of(task.scenario, tables, group=group)
    telling = {which: asdict(telling_of(tanks_of(table))) for which, table in enumerate(tables)}
    task.kept["tables"], task.kept["telling"] = dict(enumerate(tables)), telling
    return {
        "pieces": as_json(document_of(answer)),
        "json": whole_json(task.scenario, answer),
        "against": [_against(one, answer) for one in answer.against],
        "telling": telling[0],
    }


def _against(one: Against, answer: Comparison) -> dict[str, Any]:
    return {
        "name": one.name,
        "changes": list(one.changes),
        "sentence": sentence(one, answer),
        "figures": [
            _figure(group, figure)
            for group in one.groups
            for figure in group.figures.values()
            if figure.difference.trials
        ],
    }


def _figure(group: Whose, figure: Figure) -> dict[str, str]:
    before, after, difference, interval, guesses, better, worse = figure_cells(figure)
    return {
        "role": group.role,
        "whose": group.name,
        "goal": figure.goal,
        "label": LABELS[figure.goal],
        "before": before,
        "after": after,
        "difference": difference,
        "interval": interval,
        "guesses": guesses,
        "better": better,
        "worse": worse,
    }
