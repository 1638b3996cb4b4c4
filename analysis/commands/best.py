"""``rockshy best``: the best stock and rock that a wish list allows."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError
from ..asking.found import first_tank
from ..asking.numbers import between
from .finding import changed
from .giving import Answer
from .long_run import check_file, long_run, say_tanks
from .options import add_question
from .order import add_months, order_of

if TYPE_CHECKING:
    from ..pictures.save import SavedPicture
    from ..questions.best.answer import Best

MINUTES = (1.0, 600.0)


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The fish of the file stay; those of its [wanted] table, or of --want, are what can be bought. As a "
        "rule it takes up to ten minutes on two cores. Ctrl-C stops it and prints the answer so far (exit "
        "status 130)."
    )
    parser.add_argument(
        "--want",
        metavar="LIST",
        help='instead of [wanted]: "duboisi 1m 3-6f; Ikola at most 8; at most 20 fish; rock 60 kg"',
    )
    parser.add_argument(
        "--minutes",
        metavar="M",
        type=between(*MINUTES, "minutes"),
        help="about how long to look on two cores; 10 without it (worked out beforehand, never timed)",
    )
    add_months(parser.add_argument)
    add_question(parser, trials="how many simulated tanks in all, instead of --minutes")


def carry_out(line: argparse.Namespace) -> int:
    """Search, print the answer, write what was asked for."""
    found = changed(line.file, line, fishless=True)
    from ...sim.scenario.reading.wanted import wanted_said
    from ..questions.best.answer import answer_of
    from ..questions.best.brief import brief_of
    from ..questions.best.design import MINUTES as USUAL
    from ..questions.best.design import BestError, plan_of, told_of
    from ..questions.best.files import COLUMNS, CSV, JSON, PNG, rows_text, whole_json
    from ..questions.best.over_weeks import asked_of
    from ..questions.best.words import document_of

    wanted = found.scenario.wanted
    if line.want is not None:
        wanted = wanted_said(line.want, found.scenario, name="--want")
    try:
        plan = plan_of(found.scenario, wanted, tanks=line.trials, minutes=line.minutes or USUAL)
    except BestError as problem:
        typed = "--trials" if "too few" in str(problem) else "--want" if line.want else found.asked
        raise RefusedError(f"{typed}: {problem}") from problem
    if line.picture is not None:
        check_file(line.picture)
    with long_run(line, found, "best", plan.scenario, options=told_of(plan), check=first_tank) as run:
        best = answer_of(plan, run, told=say_tanks)
        if line.months is not None and not best.stopped:
            order = order_of(line, found, run, asked_of(best, line.months))
            best = replace(best, order=order, stopped=order is None)
        return Answer(
            plan.space.yardstick,
            words=partial(document_of, best),
            told=whole_json(best, options=found.changes),
            json=JSON,
            is_whole=not best.stopped,
            table=(CSV, partial(rows_text, best), COLUMNS),
            draw=partial(_draw, best),
            png=PNG,
            brief=partial(brief_of, best),
        ).give(line, run.kept)


def _draw(best: Best, path: Path) -> SavedPicture:
    from ..pictures.best import save_best

    return save_best(best, path)
