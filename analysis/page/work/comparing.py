"""The tank as it is beside all of its copies, on the same trials."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from functools import partial
from typing import Any

from ....sim.run.trials import Job, table_of
from ...asking.errors import RefusedError
from ...asking.found import check_water
from ...questions.answer.telling import tanks_of, telling_of
from ...questions.compare.answer import Against, Comparison, Figure, Whose, answer_of, everywhere
from ...questions.compare.brief import brief_of
from ...questions.compare.design import ARMS, by_scenario, comparable
from ...questions.compare.files import whole_json
from ...questions.compare.words import LABELS, document_of, figure_cells, sentence
from ..task import Task
from .asked import found_of, headline, only, pieces
from .lives import lives_of
from .simulating import Done, each_done, show_as_they_end

_CELLS = ("before", "after", "difference", "interval", "guesses", "better", "worse")


def compare_copies(task: Task) -> None:
    """Run base and copies trial by trial; kept are ``tables`` and ``telling``, trials to look at, of each."""
    only(task)
    base = task.scenario
    if not base.alternatives:
        raise RefusedError(
            "there is no copy of the tank to compare with; make one or more, each with a change"
        )
    if not base.measured_fish:
        raise RefusedError("all fish are out of the tank before measuring begins")
    check_water(found_of(task, base))
    scenarios = [base, *(one.scenario for one in base.alternatives)]
    lived, longer = lives_of(task, scenarios)
    jobs = [Job(which, trial, ARMS) for trial in range(base.run.trials) for which in range(len(scenarios))]

    def result(those: Sequence[Done]) -> dict[str, Any]:
        found = by_scenario(those)
        tables = [table_of(one, found[k], asked=len(found[k])) for k, one in enumerate(scenarios)]
        group = None if lived.months is None else everywhere(base, tables, None)
        answer = answer_of(base, tables, group=group, months=lived.months, since=lived.since)
        telling = {which: asdict(telling_of(tanks_of(table))) for which, table in enumerate(tables)}
        task.kept["tables"], task.kept["telling"] = dict(enumerate(tables)), telling
        return {
            "headline": headline(brief_of(answer), base),
            "pieces": pieces(document_of(answer), base),
            "json": whole_json(base, answer),
            "against": [_against(one, answer) for one in answer.against],
            "telling": telling[0],
        }

    runs = each_done(task, scenarios, jobs, longer=longer)
    show_as_they_end(task, runs, len(jobs), result, usable=partial(comparable, jobs), longer=longer)


def _against(one: Against, answer: Comparison) -> dict[str, Any]:
    figures = [(group, figure) for group in one.groups for figure in group.figures.values()]
    return {
        "name": one.name,
        "changes": list(one.changes),
        "sentence": sentence(one, answer),
        "figures": [_figure(*both) for both in figures if both[1].difference.trials],
    }


def _figure(group: Whose, figure: Figure) -> dict[str, str]:
    return {
        "role": group.role,
        "goal": figure.goal,
        "label": LABELS[figure.goal],
        **dict(zip(_CELLS, figure_cells(figure), strict=True)),
    }
