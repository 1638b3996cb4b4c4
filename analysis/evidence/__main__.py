"""``python -m rockshy.analysis.evidence``: run the registered patterns and write the table."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ..asking.errors import DONE, REFUSED, STOPPED, RefusedError
from .command import leave, parser, write

HERE = Path(__file__).parent


def read_line(argv: Sequence[str] | None) -> argparse.Namespace:
    """The command line."""
    made = parser(
        "",
        "Runs every registered pattern from published papers in the model and says which hold.",
        quick="fewer trials: minutes instead of half an hour",
        record="write the full table beside the sources of a checkout",
    )
    made.add_argument(
        "--only", metavar="P5,P8", help='only these patterns; or "training" or "test", by the lot'
    )
    made.add_argument("--out", metavar="DIR", help="write table.md and table.json there")
    made.add_argument(
        "--reword",
        action="store_true",
        help="write reasons.toml anew into the recorded table; nothing is run",
    )
    return made.parse_args(argv)


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out one command line; returns the exit status."""
    line = read_line(argv)
    try:
        return _carry_out(line)
    except RefusedError as problem:
        print(problem, file=sys.stderr)
        return REFUSED


def _carry_out(line: argparse.Namespace) -> int:
    from .registered import RegistrationError, chosen

    if line.reword:
        return _reword(line)
    try:
        patterns = chosen(line.only)
    except RegistrationError as problem:
        raise RefusedError(f"--only: {problem}") from None
    folder = _folder(line)
    from ..document import as_text
    from .running import added_to, make_table
    from .table import as_markdown, table_words

    table = make_table(patterns, quick=line.quick)
    if not table["rows"]:
        print("Stopped by Ctrl-C before the first pattern was done.", file=sys.stderr)
        return STOPPED
    print(as_text(table_words(table)), flush=True)
    if line.record and line.only and not table["stopped"]:
        table = added_to(recorded(), table)
    if folder is not None and not (line.record and table["stopped"]):
        write(folder, "table", table, page=as_markdown(table))
    return STOPPED if table["stopped"] else DONE


def _reword(line: argparse.Namespace) -> int:
    """Reasons are written after the run: into the table, without running it again."""
    from .running import reworded
    from .table import as_markdown

    if line.quick or line.only or line.out or line.record:
        raise RefusedError("--reword: nothing is run, so it goes with no other option")
    table = reworded(recorded("--reword"))
    write(HERE, "table", table, page=as_markdown(table))
    return DONE


def recorded(option: str = "--only") -> dict[str, Any]:
    """The recorded table. Raises RefusedError, naming an option, when there is none."""
    if not (HERE / "table.json").is_file():
        raise RefusedError(f"{option}: no table was recorded yet; run with --record")
    told: dict[str, Any] = json.loads((HERE / "table.json").read_text(encoding="utf-8"))
    return told


def _folder(line: argparse.Namespace) -> Path | None:
    """Where the table goes; refused before anything is run when it cannot go there."""
    from .fingerprint import BASELINE, of_checkout, of_numbers

    if line.record:
        if line.quick or line.out:
            raise RefusedError("--record: full numbers alone are recorded; leave out --quick and --out")
        if not BASELINE.is_file():
            raise RefusedError(f"--record: works in a checkout alone; {BASELINE} is not there")
        now = {"numbers": of_numbers(), "baseline": of_checkout()}
        if line.only and not now.items() <= recorded().items():
            raise RefusedError("--only: the recorded table is of other rules or numbers; record all of it")
        return HERE
    if line.out is None:
        return None
    folder = Path(line.out)
    if folder.exists() and not folder.is_dir():
        raise RefusedError(f'--out: "{folder}" is a file; use a folder, or a new name')
    if folder.resolve() == HERE.resolve():
        raise RefusedError("--out: the recorded table is there; use --record")
    return folder


if __name__ == "__main__":
    leave(main())
