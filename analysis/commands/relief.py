"""``rockshy relief``: which ordinary change helps a fish, and what each costs."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial

from ..asking.errors import refusing
from ..asking.fish import whom_of
from ..asking.found import first_tank
from .finding import changed
from .giving import Answer
from .lived import add_months, lived_of
from .long_run import long_run, say_tanks
from .options import add_question


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Half of the simulated tanks sift the changes, half confirm the best of them. Ctrl-C stops it and "
        "prints the answer so far (exit status 130)."
    )
    add_months(parser)
    trials = "at most this many simulated tanks for each change"
    add_question(parser, whose="which fish to help", without="the worst off", picture=False, trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Try the changes, print the answer, write what was asked for."""
    found = changed(line.file, line)
    from ..questions.relief.answer import answer_of
    from ..questions.relief.brief import brief_of
    from ..questions.relief.design import ReliefError, plan_of
    from ..questions.relief.files import COLUMNS, CSV, JSON, rows_text, whole_json
    from ..questions.relief.policies import latest_arrivals
    from ..questions.relief.watch import watched
    from ..questions.relief.words import document_of

    with refusing("--trials", ReliefError):
        plan = plan_of(found.scenario)
    whom = whom_of(found.scenario, line.fish)
    lived = lived_of(line, found, [plan.scenario], tried=latest_arrivals)
    plan = replace(plan, months=lived.months)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials}
    with long_run(
        line, found, "relief", plan.scenario, options=options, check=first_tank, lived=lived
    ) as run:
        with refusing(found.asked, ReliefError):
            relief = answer_of(plan, run, whom=whom, told=say_tanks)
        watch = watched(relief)
        return Answer(
            found.scenario,
            words=partial(document_of, relief, watch),
            told=whole_json(relief, watch, options=found.changes),
            json=JSON,
            is_whole=not relief.stopped,
            table=(CSV, partial(rows_text, relief), COLUMNS),
            brief=partial(brief_of, relief),
        ).give(line, run.kept)
