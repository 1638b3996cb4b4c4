"""``rockshy life``: how a tank fares over weeks and months."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.found import first_tank
from ..asking.numbers import whole
from .finding import changed
from .giving import Answer
from .long_run import check_file, long_run, say_tanks
from .options import add_question

if TYPE_CHECKING:
    from ..pictures.save import SavedPicture
    from ..questions.life.answer import Answer as Lives

MOST = 24


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Days are simulated second by second in blocks, and between them fish grow, mature and outgrow "
        "crevices. What the file dates happens on its day, and is held against the same tanks without it. "
        "Ctrl-C ends it with the answer of the tanks that were finished (exit status 130)."
    )
    months = f"how long, 1 to {MOST} months; 6 without it"
    parser.add_argument(
        "--months", metavar="M", type=whole(1, MOST, allowed=f"1 to {MOST} months"), help=months
    )
    trials = "how many tanks, each lived through from the first day"
    add_question(parser, whose="which fish the answer is about", without="the worst off", trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Live, print the answer, write what was asked for."""
    if line.days is not None:
        raise RefusedError(f"--days is {line.days:g}; use --months, which says how long a life is")
    found = changed(line.file, line)
    from ..measures.whom import FishGroupError, asked_for
    from ..questions.life.answer import answer_of
    from ..questions.life.brief import brief_of
    from ..questions.life.design import MONTHS, LifeError, plan_of
    from ..questions.life.files import COLUMNS, CSV, JSON, PNG, rows_text, whole_json
    from ..questions.life.words import document_of

    whom = None
    if line.fish is not None:
        with refusing("--for", FishGroupError):
            whom = asked_for(found.scenario, line.fish)
    try:
        plan = plan_of(found.scenario, months=line.months or MONTHS, whom=whom)
    except LifeError as problem:
        place = "--trials" if "simulated tanks" in str(problem) else found.asked
        raise RefusedError(f"{place}: {problem}") from problem
    if line.picture is not None:
        check_file(line.picture)
    with long_run(
        line,
        found,
        "life",
        plan.scenario,
        options={"months": plan.months},
        check=first_tank,
        work=plan.work,
        days=plan.simulated_days,
    ) as run:
        with refusing(found.asked, LifeError):
            lives = answer_of(plan, run, told=say_tanks)
        return Answer(
            found.scenario,
            words=partial(document_of, lives),
            told=whole_json(lives, options=found.changes),
            json=JSON,
            is_whole=not lives.stopped,
            table=(CSV, partial(rows_text, lives), COLUMNS),
            draw=partial(_draw, lives),
            png=PNG,
            brief=partial(brief_of, lives),
        ).give(line, run.kept)


def _draw(lives: Lives, path: Path) -> SavedPicture:
    from ..pictures.life import save_life

    return save_life(lives, path)
