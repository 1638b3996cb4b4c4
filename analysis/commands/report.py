"""``rockshy report``: everything about a scenario on one page that needs nothing else."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..asking.errors import DONE, RefusedError
from ..asking.found import Found, check_water, command_line
from ..asking.progress import say
from .finding import changed
from .long_run import check_file, long_run
from .options import add_changes, add_file, add_long_run


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "With --out a run that was broken off carries on from the simulated tanks finished there."
    add = parser.add_argument
    add_file(parser)
    add("--page", metavar="FILE.html", help="the file to write; default: NAME-report.html")
    add("--no-film", action="store_true", help="leave the film out, for a smaller page")
    add(
        "--ask",
        action="store_true",
        help="one sheet to take to a club mentor, a forum or a vet instead; nothing is simulated",
    )
    add("--tally", metavar="WATCH.csv", help="with --ask: what you counted, as rockshy sheet has it")
    add_long_run(parser)
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Run what is needed and write the page."""
    found = changed(line.file, line)
    if line.tally is not None and not line.ask:
        raise RefusedError("--tally needs --ask; use both")
    path = _page_path(line.page, found, ending="ask" if line.ask else "report")
    if line.ask:
        return _ask(found, path, line.tally)
    from ..report.making import report_jobs, report_of, report_tables

    check_water(found)
    with long_run(line, found, "report", others=True) as run:
        scenarios, jobs = report_jobs(found.scenario)
        say(f"{len(jobs)} simulated tanks for the answer.")
        tables = report_tables(scenarios, run(scenarios, jobs))
    command = command_line("rockshy", "report", found.asked, *found.changes)
    text = report_of(found.scenario, tables, command=command, with_film=not line.no_film, told=say)
    return _write(path, text)


def _page_path(asked: str | None, found: Found, *, ending: str) -> Path:
    """Where the page goes; refused when it cannot be written there."""
    name = asked or f"{Path(found.asked).name.removesuffix('.toml')}-{ending}.html"
    check_file(name, option="--page", ending=".html")
    return Path(name)


def _ask(found: Found, path: Path, tally: str | None) -> int:
    """Write the sheet to ask with."""
    from ..questions.watching.reading import load_tally
    from ..report.ask import ask_html, counted_rows

    counted = () if tally is None else counted_rows(load_tally(tally, found.scenario))
    return _write(path, ask_html(found.scenario, tally=counted))


def _write(path: Path, text: str) -> int:
    from ..document.writing import write_text

    write_text(path, text)
    print(path)
    say(f"{len(text.encode()) / 1e6:.1f} MB; opens in any browser, without internet, and prints.")
    return DONE
