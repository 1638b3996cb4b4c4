"""``rockshy fit``: what nobody has measured, narrowed by a tally of your own tank."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.found import command_line, first_tank
from ..asking.progress import say
from .finding import changed
from .giving import Answer
from .long_run import long_run, say_tanks
from .options import add_question

if TYPE_CHECKING:
    from ..asking.found import Found
    from ..questions.fit.answer import Fit
    from ..questions.fit.design import FitPlan
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Watch with the sheet of rockshy sheet, fill in its blank, fit. The folder of --out goes into later "
        "runs of this tank with --fit. After Ctrl-C the same command goes on where it stopped."
    )
    parser.add_argument(
        "--tally", metavar="CSV", required=True, help="what you counted, as rockshy sheet has it"
    )
    trials = "how many simulated tanks to fit with, 200 or more (default: 256)"
    add_question(parser, picture=False, full=False, trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Fit, print what came of it, write the narrowed draws."""
    if line.fit is not None:
        raise RefusedError(
            "--fit does not go with rockshy fit; use --tally here, and --fit with other commands"
        )
    found = changed(line.file, line)
    from ..questions.fit.answer import answer_of
    from ..questions.fit.figures import NoFigureError
    from ..questions.fit.files import COLUMNS, CSV, JSON, rows_text, whole_json
    from ..questions.fit.tanks import watched_trial
    from ..questions.fit.words import document_of

    plan = _plan(line, found)
    check = partial(_check, plan)
    with long_run(line, found, "fit", plan.scenario, check=check, work=watched_trial) as run:
        renew = None if run.kept is None else run.kept.renew
        try:
            fit = answer_of(plan, run, told=say_tanks, renew=renew)
        except NoFigureError as problem:
            raise RefusedError(_too_long(plan, str(problem))) from problem
        given = Answer(
            found.scenario,
            words=partial(document_of, fit),
            told=whole_json(fit, options=found.changes),
            json=JSON,
            is_whole=not fit.stopped,
            table=(CSV, partial(rows_text, fit), COLUMNS),
        )
        status = given.give(line, run.kept)
        if run.kept is not None and (fit.outside or fit.given is not None):
            _write(line, fit, run.kept)
    return status


def _plan(line: argparse.Namespace, found: Found) -> FitPlan:
    from ..questions.fit.design import FitError, plan_of
    from ..questions.fit.figures import NoFigureError
    from ..questions.watching.reading import load_tally

    tally = load_tally(line.tally, found.scenario)
    place = "--trials" if line.trials is not None else found.asked
    with refusing(line.tally, NoFigureError), refusing(place, FitError):
        return plan_of(found.scenario, tally, trials=line.trials)


def _check(plan: FitPlan, found: Found) -> None:
    """Refuse rock that leaves no water in any of the tanks of the plan."""
    from dataclasses import replace

    first_tank(replace(found, scenario=plan.scenario))


def _too_long(plan: FitPlan, minutes: str) -> str:
    return (
        f"{plan.tally.name}: a watch of {minutes} minutes is longer than the model measures without a night "
        "or a meal; use shorter watches, or more days in the scenario"
    )


def _write(line: argparse.Namespace, fit: Fit, kept: Kept) -> None:
    from ..document.writing import write_text
    from ..questions.fit.fitted import FITTED, fitted_text

    file = kept.folder / FITTED
    if fit.given is None:
        file.unlink(missing_ok=True)  # of an earlier tally
        say("Nothing was narrowed, so there is nothing for --fit.")
        return
    write_text(file, fitted_text(fit))
    say(f"Wrote {file}. Use it in later runs of this tank and its alternatives with:")
    say(f"  {command_line('rockshy', 'run', line.file, '--fit', str(kept.folder))}")
