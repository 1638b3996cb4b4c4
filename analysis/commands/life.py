"""``rockshy life``: how a tank fares over weeks and months."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import refusing
from ..asking.found import Found, first_tank
from ..asking.progress import say
from .finding import changed
from .giving import Answer, Files
from .lived import add_months, refuse_days, refusing_life
from .long_run import check_file, long_run, say_tanks
from .options import add_question

if TYPE_CHECKING:
    from ..pictures.save import SavedPicture
    from ..questions.life.answer import Answer as Lives


PAPERS = ("a4", "letter")


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Days are simulated second by second in blocks, and between them fish grow, mature and outgrow "
        "crevices. What the file dates happens on its day, and is held against the same tanks without it. "
        "Ctrl-C ends it with the answer of the tanks that were finished (exit status 130)."
    )
    add_months(parser, without="6")
    parser.add_argument("--print", dest="printed", metavar="FILE.pdf", help="a page to print, black on white")
    parser.add_argument("--paper", choices=PAPERS, default=PAPERS[0], help="its size; default: a4")
    trials = "how many tanks, each lived through from the first day"
    add_question(parser, whose="which fish the answer is about", without="the worst off", trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Live, print the answer, write what was asked for."""
    refuse_days(line)
    found = changed(line.file, line)
    from ..questions.life.design import MONTHS

    return live(line, found, months=line.months or MONTHS, fish=line.fish)


def live(line: argparse.Namespace, found: Found, *, months: int, fish: str | None = None) -> int:
    """The same for a scenario that was found, of whatever command; ``fish``: what ``--for`` says."""
    from ..measures.whom import FishGroupError, asked_for
    from ..questions.life.answer import answer_of
    from ..questions.life.brief import brief_of
    from ..questions.life.design import plan_of
    from ..questions.life.files import COLUMNS, CSV, JSON, PNG, further, rows_text, whole_json
    from ..questions.life.words import document_of

    with refusing("--for", FishGroupError):
        whom = None if fish is None else asked_for(found.scenario, fish)
    with refusing_life(found):
        plan = plan_of(found.scenario, months=months, whom=whom)
    picture = getattr(line, "picture", None)
    printed = getattr(line, "printed", None)
    if picture is not None:
        check_file(picture)
    if printed is not None:
        check_file(printed, option="--print", ending=".pdf")
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
        with refusing_life(found):
            lives = answer_of(plan, run, told=say_tanks)
        status = Answer(
            found.scenario,
            words=partial(document_of, lives),
            told=whole_json(lives, options=found.changes),
            json=JSON,
            is_whole=not lives.stopped,
            table=(CSV, partial(rows_text, lives), COLUMNS),
            more=further(lives),
            draw=partial(_draw, lives),
            png=PNG,
            brief=partial(brief_of, lives),
        ).give(line, run.kept)
    if printed is not None:
        _print(lives, printed, line.paper)
    return status


def _print(lives: Lives, path: str, paper: str) -> None:
    from ..pictures.life_paper import save_life_paper

    files = Files()
    files(save_life_paper, lives, path, paper=paper)
    files.check()
    say(f"To print: {path}")


def _draw(lives: Lives, path: Path) -> SavedPicture:
    from ..pictures.life import save_life

    return save_life(lives, path)
