"""``rockshy sheet``: a sheet for watching your own tank; read back, the tally laid over the model."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.found import Found, command_line, first_tank
from ..asking.numbers import whole
from ..asking.progress import Progress, say
from .engine import engine
from .finding import changed, find
from .giving import Files, hand_out
from .long_run import check_file
from .options import add_changes, add_file

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..questions.watching.overlay import Overlay
    from ..questions.watching.sheet import Sheet
    from ..questions.watching.tally import Tally
    from ..questions.watching.windows import Watched

SHEET = "sheet.pdf"
PAPERS = ("a4", "letter")
LONGEST_MIN = 60
FEWEST_TANKS = 8  # with fewer nothing can be laid over them
_MAKING = ("out", "paper", "minutes", "blank")
_READING = ("json", "scale", "trials", "days", "seed", "fixed")


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Print the sheet, watch, fill in the blank CSV at the computer, read it back with --read. "
        "Ctrl-C while it is read back prints the answer so far (exit status 130)."
    )
    add_file(parser)
    add = parser.add_argument_group("the sheet").add_argument
    add("--out", metavar="PDF", help=f"the file to write; default: {SHEET}")
    add("--paper", choices=PAPERS, help="size of the paper; default: a4")
    minutes = whole(1, LONGEST_MIN, allowed=f"a whole number from 1 to {LONGEST_MIN}")
    add("--minutes", metavar="M", type=minutes, help="how long you will watch; default: 10")
    add("--blank", metavar="CSV", help="also write an empty tally to fill in; the file must not exist yet")
    add = parser.add_argument_group("the tally").add_argument
    add("--read", metavar="CSV", help="read a filled-in tally and compare it with the simulated tanks")
    add("--json", action="store_true", help="print what was found as JSON")
    add("--scale", metavar="TOML", help="write the factor from model to tank, for run --scale")
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Write the sheet, or read a tally back."""
    return _make(line) if line.read is None else _read(line)


# --- the sheet --------------------------------------------------------------------


def _make(line: argparse.Namespace) -> int:
    _check_options(line, _READING, "--read CSV, which these belong to")
    scenario = find(line.file)
    out = line.out or SHEET
    check_file(out, option="--out", ending=".pdf")
    if line.blank is not None:
        _check_blank(line.blank)
    from ..pictures.sheet import save_sheet
    from ..questions.watching.sheet import sheet_of

    sheet = sheet_of(scenario, minutes=line.minutes or 10)
    files = Files()
    pages = files(save_sheet, sheet, out, paper=line.paper or PAPERS[0])
    if pages is not None:
        print(f"Wrote {out}: {pages} pages. Print it at actual size, not fitted to the page.")
    if line.blank is not None:
        files(_write_blank, sheet, line)
    files.check()
    return DONE


def _write_blank(sheet: Sheet, line: argparse.Namespace) -> None:
    from ..document.writing import write_text
    from ..questions.watching.sheet import blank_text

    blank = write_text(line.blank, blank_text(sheet))
    print(f"Wrote {blank}. When it is filled in, type:")
    print(f"  {command_line('rockshy', 'sheet', line.file, '--read', str(blank))}")


def _check_blank(name: str) -> None:
    check_file(name, option="--blank", ending=".csv")
    if Path(name).exists():
        raise RefusedError(f"--blank: {name} exists already; use a new name")


def _check_options(line: argparse.Namespace, names: tuple[str, ...], allowed: str) -> None:
    given = [f"--{name}" for name in names if getattr(line, name) not in (None, False)]
    if given:
        raise RefusedError(f"{', '.join(given)} cannot be used here; use {allowed}")


# --- the tally --------------------------------------------------------------------


def _read(line: argparse.Namespace) -> int:
    _check_options(line, _MAKING, "these without --read: they make the sheet")
    found = changed(line.file, line)
    trials = found.scenario.run.trials
    if trials < FEWEST_TANKS:
        raise RefusedError(f"--trials is {trials}; use at least {FEWEST_TANKS} to compare a tally with")
    if line.scale is not None:
        check_file(line.scale, option="--scale", ending=".toml")
    from ..questions.watching.reading import load_tally

    tally = load_tally(line.read, found.scenario)
    overlay = _overlay(found, tally, _watched(found, line))
    _say(overlay, found.scenario, line)
    return DONE if overlay.tanks == overlay.asked else STOPPED


def _watched(found: Found, line: argparse.Namespace) -> list[Watched]:
    from ..questions.watching.windows import one_draw_each, watch_trials

    first_tank(found)
    if found.said:
        say(found.said)
    scenario = one_draw_each(found.scenario)
    with engine(line) as executor, Progress(scenario.run.trials) as progress:
        done = watch_trials(scenario, executor=executor, progress=progress)
    if len(done) < FEWEST_TANKS:
        raise KeyboardInterrupt
    if len(done) < scenario.run.trials:
        say(f"Stopped by Ctrl-C: compared with {len(done)} of {scenario.run.trials} simulated tanks.")
    return done


def _overlay(found: Found, tally: Tally, watched: list[Watched]) -> Overlay:
    from ..questions.watching.overlay import NoWindowError, overlay
    from ..questions.watching.windows import longest_quiet_minutes

    try:
        return overlay(found.scenario, tally, watched)
    except NoWindowError as problem:
        raise RefusedError(
            f"{tally.name}: a watch of {problem} minutes is too long; use at most "
            f"{longest_quiet_minutes(watched):.0f}, the longest stretch that the model measures without a "
            "night or a meal, or more days in the scenario"
        ) from problem


def _say(overlay: Overlay, scenario: Scenario, line: argparse.Namespace) -> None:
    from ..document import as_text, document, section
    from ..document.cautions import CAUTIONS
    from ..document.files import json_text
    from ..document.typed import Typed
    from ..questions.watching.files import overlay_json
    from ..questions.watching.words import report

    if line.json:
        hand_out(json_text(overlay_json(overlay)))
    else:
        cautions = section("Cautions", *(one.text for one in CAUTIONS if one.about == "sick fish"))
        hand_out(as_text(document(*Typed(scenario).document(report(overlay)).sections, cautions)))
    if line.scale is not None:
        _write_scale(overlay, line)


def _write_scale(overlay: Overlay, line: argparse.Namespace) -> None:
    from ..document.writing import write_text
    from ..questions.watching.scale import scale_text

    if overlay.scale is None:
        raise RefusedError(f"--scale: nothing is written, since {overlay.no_scale}")
    path = Path(line.scale)
    write_text(path, scale_text(overlay.scale, name=path.name))
    say(f"Wrote {path}. Use it in later runs of this tank and its alternatives with:")
    say(f"  {command_line('rockshy', 'run', line.file, '--scale', str(path))}")
