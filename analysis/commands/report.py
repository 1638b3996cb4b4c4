"""``rockshy report``: everything about a scenario on one page that needs nothing else."""

from __future__ import annotations

import argparse
import contextlib
import tempfile
from collections.abc import Sequence
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING

from .engine import engine
from .errors import DONE, RefusedError
from .finding import Found, changed, command_line, first_tank
from .long_run import Counted, check_file, kept_for, say_kept
from .options import add_changes, add_file, add_long_run
from .progress import say

if TYPE_CHECKING:
    from ...sim.table import Trials
    from ..report.parts import Drawn, Film
    from ..results.kept import Kept


def add_options(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command."""
    parser.epilog = "With --out a run that was broken off goes on from the simulated tanks finished there."
    add = parser.add_argument
    add_file(parser)
    add("--page", metavar="FILE.html", help="the file to write; NAME-report.html without it")
    add("--no-film", action="store_true", help="leave the film out: a smaller page")
    add(
        "--ask",
        action="store_true",
        help="one sheet to take to a club mentor, a forum or a vet instead; nothing is simulated",
    )
    add("--tally", metavar="WATCH.csv", help="with --ask: what you counted, as rockshy sheet has it")
    add_long_run(parser)
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Run what is needed and write the page.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario, an option, the folder or the cluster will not do.
    """
    found = changed(line.file, line)
    if line.tally is not None and not line.ask:
        raise RefusedError("--tally: found without --ask; allowed: together with it")
    path = page_path(line.page, found, ending="ask" if line.ask else "report")
    if line.ask:
        return _ask(found, path, line.tally)
    first_tank(found)
    _check_others(found)
    with contextlib.ExitStack() as open_now:
        others = {one.name: one.scenario for one in found.scenario.alternatives}
        kept = open_now.enter_context(kept_for(line.out, "report", found.scenario, others=others))
        executor = open_now.enter_context(engine(line))
        tables = _tables(found, executor, kept)
    text = _page(found, tables, with_film=not line.no_film)
    _write(path, text)
    return DONE


def page_path(asked: str | None, found: Found, *, ending: str) -> Path:
    """Where the page goes.

    Raises
    ------
    RefusedError
        When it cannot be written there.
    """
    name = asked or f"{Path(found.asked).name.removesuffix('.toml')}-{ending}.html"
    check_file(name, option="--page", ending=".html")
    return Path(name)


def _check_others(found: Found) -> None:
    """Refuse rock that leaves no water in an alternative."""
    from dataclasses import replace

    for one in found.scenario.alternatives:
        first_tank(replace(found, scenario=one.scenario, asked=f'{found.asked}: alternative "{one.name}"'))


def _tables(found: Found, executor: Executor, kept: Kept | None) -> list[Trials]:
    """The Trials table of the tank as it is, and of each alternative on the same seeds."""
    from ...sim.trials import Job, table_of
    from ..compare.side_by_side import ARMS

    base = found.scenario
    scenarios = [base, *(one.scenario for one in base.alternatives)]
    every = None if base.run.controls or len(scenarios) == 1 else ARMS
    jobs = [
        Job(which, trial, ARMS if which else every)
        for trial in range(base.run.trials)
        for which in range(len(scenarios))
    ]
    if found.said:
        say(found.said)
    say_kept(kept)
    say(f"{len(jobs)} simulated tanks for the answer.")
    done: list[list[tuple[object, ...]]] = [[] for _ in scenarios]
    for job, outcomes in Counted(executor, kept, asked=found.asked)(scenarios, jobs):
        done[job.which].append(outcomes)
    return [table_of(one, outcomes) for one, outcomes in zip(scenarios, done, strict=True)]  # type: ignore[arg-type]


def _page(found: Found, tables: Sequence[Trials], *, with_film: bool) -> str:
    from ..report.parts import Report, report_html
    from .run import telling_trials

    base = tables[0]
    trial, _ = telling_trials(base)
    say(f"Drawing simulated tank {trial}.")
    compared, picture, files = _comparison(found, tables)
    return report_html(
        Report(
            scenario=found.scenario,
            trials=base,
            command=command_line("rockshy", "report", found.asked, *found.changes),
            pictures=_pictures(found, trial),
            film=_film(found, trial) if with_film else None,
            compared=compared,
            compared_picture=picture,
            files=files,
        )
    )


def _comparison(
    found: Found, tables: Sequence[Trials]
) -> tuple[str, Drawn | None, dict[str, tuple[str, str]]]:
    """The comparison laid out, its picture and its rows; nothing without alternatives."""
    from ...sim.trials import watched
    from ..compare.comparison import compare
    from ..compare.files import rows_text
    from ..compare.words import compare_laid_out
    from ..pictures.compare import save_comparison
    from ..rates import Group
    from ..report.parts import Drawn

    if len(tables) == 1:
        return "", None, {}
    group = Group(species=watched(found.scenario)[0])
    names = ["the tank as it is", *(one.name for one in found.scenario.alternatives)]
    answer = compare(found.scenario, list(tables), group=group, goal="lost")
    with tempfile.TemporaryDirectory() as folder:
        saved = save_comparison(answer, Path(folder) / "compare.png")
        picture = Drawn(saved.path.read_bytes(), saved.caption)
    rows = rows_text(tables, names=names, group=group)
    return compare_laid_out(answer), picture, {"compare.csv": (rows, "one line for each set-up and tank")}


def _pictures(found: Found, trial: int) -> list[Drawn]:
    from ..pictures import save_trial
    from ..report.parts import Drawn
    from .show import trial_parts

    parts = trial_parts(found.scenario, trial=trial, tank=first_tank(found, trial=trial))
    with tempfile.TemporaryDirectory() as folder:
        return [Drawn(one.path.read_bytes(), one.caption) for one in save_trial(parts, folder)]


def _film(found: Found, trial: int) -> Film:
    """Half an hour of the tank of the pictures; the column of a page is too narrow for two tanks."""
    from ..film.making import Wish, make_film
    from ..film.page import film_page
    from ..report.parts import Film

    document = film_page(make_film(found.scenario, Wish(trial=trial)))
    return Film(document, f"Film of simulated tank {trial}")


def _ask(found: Found, path: Path, tally: str | None) -> int:
    """Write the sheet to ask with."""
    from ..report.ask import ask_html, counted_rows
    from ..watching.reading import load_tally

    counted = () if tally is None else counted_rows(load_tally(tally, found.scenario))
    _write(path, ask_html(found.scenario, tally=counted))
    return DONE


def _write(path: Path, text: str) -> None:
    from ..files import write_text

    write_text(path.parent, path.name, text)
    print(path)
    say(f"{len(text.encode()) / 1e6:.1f} MB; opens in any browser, without internet, and prints.")
