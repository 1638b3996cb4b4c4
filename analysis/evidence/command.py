"""What the command lines of the evidence share: the reader, the record beside the sources, the way out."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import NoReturn

from ..asking.errors import DONE, REFUSED, STOPPED

PACKAGE = "rockshy.analysis.evidence"


class Parser(argparse.ArgumentParser):
    """Refuses with one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(REFUSED, f"{self.prog}: {message.removeprefix('argument ')}; see {self.prog} --help\n")


def parser(name: str, description: str, *, quick: str, record: str) -> Parser:
    """A reader of ``python -m`` PACKAGE ``name`` with --quick and --record, each with its help."""
    made = Parser(prog=f"python -m {PACKAGE}{name}", description=description, allow_abbrev=False)
    made.add_argument("--quick", action="store_true", help=quick)
    made.add_argument("--record", action="store_true", help=record)
    return made


def write(folder: Path, name: str, table: Mapping[str, object], *, page: str) -> None:
    """A table as ``name``.json and, for readers, as ``name``.md."""
    from ..asking.progress import say
    from ..document.files import table_text
    from ..document.writing import write_text

    folder.mkdir(parents=True, exist_ok=True)
    write_text(folder / f"{name}.json", table_text(table))
    write_text(folder / f"{name}.md", page)
    say(f"Written: {folder / name}.md, {folder / name}.json")


def finish(
    line: argparse.Namespace,
    name: str,
    table: Mapping[str, object],
    *,
    folder: Path,
    page: str,
    stopped: bool,
) -> int:
    """Record a table where that was asked for and it is whole; returns the exit status."""
    if line.record and not stopped:
        write(folder, name, table, page=page)
    return STOPPED if stopped else DONE


def leave(status: int) -> NoReturn:
    """End the process; tanks that still run in threads are not waited for after Ctrl-C."""
    sys.stdout.flush()
    sys.stderr.flush()
    if status == STOPPED:
        os._exit(status)
    sys.exit(status)
