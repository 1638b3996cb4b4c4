"""``rockshy rock``: how much rock a species needs so as to be seldom pinned."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.fish import species_whom_of
from ..asking.found import Found, first_tank
from ..asking.numbers import part
from ..asking.progress import say
from .finding import changed
from .giving import Answer
from .long_run import Counted, check_file, long_run
from .options import add_question

if TYPE_CHECKING:
    from ..measures.whom import FishGroup
    from ..pictures.save import SavedPicture
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.design import Design, Plan
    from ..questions.rock.grid import Grid


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Without --height or --piles the share of the floor under rock is varied; with two of the three the "
        "answer is a map. Ctrl-C stops it and prints the answer so far (exit status 130)."
    )
    add = parser.add_argument
    add("--cover", action="store_true", help="vary the share of the floor under rock")
    add("--height", action="store_true", help="vary the height of the rock")
    add("--piles", action="store_true", help="vary the number of piles")
    about = 'which species the answer is about, such as "duboisi"; default: that of the worst off'
    add("--for", dest="species", metavar="SPECIES", help=about)
    level = "wanted chance to be pinned at most; 0.1 without it"
    add("--level", metavar="L", type=part(0.01, 0.9), help=level)
    add("--monotone", action="store_true", help="judge by a smoothed curve that never rises with more rock")
    add_question(parser, trials="at most this many simulated tanks at each amount")


def carry_out(line: argparse.Namespace) -> int:
    """Sweep, print the answer, write what was asked for."""
    found = changed(line.file, line)
    from ..questions.rock.answer import answer_of, weighed
    from ..questions.rock.brief import brief_of
    from ..questions.rock.design import CountError
    from ..questions.rock.files import CSV, JSON, PNG, columns_of, rows_text, whole_json
    from ..questions.rock.words import document_of

    whom = species_whom_of(found.scenario, line.species, option="--for")
    if line.picture is not None:
        check_file(line.picture)
    first_tank(found)
    plan = plan_for(found, line, whom)
    options = {"varied": [axis.name for axis in plan.grid.axes]}
    with long_run(line, found, "rock", plan.scenario, options=options) as run:
        try:
            swept = _sweep(plan, run)
        except CountError as problem:
            raise RefusedError(f"--for {problem}") from problem
        with refusing(found.asked, ValueError):
            answer = answer_of(swept, scenario=found.scenario)
        place, amount = weighed(plan, answer)
        rows = partial(rows_text, swept.rows.values(), plan.grid, species=swept.species)
        return Answer(
            found.scenario,
            words=partial(document_of, answer, plan.grid, amount, place=place),
            told=whole_json(answer, plan, amount, place=place, options=found.changes),
            json=JSON,
            is_whole=not swept.stopped,
            table=(CSV, rows, columns_of(plan.grid)),
            draw=partial(_draw, answer, plan.grid),
            png=PNG,
            brief=partial(brief_of, answer, plan.grid),
            of_days=True,
        ).give(line, run.kept)


def plan_for(found: Found, line: argparse.Namespace, whom: FishGroup | None) -> Plan:
    """What to try, as the options say; refused when the rock cannot be varied so."""
    from ..questions.rock.design import LEVEL, plan_of, watered_grid
    from ..questions.rock.grid import AXES, COVER, GridError

    names = [name for name in AXES if getattr(line, name)] or [COVER]
    if len(names) > 2:
        raise RefusedError("--cover, --height and --piles are too many at once; use at most two")
    level = LEVEL if line.level is None else line.level
    with refusing(found.asked, GridError):
        grid = watered_grid(found.scenario, names, level=level)
    options = {"level": level, "trials": line.trials, "monotone": line.monotone}
    return plan_of(found.scenario, grid, whom=whom, **options)


def _sweep(plan: Plan, run: Counted) -> Design:
    """Round by round, each with its own count of simulated tanks."""
    from ..questions.rock.design import Design

    swept = Design(plan, there=None if run.kept is None else run.kept.__contains__)
    swept.carry_out(run, told=lambda what, _: say(what))
    if swept.stopped:
        say(f"Stopped by Ctrl-C: the answer is of {len(swept.rows)} simulated tanks.")
    if swept.fresh:
        say(f"It took {swept.seconds:.0f} s for {swept.fresh} simulated tanks.")
    return swept


def _draw(answer: RockAnswer, grid: Grid, path: Path) -> SavedPicture:
    from ..pictures.rock_sweep import save_rock

    return save_rock(answer, grid, path)
