"""How much rock: a sweep over amounts that fills in point by point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from ....sim.run.trials import Job
from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import RockSpec, Scenario
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...measures.registry import FREE
from ...measures.row import TankRow, species_value
from ...questions.answer.telling import middle_of
from ...questions.rock.answer import AmountFigures, answer_of, weighed
from ...questions.rock.brief import brief_of
from ...questions.rock.design import LEVEL, Design, Plan, plan_of, watered_grid
from ...questions.rock.files import whole_json
from ...questions.rock.grid import AXES, COVER, Grid, GridError, is_bare
from ...questions.rock.words import document_of
from ..task import Task
from .asked import headline, only, pieces, which_of
from .simulating import Count, Done, Pace

LEVELS = (0.01, 0.9)  # of the chance that may be wanted


def sweep_rock(task: Task) -> None:
    """Sweep; kept are the amounts by number (``changes``), and the run that their tanks are of (``run``)."""
    only(task, "which", "vary", "level")
    which, scenario, found = which_of(task)
    names, level = _varied(task), _level(task)
    first_tank(found)
    plan = plan_of(scenario, _grid(scenario, names), level=level)
    _Sweep(task, plan, scenario, which).carry_out()


def _varied(task: Task) -> list[str]:
    asked = task.what.get("vary")
    if asked is None:
        return [COVER]
    known = isinstance(asked, list) and all(isinstance(one, str) and one in AXES for one in asked)
    if not known or not 1 <= len(asked) <= 2 or len(set(asked)) < len(asked):
        allowed = f"a list of one or two of {', '.join(AXES)}"
        raise RefusedError(f"what.vary is {show(asked)}; use {allowed}")
    return [name for name in AXES if name in asked]


def _grid(scenario: Scenario, names: Sequence[str]) -> Grid:
    try:
        return watered_grid(scenario, names)
    except GridError as problem:
        raise RefusedError(str(problem).replace("--", "")) from problem


def _level(task: Task) -> float:
    asked = task.what.get("level")
    if asked is None:
        return LEVEL
    low, high = LEVELS
    if type(asked) not in (int, float) or not low <= asked <= high:
        raise RefusedError(f"what.level is {show(asked)}; use a share from {low:g} to {high:g}")
    return float(asked)


class _Sweep:
    """A sweep under way: its rows so far, and what is shown of them."""

    def __init__(self, task: Task, plan: Plan, scenario: Scenario, which: int) -> None:
        self._task, self._plan, self._scenario, self._which = task, plan, scenario, which
        self._count, self._pace, self._swept = Count(task), Pace(task), Design(plan)
        task.kept["run"] = replace(plan.scenarios[0].run, trials=plan.trials)  # a guess for every tank
        task.kept["changes"] = {
            place: (plan.grid.say(place), replace(scenario, rock=point.scenario.rock, alternatives=()))
            for place, point in enumerate(plan.grid.points)
        }

    def carry_out(self) -> None:
        """Round by round, to the end or until the task is to end."""
        self._swept.carry_out(self._run, self._count.begin)
        self._post(final=not self._swept.stopped)

    def _run(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        for one in self._count.run(scenarios, jobs):
            yield one
            if self._pace.is_due():
                self._post(final=False)

    def _post(self, *, final: bool) -> None:
        try:
            self._pace.made(lambda: self._count.post(self._result(final)))
        except ValueError as problem:  # no tank so far has a fish that counts
            if final:
                raise RefusedError(f"{self._task.draft.name}: {problem}") from problem

    def _result(self, final: bool) -> dict[str, Any]:
        plan = self._plan
        answer = answer_of(self._swept, scenario=self._scenario)
        place, amount = weighed(plan, answer)
        middles = _middles(self._swept.rows.values(), answer.species)
        if plan.grid.own in middles:
            self._task.kept["telling"] = {self._which: {"middle": middles[plan.grid.own]}}
        told = document_of(answer, plan.grid, amount, place=place, typed=False)
        return {
            "headline": headline(brief_of(answer, plan.grid), self._scenario),
            "pieces": pieces(told, self._scenario),
            "json": whole_json(answer, plan, amount, place=place),
            "species": answer.species,
            "level": answer.level,
            "axis": " and ".join(axis.title for axis in plan.grid.axes),
            "points": [_point(plan.grid, k, one, middles.get(k)) for k, one in enumerate(answer.amounts)],
            "final": final,
        }


def _point(grid: Grid, place: int, one: AmountFigures, trial: int | None) -> dict[str, Any]:
    count = one.pinned
    return {
        "number": place,
        "amount": one.values[0],
        "text": grid.say(place),
        "short": grid.short(place),
        "own": one.own,
        **{name: getattr(count, name) for name in ("share", "low", "high", "hits")},
        "tanks": count.of,
        "run": one.run,
        "free": one.free.value,
        "trial": trial,
        "changes": rock_changes(grid.points[place].scenario.rock),
    }


def _middles(rows: Iterable[TankRow], species: str) -> dict[int, int]:
    """Of each amount that was tried, the trial in which the species swam free a middling share of time."""
    free: dict[int, dict[int, float]] = {}
    for row in rows:
        free.setdefault(row.which, {})[row.trial] = species_value(row, measure=FREE, species=species)
    return {place: middle_of(values) for place, values in free.items()}


def rock_changes(rock: RockSpec) -> list[dict[str, Any]]:
    """The edits of a page that lead to an amount of rock that is drawn anew."""
    if is_bare(rock):
        return [{"do": "bare"}]
    return [{"do": "cover", "cover": rock.cover, "height": rock.height_cm, "piles": rock.piles}]
