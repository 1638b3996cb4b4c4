"""``rockshy guesses``: which of the things nobody has measured decide the answer."""

from __future__ import annotations

import argparse
import contextlib
from concurrent.futures import Executor
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.fish import refusing
from ..asking.found import Found, first_tank
from ..asking.progress import say
from .engine import engine
from .finding import changed
from .giving import Files, given
from .long_run import Counted, check_picture, kept_for, say_kept
from .options import add_changes, add_file, add_fish, add_forms, add_long_run

if TYPE_CHECKING:
    from ..measures.whom import FishGroup
    from ..questions.guesses.answer import Study
    from ..questions.guesses.design import Plan
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    parser.epilog = (
        "It takes several minutes: many guesses, a day each unless --days says otherwise. Ctrl-C ends it "
        "with the answer of what was done so far (exit status 130)."
    )
    add_file(parser)
    add_fish(parser, whose="whose answer", without="the mild species")
    add_forms(parser)
    add_long_run(parser)
    add_changes(parser, trials="at most so many simulated tanks in all; more of them, narrower intervals")


def carry_out(line: argparse.Namespace) -> int:
    """Share the spread out, write what was asked for, print the answer; STOPPED after Ctrl-C.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do; after it
        when nothing varies.
    """
    found = _shortened(line)
    if line.picture is not None:
        check_picture(line.picture)
    plan, whom = plan_for(found, tanks=line.trials), _whom(found, line.fish)
    with contextlib.ExitStack() as open_now:
        options = {"for": whom.name, "screened": plan.screened}
        kept = open_now.enter_context(kept_for(line.out, "guesses", plan.scenario, options=options))
        executor = open_now.enter_context(engine(line))
        first_tank(found)
        study = _study(found, plan, whom, executor, kept)
        told = _json(found, study)
        with given(told if line.json else _words(study)) as files:
            if kept is not None:
                _write(files, kept, study, told)
            if line.picture is not None:
                files(_draw, study, line.picture)
    return STOPPED if study.stopped else DONE


def _shortened(line: argparse.Namespace) -> Found:
    """The scenario, a day long at most unless the line says how long: hundreds of points are run."""
    from ..questions.guesses.design import LONGEST_DAYS

    found = changed(line.file, line)
    if line.days is not None or found.scenario.run.days <= LONGEST_DAYS:
        return found
    say(f"So many points take long, so each is run for {LONGEST_DAYS:g} day; --days says otherwise.")
    return changed(line.file, argparse.Namespace(**{**vars(line), "days": LONGEST_DAYS}))


def plan_for(found: Found, *, tanks: int | None) -> Plan:
    """How many points are run.

    Raises
    ------
    RefusedError
        When nothing is drawn, or there are too few tanks.
    """
    from ..questions.guesses.design import plan_of
    from ..questions.guesses.inputs import GuessError, guesses_of

    try:
        guesses_of(found.scenario)
    except GuessError as problem:
        place = "--fixed" if "--fixed" in found.changes else found.asked
        raise RefusedError(f"{place}: {problem}") from problem
    try:
        return plan_of(found.scenario, tanks=tanks)
    except GuessError as problem:
        place = found.asked if tanks is None else "--trials"
        raise RefusedError(f"{place}: {problem}") from problem


def _whom(found: Found, asked: str | None) -> FishGroup:
    """The fish asked for, or all of the mild species; raises RefusedError when there are none such."""
    from ..measures.asked import whom_or_mild

    with refusing("--for"):
        return whom_or_mild(found.scenario, asked)


def _study(found: Found, plan: Plan, whom: FishGroup, executor: Executor, kept: Kept | None) -> Study:
    from ..questions.guesses.answer import answer_of
    from ..questions.guesses.inputs import GuessError

    if found.said:
        say(found.said)
    say_kept(kept)

    def told(what: str, jobs: int) -> None:
        say(f"{what} ({jobs} simulated tanks).")

    try:
        return answer_of(plan, Counted(executor, kept, asked=found.asked), whom=whom, told=told)
    except GuessError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem


def _words(study: Study) -> str:
    from ..document import as_text
    from ..questions.guesses.words import document_of

    return as_text(document_of(study))


def _json(found: Found, study: Study) -> str:
    from ..document.files import json_text
    from ..questions.guesses.files import whole_json

    return json_text(whole_json(study, options=found.changes))


def _write(files: Files, kept: Kept, study: Study, told: str) -> None:
    from ..document.writing import write_text
    from ..questions.guesses.files import COLUMNS, CSV, JSON, rows_text

    files.table(kept.folder / CSV, rows_text(study), COLUMNS)
    files(write_text, kept.folder / JSON, told + "\n")
    say(f"Result folder: {kept.folder}")


def _draw(study: Study, name: str) -> None:
    from ..pictures.guesses import save_guesses

    saved = save_guesses(study, name)
    say(f"{saved.path}: {saved.caption}")
