"""``rockshy why``: why a fish is bullied, its trouble shared out among the mechanisms."""

from __future__ import annotations

import argparse
import contextlib
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.fish import whom_of
from ..asking.found import Found, first_tank
from ..asking.progress import say
from .engine import engine
from .finding import changed
from .giving import Files, given
from .long_run import Counted, check_picture, kept_for, say_kept
from .options import add_changes, add_file, add_fish, add_forms, add_long_run

if TYPE_CHECKING:
    from ..measures.whom import FishGroup
    from ..questions.why.answer import Why
    from ..questions.why.behind import Behind
    from ..questions.why.design import Plan
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    parser.epilog = (
        "Mechanisms (size, looks, sight, shelter, temper, crowding, sex ratio) are switched off by turns in "
        "the same simulated tanks. Ctrl-C ends it with the answer of the tanks that were finished (exit "
        "status 130)."
    )
    add_file(parser)
    add_fish(parser, whose="which fish", without="the worst off of the mild species")
    add_forms(parser)
    add_long_run(parser)
    add_changes(parser, trials="how many tanks, each simulated with mechanisms on and off by turns")


def carry_out(line: argparse.Namespace) -> int:
    """Share it out, write what was asked for, print the answer; STOPPED after Ctrl-C.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do.
    """
    found = changed(line.file, line)
    plan, whom = plan_for(found, line), whom_of(found.scenario, line.fish)
    if line.picture is not None:
        check_picture(line.picture)
    with contextlib.ExitStack() as open_now:
        options = {"for": "" if whom is None else whom.name, "trials": plan.trials, "cut": not plan.meant}
        kept = open_now.enter_context(kept_for(line.out, "why", plan.scenario, options=options))
        executor = open_now.enter_context(engine(line))
        first_tank(found)
        why = _explain(found, plan, whom, executor, kept)
        behind = _behind(why)
        told = _json(found, why, behind)
        with given(told if line.json else _words(why, behind)) as files:
            if kept is not None:
                _write(files, kept, why, told)
            if line.picture is not None:
                files(_draw, why, Path(line.picture))
    return STOPPED if why.stopped else DONE


def plan_for(found: Found, line: argparse.Namespace) -> Plan:
    """What is asked.

    Raises
    ------
    RefusedError
        When there is one fish only, or too few trials.
    """
    from ..questions.why.design import WhyError, plan_of

    try:
        return plan_of(found.scenario, meant=line.trials is not None)
    except WhyError as problem:
        place = "--trials" if "simulated tanks" in str(problem) else found.asked
        raise RefusedError(f"{place}: {problem}") from problem


def _explain(found: Found, plan: Plan, whom: FishGroup | None, executor: Executor, kept: Kept | None) -> Why:
    from ..questions.why.answer import answer_of
    from ..questions.why.design import WhyError

    if found.said:
        say(found.said)
    say_kept(kept)

    def told(what: str, jobs: int) -> None:
        say(f"{what} ({jobs} simulated tanks).")

    try:
        run = Counted(executor, kept, asked=found.asked)
        return answer_of(plan, run, whom=whom, told=told)
    except WhyError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem


def _behind(why: Why) -> Behind:
    from ..questions.why.behind import behind

    return behind(why)


def _words(why: Why, behind: Behind) -> str:
    from ..document import as_text
    from ..questions.why.words import document_of

    return as_text(document_of(why, behind))


def _json(found: Found, why: Why, behind: Behind) -> str:
    from ..document.files import json_text
    from ..questions.why.files import whole_json

    return json_text(whole_json(why, behind, options=found.changes))


def _write(files: Files, kept: Kept, why: Why, told: str) -> None:
    from ..document.writing import write_text
    from ..questions.why.files import COLUMNS, CSV, JSON, rows_text

    files.table(kept.folder / CSV, rows_text(why), COLUMNS)
    files(write_text, kept.folder / JSON, told + "\n")
    say(f"Result folder: {kept.folder}")


def _draw(why: Why, place: Path) -> None:
    from ..pictures.why import save_why

    saved = save_why(why, place)
    say(f"Picture: {saved.path}")
