"""``rockshy guesses``: which of the things nobody has measured decide the answer."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.fish import whom_of
from ..asking.found import Found, first_tank
from ..asking.progress import say
from .finding import changed
from .giving import Answer
from .long_run import check_file, long_run, say_tanks
from .options import add_question

if TYPE_CHECKING:
    from ..pictures.save import SavedPicture
    from ..questions.guesses.answer import Study
    from ..questions.guesses.design import Plan


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "It takes several minutes: many sets of guesses are tried, for one day each unless you set --days. "
        "Ctrl-C stops it and prints the answer so far (exit status 130)."
    )
    trials = "at most this many simulated tanks in all; more of them narrow the answer"
    add_question(parser, whose="which fish the answer is about", without="the worst off", trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Share the spread out, print the answer, write what was asked for."""
    if line.fit is not None:
        raise RefusedError(
            "--fit does not go with guesses, which tries the whole of every range anyway; leave it out"
        )
    whole = changed(line.file, line)
    found = _shortened(whole, line)
    from ..measures.whom import FishGroupError
    from ..questions.guesses.answer import answer_of as study_of
    from ..questions.guesses.brief import brief_of
    from ..questions.guesses.files import COLUMNS, CSV, JSON, rows_text, whole_json
    from ..questions.guesses.inputs import GuessError
    from ..questions.guesses.words import document_of
    from ..study.choosing import choose_victim

    if line.picture is not None:
        check_file(line.picture)
    plan, whom = _plan(found, tanks=line.trials), whom_of(whole.scenario, line.fish)
    options = {"for": "" if whom is None else whom.name, "screened": plan.screened}
    with long_run(line, found, "guesses", plan.scenario, options=options, check=first_tank) as run:
        if whom is None:
            with refusing(found.asked, FishGroupError):
                whom, _ = choose_victim(whole.scenario, run, place=plan.scenarios, told=say_tanks)
        with refusing(found.asked, GuessError):
            study = study_of(plan, run, whom=whom, told=say_tanks)
        return Answer(
            found.scenario,
            words=partial(document_of, study),
            told=whole_json(study, options=found.changes),
            json=JSON,
            is_whole=not study.stopped,
            table=(CSV, partial(rows_text, study), COLUMNS),
            draw=partial(_draw, study),
            brief=partial(brief_of, study),
            of_days=True,
        ).give(line, run.kept)


def _shortened(found: Found, line: argparse.Namespace) -> Found:
    """The scenario, a day long at most unless the line says how long: hundreds of points are run."""
    from ..questions.guesses.design import LONGEST_DAYS

    if line.days is not None or found.scenario.run.days <= LONGEST_DAYS:
        return found
    say(
        f"Trying so many guesses takes long, so each is run for {LONGEST_DAYS:g} day; for longer, set --days."
    )
    return changed(line.file, argparse.Namespace(**{**vars(line), "days": LONGEST_DAYS}))


def _plan(found: Found, *, tanks: int | None) -> Plan:
    """How many points are run; refused when nothing is drawn, or there are too few tanks."""
    from ..questions.guesses.design import plan_of
    from ..questions.guesses.inputs import GuessError, guesses_of

    with refusing("--fixed" if "--fixed" in found.changes else found.asked, GuessError):
        guesses_of(found.scenario)
    with refusing(found.asked if tanks is None else "--trials", GuessError):
        return plan_of(found.scenario, tanks=tanks)


def _draw(study: Study, path: Path) -> SavedPicture:
    from ..pictures.guesses import save_guesses

    saved = save_guesses(study, path)
    say(saved.caption)
    return saved
