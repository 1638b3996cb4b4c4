"""``rockshy relief``: which ordinary change helps a fish, and what each costs."""

from __future__ import annotations

import argparse
import contextlib
from concurrent.futures import Executor
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.fish import whom_of
from ..asking.found import Found, first_tank
from ..asking.progress import say
from .engine import engine
from .finding import changed
from .giving import Files, given
from .long_run import Counted, kept_for, say_kept
from .options import add_changes, add_file, add_fish, add_long_run

if TYPE_CHECKING:
    from ..measures.whom import FishGroup
    from ..questions.relief.answer import Relief
    from ..questions.relief.design import Plan
    from ..questions.relief.watch import Watch
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    parser.epilog = (
        "Half of the simulated tanks sift the changes, half confirm the best of them. Ctrl-C ends it with "
        "the answer of what was done so far (exit status 130)."
    )
    add_file(parser)
    add_fish(parser, whose="which fish to help", without="the worst off")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_long_run(parser)
    add_changes(parser, trials="at most so many simulated tanks for each change")


def carry_out(line: argparse.Namespace) -> int:
    """Try the changes, write what was asked for, print the answer; STOPPED after Ctrl-C.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do.
    """
    found = changed(line.file, line)
    plan, whom = plan_for(found), whom_of(found.scenario, line.fish)
    with contextlib.ExitStack() as open_now:
        options = {"for": "" if whom is None else whom.name, "trials": plan.trials}
        kept = open_now.enter_context(kept_for(line.out, "relief", plan.scenario, options=options))
        executor = open_now.enter_context(engine(line))
        first_tank(found)
        relief = _relieve(found, plan, whom, executor, kept)
        watch = _watch(relief)
        told = _json(found, relief, watch)
        with given(told if line.json else _words(relief, watch)) as files:
            if kept is not None:
                _write(files, kept, relief, told)
    return STOPPED if relief.stopped else DONE


def plan_for(found: Found) -> Plan:
    """How the trials are shared out.

    Raises
    ------
    RefusedError
        When there are too few.
    """
    from ..questions.relief.design import ReliefError, plan_of

    try:
        return plan_of(found.scenario)
    except ReliefError as problem:
        raise RefusedError(f"--trials: {problem}") from problem


def _relieve(
    found: Found, plan: Plan, whom: FishGroup | None, executor: Executor, kept: Kept | None
) -> Relief:
    from ..questions.relief.answer import answer_of
    from ..questions.relief.design import ReliefError

    if found.said:
        say(found.said)
    say_kept(kept)

    def told(what: str, jobs: int) -> None:
        say(f"{what} ({jobs} simulated tanks).")

    try:
        return answer_of(plan, Counted(executor, kept, asked=found.asked), whom=whom, told=told)
    except ReliefError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem


def _watch(relief: Relief) -> Watch:
    from ..questions.relief.watch import watched

    return watched(relief)


def _words(relief: Relief, watch: Watch) -> str:
    from ..document import as_text
    from ..questions.relief.words import document_of

    return as_text(document_of(relief, watch))


def _json(found: Found, relief: Relief, watch: Watch) -> str:
    from ..document.files import json_text
    from ..questions.relief.files import whole_json

    return json_text(whole_json(relief, watch, options=found.changes))


def _write(files: Files, kept: Kept, relief: Relief, told: str) -> None:
    from ..document.writing import write_text
    from ..questions.relief.files import COLUMNS, CSV, JSON, rows_text

    files.table(kept.folder / CSV, rows_text(relief), COLUMNS)
    files(write_text, kept.folder / JSON, told + "\n")
    say(f"Result folder: {kept.folder}")
