"""``rockshy show``: pictures of one simulated tank, run again."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..asking.errors import DONE, RefusedError
from ..asking.found import Found, first_tank
from ..asking.numbers import within
from ..asking.progress import say
from .finding import changed, check_writable
from .giving import Files
from .options import add_changes, add_file


def add_options(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "Type the same options as for run to see one of the same simulated tanks."
    add_file(parser)
    parser.add_argument(
        "--trial", metavar="N", required=True, type=within("run.trials"), help="which one, counted from 1"
    )
    parser.add_argument("--out", metavar="DIR", help="folder for the pictures; default: NAME-tank-N")
    add_changes(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Run one trial again and draw it."""
    found = changed(line.file, line)
    number, many = line.trial, found.scenario.run.trials
    if number > many:
        raise RefusedError(f"--trial is {number}; use a whole number from 1 to {many}")
    folder, trial = _folder(line.out, found, number), number - 1
    tank = first_tank(found, trial=trial)
    say(f"Simulating tank {number} of {found.asked} again, then drawing it.")
    from ..document import Paragraph, Section, as_text
    from ..document.typed import Typed
    from ..document.writing import write_bytes
    from ..pictures import trial_pictures
    from ..pictures.shown_trial import trial_parts

    files, typed = Files(), Typed(found.scenario)
    files(folder.mkdir, parents=True, exist_ok=True)
    for picture in trial_pictures(trial_parts(found.scenario, trial=trial, tank=tank)):
        path = files(write_bytes, folder / picture.name, picture.png)
        if path is not None:
            print(path)
        print(as_text(typed.section(Section((Paragraph(picture.caption, depth=1),)))))
    files.check()
    return DONE


def _folder(out: str | None, found: Found, number: int) -> Path:
    name = out if out is not None else f"{Path(found.asked).name.removesuffix('.toml')}-tank-{number}"
    check_writable(name)
    return Path(name)
