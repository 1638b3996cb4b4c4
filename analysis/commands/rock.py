"""``rockshy rock``: how much rock a species needs so as to be seldom pinned."""

from __future__ import annotations

import argparse
import contextlib
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.fish import species_of
from ..asking.found import Found, first_tank
from ..asking.numbers import part
from ..asking.progress import say
from .engine import engine
from .finding import changed
from .giving import Files, given
from .long_run import Counted, check_picture, kept_for, say_kept
from .options import add_changes, add_file, add_forms, add_long_run

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..questions.rock.amount import Amount
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.design import Design, Plan
    from ..questions.rock.grid import Grid
    from ..study.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    parser.epilog = (
        "Without --height or --piles the share of the floor is varied; with two of the three at once the "
        "answer is a map. Ctrl-C ends it with the answer of what was done so far (exit status 130)."
    )
    add = parser.add_argument
    add_file(parser)
    add("--cover", action="store_true", help="vary the share of the floor under rock")
    add("--height", action="store_true", help="vary the height of the rock")
    add("--piles", action="store_true", help="vary the number of piles")
    add("--for", dest="species", metavar="SPECIES", help="whose; the mild species without it")
    add("--level", metavar="L", type=_level, help="wanted chance to be pinned at most; 0.1 without it")
    add("--monotone", action="store_true", help="judge a fitted curve that never rises with more rock")
    add_forms(parser)
    add_long_run(parser)
    add_changes(parser, trials="at most so many simulated tanks at each amount")


def _level(text: str) -> float:
    return part(0.01, 0.9)(text)


def carry_out(line: argparse.Namespace) -> int:
    """Sweep, write what was asked for, print the answer; STOPPED after Ctrl-C, with what was done so far.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do.
    """
    found = changed(line.file, line)
    species, why, mild = chosen(found.scenario, line.species)
    _check_counts(found.scenario, species)
    if line.picture is not None:
        check_picture(line.picture)
    first_tank(found)
    plan = plan_for(found, line, species)
    with contextlib.ExitStack() as open_now:
        options = {"varied": [axis.name for axis in plan.grid.axes]}
        kept = open_now.enter_context(kept_for(line.out, "rock", plan.scenario, options=options))
        executor = open_now.enter_context(engine(line))
        swept = _sweep(found, plan, executor, kept)
        answer = _answer(found, plan, swept, why, mild)
        place, amount = _weighed(plan, answer)
        told = _json(found, plan, answer, amount, place)
        with given(told if line.json else _words(plan, answer, amount, place)) as files:
            if kept is not None:
                _write(files, kept.folder, plan, swept, answer, told)
            if line.picture is not None:
                files(_draw, answer, plan.grid, Path(line.picture))
    return STOPPED if swept.stopped else DONE


def chosen(scenario: Scenario, asked: str | None) -> tuple[str, str, bool]:
    """Key of the species that is looked at, why it is that one, and whether it is the mild one.

    Raises
    ------
    RefusedError
        When it is not in the stock.
    """
    from ...sim.run.set_ups import watched

    mild, reason = watched(scenario)
    if asked is None:
        from ..questions.rock.words import mild_because

        return mild, mild_because(reason), True
    key = species_of(scenario, asked, option="--for")
    return key, "as you asked", key == mild


def _check_counts(scenario: Scenario, species: str) -> None:
    """Refuse a species of which no fish can be pinned."""
    from ..questions.rock.design import CountError, check_counts

    try:
        check_counts(scenario, species)
    except CountError as problem:
        raise RefusedError(f"--for {problem}") from problem


def plan_for(found: Found, line: argparse.Namespace, species: str) -> Plan:
    """What to try, as the options say.

    Raises
    ------
    RefusedError
        When the rock cannot be varied so.
    """
    from ..questions.rock.design import LEVEL, plan_of, watered_grid
    from ..questions.rock.grid import AXES, COVER, GridError

    names = [name for name in AXES if getattr(line, name)] or [COVER]
    if len(names) > 2:
        raise RefusedError("found --cover, --height and --piles; allowed: at most two of them at once")
    level = LEVEL if line.level is None else line.level
    try:
        grid = watered_grid(found.scenario, names, level=level)
    except GridError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem
    options = {"species": species, "level": level, "trials": line.trials, "monotone": line.monotone}
    return plan_of(found.scenario, grid, **options)


def _sweep(found: Found, plan: Plan, executor: Executor, kept: Kept | None) -> Design:
    """Round by round, each with its own count of simulated tanks."""
    from ..questions.rock.design import Design

    if found.said:
        say(found.said)
    say_kept(kept)

    there = None if kept is None else kept.__contains__
    swept = Design(plan, there=there)
    swept.carry_out(Counted(executor, kept, asked=found.asked), told=lambda what, _: say(what))
    if swept.stopped:
        say(f"Stopped by Ctrl-C: the answer is of {len(swept.rows)} simulated tanks.")
    if swept.fresh:
        say(f"It took {swept.seconds:.0f} s for {swept.fresh} simulated tanks.")
    return swept


def _answer(found: Found, plan: Plan, swept: Design, why: str, mild: bool) -> RockAnswer:
    from ..questions.rock.answer import answer_of

    try:
        return answer_of(swept, scenario=found.scenario, why=why, mild=mild)
    except ValueError as problem:
        raise RefusedError(f"{found.asked}: {problem}") from problem


def _weighed(plan: Plan, answer: RockAnswer) -> tuple[int | None, Amount | None]:
    from ..questions.rock.answer import weighed

    return weighed(plan, answer)


def _words(plan: Plan, answer: RockAnswer, amount: Amount | None, place: int | None) -> str:
    from ..document import as_text
    from ..questions.rock.words import document_of

    return as_text(document_of(answer, plan.grid, amount, place=place))


def _json(found: Found, plan: Plan, answer: RockAnswer, amount: Amount | None, place: int | None) -> str:
    from ..document.files import json_text
    from ..questions.rock.files import whole_json

    return json_text(whole_json(answer, plan, amount, place=place, options=found.changes))


def _write(files: Files, folder: Path, plan: Plan, swept: Design, answer: RockAnswer, told: str) -> None:
    from ..document.writing import write_text
    from ..questions.rock.files import CSV, JSON, PNG, columns_of, rows_text

    files.table(
        folder / CSV, rows_text(swept.rows.values(), plan.grid, species=plan.species), columns_of(plan.grid)
    )
    files(_draw, answer, plan.grid, folder / PNG)
    files(write_text, folder / JSON, told + "\n")
    say(f"Result folder: {folder}")


def _draw(answer: RockAnswer, grid: Grid, path: Path) -> None:
    from ..pictures.rock_sweep import save_rock

    say(f"Picture: {save_rock(answer, grid, path).path}")
