"""``rockshy compare``: what if, the tank as it is beside its alternatives."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.fish import group_of as group_asked
from ..asking.found import Found, check_water, refusing_rock
from ..asking.progress import Progress, say
from .finding import changed, find
from .giving import Answer
from .lasting import how_long
from .lived import add_months, lived_of
from .long_run import Counted, check_file, long_run, say_tanks
from .options import add_question, add_until
from .until import came_to, capped, goal_of, until_of

if TYPE_CHECKING:
    from ...sim.run.table import Trials
    from ...sim.run.trials import Job, Outcome
    from ...sim.scenario.scenario import RunSpec, Scenario
    from ..measures.groups import Group
    from ..measures.whom import FishGroup
    from ..pictures.save import SavedPicture
    from ..questions.compare.answer import Comparison
    from ..questions.compare.design import Sharing
    from ..questions.life.instead import Lived
    from ..statistics.sharing import Sharer
    from ..statistics.stopping import Until


@dataclass(frozen=True)
class Task:
    """What is compared, for whom and by what, and how many trials of each."""

    found: Found
    scenarios: tuple[Scenario, ...]
    group: Group | None  # whoever was asked for
    goal: str
    sharer: Sharer | None
    until: Until | None
    lived: Lived

    @property
    def names(self) -> list[str]:
        """The base and each alternative."""
        return ["the tank as it is", *(one.name for one in self.scenarios[0].alternatives)]


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The alternatives are the [[alternative]] tables of the file. Ctrl-C stops it and prints the "
        "answer so far (exit status 130)."
    )
    goal = (
        "what decides which is best: free swimming lost (default), chases received, time hidden, or how "
        "often it is pinned; lower is better"
    )
    add = parser.add_argument
    add("--goal", choices=("lost", "received", "hidden", "pinned"), default="lost", help=goal)
    add("--share-out", action="store_true", help="spend the simulated tanks where they decide which is best")
    add_until(parser)
    add_months(parser)
    add("--swap", metavar="SPECIES", help="try each species of the library instead of this one")
    add_question(parser, whose="which fish the answer is about", without="the worst off")


def carry_out(line: argparse.Namespace) -> int:
    """Run all side by side, print the answer, write what was asked for."""
    _check_options(line)
    if line.swap is not None:
        from .swap import carry_out_swap

        return carry_out_swap(line)
    from ..questions.compare.answer import answer_of, chosen_of, everywhere
    from ..questions.compare.brief import brief_of
    from ..questions.compare.files import COLUMNS, CSV, JSON, PNG, rows_text, whole_json
    from ..questions.compare.plans import shared_of
    from ..questions.compare.words import document_of

    task = _task(line)
    if line.picture is not None:
        check_file(line.picture)
    check_water(task.found)
    base, names = task.scenarios[0], task.names
    with long_run(line, task.found, "compare", base, others=True, lived=task.lived) as run:
        tables, asked, is_whole = _run(task, run)
        with refusing(task.found.asked, ValueError):
            if task.lived.months is not None:
                asked = everywhere(base, tables, asked)
            months, since = task.lived.months, task.lived.since
            answer = answer_of(base, tables, group=asked, goal=task.goal, months=months, since=since)
        group = chosen_of(base, tables[0], asked).group
        shared = stopped = None
        if task.sharer is not None:
            shared = shared_of(task.sharer, names=names, counts=[table.done for table in tables])
        if task.until is not None:
            stopped = came_to(task.until, base, tables, names=names, group=group)
        return Answer(
            base,
            words=partial(document_of, answer, shared=shared, stopped=stopped),
            told=whole_json(base, answer, options=task.found.changes, shared=shared, stopped=stopped),
            json=JSON,
            is_whole=is_whole,
            table=(CSV, partial(rows_text, tables, names=names, group=group), COLUMNS),
            draw=partial(_draw, answer),
            png=PNG,
            brief=partial(brief_of, answer),
        ).give(line, run.kept)


def _check_options(line: argparse.Namespace) -> None:
    """Refuse options that contradict each other."""
    given = {
        "--swap": line.swap is not None,
        "--share-out": line.share_out,
        "--until": line.until is not None,
        "--until-rate": line.until_rate is not None,
    }
    if line.months is not None and line.swap is not None:
        raise RefusedError("--months and --swap do not go together; use one at a time")
    together = [name for name in given if given[name]]
    if len(together) > 1:
        raise RefusedError(f"{' and '.join(together)} do not go together; use one at a time")
    if line.swap is not None and line.goal == "received":
        raise RefusedError(
            "--goal received does not go with --swap; use lost, hidden or pinned: a fish that has given up "
            "coming out is chased less"
        )


def _task(line: argparse.Namespace) -> Task:
    found = changed(line.file, line)
    found = replace(found, scenario=everything_changed(found, line))
    if not found.scenario.alternatives:
        raise RefusedError(_no_alternatives(found))
    until = until_of(line, found)
    if until is not None:
        found = capped(found, until)
    base = found.scenario
    scenarios = (base, *(one.scenario for one in base.alternatives))
    lived = lived_of(line, found, scenarios)
    group = group_asked(base, line.fish)
    task = Task(found, scenarios, group, line.goal, None, until, lived)
    if not line.share_out:
        return task
    if group is not None:
        _check_is_everywhere(task, group)
    return replace(task, sharer=_sharer(base, len(scenarios)))


def _check_is_everywhere(task: Task, group: Group) -> None:
    """Refuse to share trials out by fish that some of the scenarios do not have."""
    from ..measures.asked import is_there

    for name, scenario in zip(task.names, task.scenarios, strict=True):
        if not is_there(scenario, group):
            raise RefusedError(
                f'--share-out: {group.name} is not in "{name}" while it is measured; use --for with a fish '
                "or species that is in all of them, or leave --share-out out"
            )


def everything_changed(found: Found, line: argparse.Namespace) -> Scenario:
    """The changed scenario with the same options applied to its alternatives.

    With ``--days`` an alternative whose measuring begins later than that of the base, so that both are
    measured on the same days, goes on doing so.
    """
    base = found.scenario
    if not found.changes:
        return base
    before = find(line.file).run

    def rerun(run: RunSpec) -> RunSpec:
        late = run.settle_days - before.settle_days
        held = late if abs(run.days - before.days - late) < 1e-9 else 0.0
        held = max(held, -base.run.settle_days)
        new = replace(run, trials=base.run.trials, guesses=base.run.guesses, seed=base.run.seed)
        new = replace(new, fixed=base.run.fixed, wide=base.run.wide)
        if line.days is None:
            return new
        return replace(new, days=base.run.days + held, settle_days=base.run.settle_days + held)

    others = tuple(
        replace(one, scenario=replace(one.scenario, run=rerun(one.scenario.run))) for one in base.alternatives
    )
    return replace(base, alternatives=others)


def _no_alternatives(found: Found) -> str:
    """What to write, made of this very tank so that it can be used as it stands."""
    stock, rock = found.scenario.stock, found.scenario.rock
    counts = [
        (getattr(row, sex), sex, row.species) for row in stock for sex in ("males", "females", "unsexed")
    ]
    count, sex, species = max(counts)
    fewer = f'recount = [{{ species = "{species}", {sex} = {count - 1} }}]'
    height = "" if rock.height_cm > 0 else f', height = "{found.scenario.tank.height_cm / 2:g} cm"'
    cover, name = ("50 %", "more rock") if rock.cover < 0.5 else ("30 %", "less rock")
    examples = [("one fewer", fewer)] if count > 1 else []
    examples.append((name, f'rock = {{ cover = "{cover}"{height} }}'))
    written = "\n\n".join(f'[[alternative]]\nname = "{name}"\n{change}' for name, change in examples)
    return (
        f"{found.asked} has no [[alternative]] to compare with; use --swap SPECIES, or write one or more at "
        f"the end of the file, such as\n\n{written}"
    )


def _sharer(base: Scenario, scenarios: int) -> Sharer:
    from ...sim.run.set_ups import draws_of
    from ..statistics.sharing import Sharer

    run = base.run
    if run.trials < 2:
        raise RefusedError(f"--share-out: {run.trials} simulated tank of each is too few; use 2 or more")
    budget = run.trials * scenarios
    return Sharer(scenarios, budget=budget, draw=draws_of(run, budget // 2), fixed=run.fixed)


def _run(task: Task, run: Counted) -> tuple[list[Trials], Group | FishGroup | None, bool]:
    """A table of each scenario, for whom if that is settled, and False when Ctrl-C ended it early."""
    from ...sim.run.trials import Job
    from ..measures.victim import group_of
    from ..measures.whom import FishGroup
    from ..questions.compare.design import ARMS, run_side_by_side

    _say_dates(task)
    plan, most = _plan(task)
    many = len(task.scenarios)
    jobs = (Job(k % many, k // many, ARMS) for k in range(most))
    took = how_long(task.scenarios, jobs, executor=run.executor, days=run.days)
    say(f"{many} tanks side by side, at most {most} simulated tanks in all: {took} here.")
    asked, there = _picked(task, run)
    stops: list[str] = []
    with Progress(most) as progress, refusing_rock(task.found.asked):
        tables = run_side_by_side(
            task.scenarios,
            plan=plan,
            goal=task.goal if task.until is None else goal_of(task.until),
            group=group_of(asked) if isinstance(asked, FishGroup) else asked,
            there=there,
            executor=run.executor,
            kept=run.kept,
            progress=lambda done, _: progress(done, most),
            on_stop=lambda: stops.append("by Ctrl-C"),
            work=run.work,
        )
    if stops:
        done = sum(table.done for table in tables)
        say(f"Stopped by Ctrl-C: the answer is of {done} simulated tanks.")
    return tables, asked, not stops


def _picked(task: Task, run: Counted) -> tuple[Group | FishGroup | None, Mapping[Job, tuple[Outcome, ...]]]:
    """Whom to ask about where that decides what is run, and the jobs that were run to see it."""
    from ..measures.victim import group_of
    from ..study.choosing import choose_victim

    if task.group is not None or (task.sharer is None and task.until is None):
        return task.group, {}
    whom, there = choose_victim(task.scenarios[0], run, told=say_tanks)
    if task.sharer is not None:
        _check_is_everywhere(task, group_of(whom))
    return whom, there


def _say_dates(task: Task) -> None:
    """Name every change that the run is too short for, as may be with ``--days``."""
    if task.lived.months is not None:
        return
    from ..questions.check.flags import date_flags

    told = {flag.text for flag in date_flags(task.scenarios[0])}
    for one in task.scenarios[0].alternatives:
        for flag in date_flags(one.scenario):
            if flag.text not in told:
                say(f'Alternative "{one.name}": {flag.text}')


def _plan(task: Task) -> tuple[Sharing, int]:
    """The plan, and how many trials it may take at most."""
    from ..questions.compare.design import equally
    from ..questions.compare.plans import until_plan

    count, base = len(task.scenarios), task.scenarios[0]
    if task.sharer is not None:
        return task.sharer.next_batch, task.sharer.budget
    if task.until is not None:
        plan = until_plan(task.until, base.run)
        return plan, count * task.until.cap
    return equally(base.run.trials, scenarios=count), count * base.run.trials


def _draw(answer: Comparison, path: Path) -> SavedPicture:
    from ..pictures.compare import save_comparison

    return save_comparison(answer, path)
