"""``rockshy relief``: which ordinary change helps a fish, and what each costs."""

from __future__ import annotations

import argparse
import contextlib
import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from typing import TYPE_CHECKING

from .engine import engine
from .errors import DONE, STOPPED, RefusedError
from .finding import Found, changed, check_writable, first_tank
from .progress import Progress, say

if TYPE_CHECKING:
    from ...sim.scenario import Scenario
    from ...sim.trials import Job, Outcome
    from ..relief.kinds import Whom
    from ..relief.search import Plan, Relief
    from ..relief.watch import Watch
    from ..results.kept import Kept


def carry_out(line: argparse.Namespace) -> int:
    """Try the changes, write what was asked for, print the answer; STOPPED after Ctrl-C.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do.
    """
    found = changed(line.file, line)
    plan, whom = plan_for(found), _whom(found, line.fish)
    with contextlib.ExitStack() as open_now:
        kept = None if line.out is None else open_now.enter_context(_kept(line.out, plan, whom))
        executor = open_now.enter_context(engine(line))
        first_tank(found)
        relief = _relieve(found, plan, whom, executor, kept)
        watch = _watch(relief)
        told = _json(found, relief, watch)
        if kept is not None:
            _write(kept, relief, told)
    print(told if line.json else _words(relief, watch))
    return STOPPED if relief.stopped else DONE


def plan_for(found: Found) -> Plan:
    """How the trials are shared out.

    Raises
    ------
    RefusedError
        When there are too few.
    """
    from ..relief.work import ReliefError, plan_of

    try:
        return plan_of(found.scenario)
    except ReliefError as problem:
        raise RefusedError(f"--trials: {problem}") from problem


def _whom(found: Found, asked: str | None) -> Whom | None:
    from ..relief.kinds import WhomError, asked_for, check_stays

    if asked is None:
        return None
    try:
        whom = asked_for(found.scenario, asked)
        check_stays(found.scenario, whom)
        return whom
    except WhomError as problem:
        raise RefusedError(f"--for: {problem}") from problem


def _kept(out: str, plan: Plan, whom: Whom | None) -> Kept:
    check_writable(out)
    from ..results.kept import Kept
    from ..results.recipe import recipe_of

    asked = {"for": "" if whom is None else whom.name, "trials": plan.trials}
    return Kept(out, recipe=recipe_of("relief", plan.scenario, options=asked))


def _relieve(found: Found, plan: Plan, whom: Whom | None, executor: Executor, kept: Kept | None) -> Relief:
    from ..relief.search import relieve
    from ..relief.work import ReliefError

    if found.said:
        say(found.said)
    if kept is not None and len(kept):
        say(f"{kept.folder} holds {len(kept)} finished trials; they are not simulated again.")

    def told(what: str, jobs: int) -> None:
        say(f"{what} ({jobs} simulated tanks).")

    try:
        return relieve(plan, _runner(executor, kept, found.asked), whom=whom, told=told)
    except ReliefError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem


def _runner(
    executor: Executor, kept: Kept | None, file: str
) -> Callable[[Sequence[Scenario], Sequence[Job]], Iterator[tuple[Job, tuple[Outcome, ...]]]]:
    from ..results.kept import each_kept_job

    def run(scenarios: Sequence[Scenario], jobs: Sequence[Job]) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
        there = {job for job in jobs if kept is not None and job in kept}
        asked, done = len(jobs) - len(there), 0
        with Progress(asked) as progress:
            try:
                for job, outcomes in each_kept_job(scenarios, jobs, kept=kept, executor=executor):
                    yield job, outcomes
                    if job not in there:
                        done += 1
                        progress(done, asked)
            except ValueError as problem:
                if not str(problem).startswith("rock:"):
                    raise
                raise RefusedError(f"{file}: in one of the simulated tanks, {problem}") from problem

    return run


def _watch(relief: Relief) -> Watch:
    from ..relief.watch import places_of, watch_of

    scenario, whom = relief.plan.scenario, relief.whom
    places = None
    if not relief.stopped:
        with contextlib.suppress(KeyboardInterrupt):  # the answer is there; it can do without
            places = places_of(scenario, labels=whom.labels)
    return watch_of(scenario, relief.seen, whom=whom, kinds=relief.kinds, places=places)


def _words(relief: Relief, watch: Watch) -> str:
    from ..relief.words import relief_words

    return relief_words(relief, watch).rstrip()


def _json(found: Found, relief: Relief, watch: Watch) -> str:
    from ...sim.trials import recipe
    from ..relief.files import relief_json

    told = {
        "options": list(found.changes),
        **relief_json(relief, watch),
        "recipe": recipe(relief.plan.scenario),
    }
    return json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False)


def _write(kept: Kept, relief: Relief, told: str) -> None:
    from ..relief.files import CSV, JSON, rows_text
    from ..rock.files import write_text

    write_text(kept.folder, CSV, rows_text(relief))
    write_text(kept.folder, JSON, told + "\n")
    say(f"Result folder: {kept.folder}")
