"""What can be typed after ``rockshy``. Imports nothing heavy: ``--help`` must be there at once."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Callable, Sequence
from typing import Any, NoReturn

from .errors import REFUSED

COMMANDS = {
    "new": "write a short scenario file to fill in",
    "check": "say back what was understood, and what the model cannot judge",
    "run": "run a scenario and print the answer, worst-off fish first",
    "show": "draw pictures of one simulated tank",
    "scenarios": "list the ready scenarios with their questions",
}
_FILE = "a scenario file, or the name of a ready scenario"


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line on what is wrong, in the words of the other messages."""
        self.exit(REFUSED, f"{self.prog}: {message.removeprefix('argument ')}; see {self.prog} --help\n")


def read_line(argv: Sequence[str]) -> argparse.Namespace:
    """The command line, checked; ``command`` is None when nothing was typed."""
    parser = build_parser()
    first = argv[0] if argv else ""
    if first and not first.startswith("-") and first not in COMMANDS:
        near = difflib.get_close_matches(first, COMMANDS, n=1)
        hint = f"; nearest: {near[0]}" if near else ""
        parser.error(f'found "{first[:60]}"; allowed: {", ".join(COMMANDS)}{hint}')
    return parser.parse_args(argv)


def build_parser() -> argparse.ArgumentParser:
    """The parser of every command and option."""
    parser = _Parser(
        prog="rockshy",
        description="Simulates who gets chased, and who ends up pinned to one place, in a tank of "
        "rock-dwelling cichlids.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_SayVersion, nargs=0, help="print the version")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    made = {
        name: commands.add_parser(name, help=words, description=_sentence(words), allow_abbrev=False)
        for name, words in COMMANDS.items()
    }
    made["new"].add_argument("file", metavar="FILE", help="the file to write; it must not exist yet")
    made["check"].add_argument("file", metavar="FILE", help=_FILE)
    _add_run(made["run"])
    _add_show(made["show"])
    return parser


class _SayVersion(argparse.Action):
    """Looks the version up only when it is asked for: reading package data takes time."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import PackageNotFoundError, version

        try:
            print(f"rockshy {version('rockshy')}")
        except PackageNotFoundError:
            print("rockshy, not installed")
        parser.exit()


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _add_run(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "Ctrl-C ends it with the answer of the simulated tanks done so far (exit status 130)."
    parser.add_argument("file", metavar="FILE", nargs="?", help=f"{_FILE}; without it, the demo")
    parser.add_argument("--out", metavar="DIR", help="write the result folder: tables and recipe")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    _add_changes(parser)


def _add_show(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "Give the changes you gave to run, to see one of the same simulated tanks."
    parser.add_argument("file", metavar="FILE", help=_FILE)
    parser.add_argument(
        "--trial", metavar="N", required=True, type=_within("run.trials", low=0), help="which one, from 0"
    )
    parser.add_argument("--out", metavar="DIR", help="folder for the pictures; default: NAME-trial-N")
    _add_changes(parser)


def _add_changes(parser: argparse.ArgumentParser) -> None:
    """Options in the place of what the file says."""
    add = parser.add_argument_group("in the place of what the file says").add_argument
    add("--trials", metavar="N", type=_within("run.trials"), help="how many simulated tanks")
    add("--days", metavar="D", type=_within("run.days"), help="days simulated after the last arrival")
    add("--seed", metavar="S", type=_within("run.seed"), help="where the luck starts: a whole number")
    add("--fixed", action="store_true", help="take the middle of everything nobody has measured")


def _within(name: str, *, low: float | None = None) -> Callable[[str], Any]:
    """A reader of an option's text that holds it against the limit of a scenario file's key."""

    def read(text: str) -> float | int:
        from ...sim.reading.limits import LIMITS
        from ...sim.reading.problems import show
        from ...sim.units import UnitError, number

        limit = LIMITS[name] if low is None else LIMITS[name]._replace(low=low)
        try:
            value = number(text)
        except UnitError:
            value = float("nan")
        whole = limit.kind == "whole"
        if not limit.holds(value) or (whole and value != int(value)):
            raise argparse.ArgumentTypeError(f"found {show(text)}; allowed: {limit.say()}")
        return int(value) if whole else value

    return read
