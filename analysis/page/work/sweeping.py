"""How much rock: a sweep over amounts that fills in point by point."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from ....sim.run.model import HaltedError
from ....sim.run.set_ups import watched
from ....sim.run.trials import Job
from ....sim.scenario.reading.problems import show
from ....sim.scenario.scenario import RockSpec, Scenario
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...document import as_json
from ...document.files import plain
from ...measures.registry import FREE
from ...measures.row import TankRow, species_value
from ...questions.answer.telling import middle_of
from ...questions.rock.answer import AmountFigures, RockAnswer, answer_of, weighed
from ...questions.rock.design import LEVEL, Design, Plan, check_counts, plan_of, watered_grid
from ...questions.rock.files import whole_json
from ...questions.rock.grid import AXES, COVER, Grid, GridError, is_bare
from ...questions.rock.words import all_verdicts, document_of, mild_because
from ..task import Task
from .asked import Pace, found_of, only, which_of
from .simulating import Done, each_done

LEVELS = (0.01, 0.9)  # of the chance that may be wanted


def sweep_rock(task: Task) -> None:
    """Sweep; kept are the amounts by number (``changes``), and the run that their tanks are of (``run``)."""
    only(task, "which", "vary", "level")
    which, name, scenario = which_of(task)
    found = found_of(task, scenario, which, name)
    names, level = _varied(task), _level(task)
    species, reason = watched(scenario)
    check_counts(scenario, species)
    first_tank(found)
    plan = plan_of(scenario, _grid(scenario, names), species=species, level=level)
    sweeping = _Sweep(task, plan, scenario, mild_because(reason), which)
    sweeping.carry_out()


def _varied(task: Task) -> list[str]:
    asked = task.what.get("vary")
    if asked is None:
        return [COVER]
    known = isinstance(asked, list) and all(isinstance(one, str) and one in AXES for one in asked)
    if not known or not 1 <= len(asked) <= 2 or len(set(asked)) < len(asked):
        allowed = f"a list of one or two of {', '.join(AXES)}"
        raise RefusedError(f"what.vary: found {show(asked)}; allowed: {allowed}")
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
        raise RefusedError(f"what.level: found {show(asked)}; allowed: a share from {low:g} to {high:g}")
    return float(asked)


class _Sweep:
    """A sweep under way: its rows so far, and what is shown of them."""

    def __init__(self, task: Task, plan: Plan, scenario: Scenario, why: str, which: int) -> None:
        self._task, self._plan, self._scenario, self._why = task, plan, scenario, why
        self._pace, self._swept = Pace(task), Design(plan)
        self._asked, self._said = 0, ""
        run = replace(plan.scenarios[0].run, trials=plan.trials)
        task.kept["run"] = run  # every tank of a sweep has a guess of its own
        task.kept["changes"] = {
            place: (plan.grid.say(place), replace(scenario, rock=point.scenario.rock, alternatives=()))
            for place, point in enumerate(plan.grid.points)
        }
        self._which = which

    def carry_out(self) -> None:
        """Round by round, to the end or until the task is to end."""
        self._swept.carry_out(self._run, self._told)
        self._post(final=not self._swept.stopped)

    def _told(self, what: str, tanks: int) -> None:
        self._asked += tanks
        self._said = what
        self._count()

    def _run(self, scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[Done]:
        try:
            for one in each_done(self._task, scenarios, jobs):
                yield one
                if self._pace.is_due():
                    self._post(final=False)
                else:
                    self._count()
        except HaltedError as halt:
            raise KeyboardInterrupt from halt

    def _count(self) -> None:
        self._task.post(None, done=len(self._swept.rows), asked=self._asked, told=self._said)

    def _post(self, *, final: bool) -> None:
        with self._pace.making():
            try:
                answer = answer_of(self._swept, scenario=self._scenario, why=self._why)
            except ValueError as problem:  # no tank so far has a fish that counts
                if final:
                    raise RefusedError(f"{self._task.draft.name}: {problem}") from problem
                self._count()
                return
            rows = list(self._swept.rows.values())
            self._task.post(
                self._result(answer, rows, final), done=len(rows), asked=self._asked, told=self._said
            )

    def _result(self, answer: RockAnswer, rows: Sequence[TankRow], final: bool) -> dict[str, Any]:
        plan = self._plan
        place, amount = weighed(plan, answer)
        middles = _middles(rows, plan.species)
        own = plan.grid.own
        if own in middles:
            self._task.kept["telling"] = {self._which: {"middle": middles[own]}}
        return {
            "pieces": as_json(document_of(answer, plan.grid, amount, place=place, typed=False)),
            "json": whole_json(answer, plan, amount, place=place),
            "species": answer.species,
            "level": answer.level,
            "axis": " and ".join(axis.title for axis in plan.grid.axes),
            "points": [self._point(k, one, middles.get(k)) for k, one in enumerate(answer.amounts)],
            "verdict": all_verdicts(answer, plan.grid, typed=False),
            "final": final,
        }

    def _point(self, place: int, one: AmountFigures, trial: int | None) -> dict[str, Any]:
        grid, count = self._plan.grid, one.pinned
        return {
            "number": place,
            "amount": one.values[0],
            "amounts": list(one.values),
            "text": grid.say(place),
            "short": grid.short(place),
            "own": one.own,
            "share": plain(count.share),
            "low": plain(count.low),
            "high": plain(count.high),
            "hits": count.hits,
            "tanks": count.of,
            "run": one.run,
            "free": plain(one.free.value),
            "trial": trial,
            "changes": rock_changes(grid.points[place].scenario.rock),
        }


def _middles(rows: Sequence[TankRow], species: str) -> dict[int, int]:
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
