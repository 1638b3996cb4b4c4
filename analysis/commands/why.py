"""``rockshy why``: why a fish is bullied, its trouble shared out among the mechanisms."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.fish import whom_of
from ..asking.found import first_tank
from .finding import changed
from .giving import Answer
from .long_run import check_file, long_run, say_tanks
from .options import add_question

if TYPE_CHECKING:
    from ..pictures.save import SavedPicture
    from ..questions.why.answer import Why


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Size, looks, sight, shelter, temper, crowding and sex ratio are switched off in turn in the same "
        "simulated tanks. Ctrl-C stops it and prints the answer so far (exit status 130)."
    )
    trials = "how many tanks, each simulated with these on and off in turn"
    add_question(parser, whose="which fish the answer is about", without="the worst off", trials=trials)


def carry_out(line: argparse.Namespace) -> int:
    """Share it out, print the answer, write what was asked for."""
    found = changed(line.file, line)
    from ..questions.why.answer import answer_of
    from ..questions.why.behind import behind as behind_it
    from ..questions.why.brief import brief_of
    from ..questions.why.design import WhyError, plan_of
    from ..questions.why.files import COLUMNS, CSV, JSON, rows_text, whole_json
    from ..questions.why.words import document_of

    try:
        plan = plan_of(found.scenario, meant=line.trials is not None)
    except WhyError as problem:
        place = "--trials" if "simulated tanks" in str(problem) else found.asked
        raise RefusedError(f"{place}: {problem}") from problem
    whom = whom_of(found.scenario, line.fish)
    if line.picture is not None:
        check_file(line.picture)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials, "cut": not plan.meant}
    with long_run(line, found, "why", plan.scenario, options=options, check=first_tank) as run:
        with refusing(found.asked, WhyError):
            why = answer_of(plan, run, whom=whom, told=say_tanks)
        behind = behind_it(why)
        return Answer(
            found.scenario,
            words=partial(document_of, why, behind),
            told=whole_json(why, behind, options=found.changes),
            json=JSON,
            is_whole=not why.stopped,
            table=(CSV, partial(rows_text, why), COLUMNS),
            draw=partial(_draw, why),
            brief=partial(brief_of, why),
            of_days=True,
        ).give(line, run.kept)


def _draw(why: Why, path: Path) -> SavedPicture:
    from ..pictures.why import save_why

    return save_why(why, path)
