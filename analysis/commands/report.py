"""``rockshy report``: everything about a scenario on one page that needs nothing else."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Sequence
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import DONE, RefusedError
from ..asking.found import Found, check_water, command_line
from ..asking.progress import say
from .engine import engine
from .finding import changed
from .long_run import Counted, check_file, kept_for, say_kept
from .options import add_changes, add_file, add_long_run

if TYPE_CHECKING:
    from ...sim.run.table import Trials
    from ..study.kept import Kept


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
    check_water(found)
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


def _tables(found: Found, executor: Executor, kept: Kept | None) -> list[Trials]:
    """The Trials table of the tank as it is, and of each alternative on the same seeds."""
    from ..report.making import report_jobs, report_tables

    scenarios, jobs = report_jobs(found.scenario)
    if found.said:
        say(found.said)
    say_kept(kept)
    say(f"{len(jobs)} simulated tanks for the answer.")
    return report_tables(scenarios, Counted(executor, kept, asked=found.asked)(scenarios, jobs))


def _page(found: Found, tables: Sequence[Trials], *, with_film: bool) -> str:
    from ..report.making import report_of

    command = command_line("rockshy", "report", found.asked, *found.changes)
    return report_of(found.scenario, tables, command=command, with_film=with_film, told=say)


def _ask(found: Found, path: Path, tally: str | None) -> int:
    """Write the sheet to ask with."""
    from ..questions.watching.reading import load_tally
    from ..report.ask import ask_html, counted_rows

    counted = () if tally is None else counted_rows(load_tally(tally, found.scenario))
    _write(path, ask_html(found.scenario, tally=counted))
    return DONE


def _write(path: Path, text: str) -> None:
    from ..document.writing import write_text

    write_text(path, text)
    print(path)
    say(f"{len(text.encode()) / 1e6:.1f} MB; opens in any browser, without internet, and prints.")
