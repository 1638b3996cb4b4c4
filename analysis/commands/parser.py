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
    "compare": "what if: run the alternatives of a scenario beside it, on the same seeds",
    "relief": "try the ordinary changes a keeper could make, and say what helps and what it takes",
    "rock": "find how much rock a species needs so as to be seldom pinned",
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
    _add_compare(made["compare"])
    _add_relief(made["relief"])
    _add_rock(made["rock"])
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
    parser.epilog = (
        "Ctrl-C ends it with the answer of the simulated tanks done so far (exit status 130). With --out "
        "every finished one is on disk at once: however a run ended, the same command goes on from there."
    )
    parser.add_argument("file", metavar="FILE", nargs="?", help=f"{_FILE}; without it, the demo")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_until(parser)
    add_long_run(parser)
    _add_changes(parser)


def add_long_run(parser: argparse.ArgumentParser) -> None:
    """Options of every command that runs many trials."""
    parser.add_argument(
        "--out",
        metavar="DIR",
        help="write the result folder, and go on from the simulated tanks finished in it",
    )
    parser.add_argument(
        "--cluster",
        metavar="tcp://HOST:PORT",
        type=_address,
        help="simulate on the workers of this Dask scheduler (needs the extra [cluster])",
    )


def _address(text: str) -> str:
    from ...sim.cluster import ClusterError, check_address

    try:
        return check_address(text)
    except ClusterError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def _add_compare(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "The alternatives are the [[alternative]] tables of the file. Ctrl-C ends it with the answer of the "
        "simulated tanks done so far (exit status 130)."
    )
    add = parser.add_argument
    add("file", metavar="FILE", help=_FILE)
    add("--for", dest="whose", metavar="FISH", help="a species or one fish; the mild species without it")
    add("--goal", choices=("lost", "received", "hidden", "pinned"), default="lost", help=_GOAL)
    add("--share-out", action="store_true", help="send the trials where they decide which is best")
    add_until(parser)
    add("--swap", metavar="SPECIES", help="try each species of the library in the place of this one")
    add("--picture", metavar="FILE.png", help="draw the answer for a projector")
    add("--json", action="store_true", help="print the answer as JSON")
    add_long_run(parser)
    _add_changes(parser)


_GOAL = (
    "what best is looked for by: free swimming lost (without it), chases received, time hidden, or how often "
    "it is pinned; the lower the better"
)


def add_until(parser: argparse.ArgumentParser) -> None:
    """Options of a command that may run until an interval is narrow enough; ``--trials`` is then the cap."""
    parser.add_argument(
        "--until",
        metavar="W",
        type=_part(0.005, 0.4),
        help="run until half the 95 %% interval of the chance to be pinned is at most this, such as 0.05",
    )
    parser.add_argument(
        "--until-rate",
        metavar="P",
        type=_part(0.01, 0.9),
        help="run until half the 95 %% interval of the chase rate is at most this share of it, such as 10%%",
    )


def _add_relief(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Half of the simulated tanks sift the changes, half confirm the best of them. Ctrl-C ends it with "
        "the answer of what was done so far (exit status 130)."
    )
    parser.add_argument("file", metavar="FILE", help=_FILE)
    parser.add_argument(
        "--for",
        dest="fish",
        metavar="FISH",
        help='which fish to help, such as "duboisi female 2", "duboisi females" or "duboisi"; the worst off '
        "without it",
    )
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_long_run(parser)
    _add_changes(parser, trials="at most so many simulated tanks for each change")


def _add_rock(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        "Without --height or --piles the share of the floor is varied; with two of the three at once the "
        "answer is a map. Ctrl-C ends it with the answer of what was done so far (exit status 130)."
    )
    add = parser.add_argument
    add("file", metavar="FILE", help=_FILE)
    add("--cover", action="store_true", help="vary the share of the floor under rock")
    add("--height", action="store_true", help="vary the height of the rock")
    add("--piles", action="store_true", help="vary the number of piles")
    add("--for", dest="species", metavar="SPECIES", help="whose; the mild species without it")
    add("--level", metavar="L", type=_level, help="wanted chance to be pinned at most; 0.1 without it")
    add("--monotone", action="store_true", help="judge a fitted curve that never rises with more rock")
    add("--picture", metavar="FILE.png", help="draw the answer for a projector")
    add("--json", action="store_true", help="print the answer as JSON")
    add_long_run(parser)
    _add_changes(parser, trials="at most so many simulated tanks at each amount")


def _level(text: str) -> float:
    return _part(0.01, 0.9)(text)


def _part(low: float, high: float) -> Callable[[str], float]:
    """A reader of a share, typed as 0.1 or 10 %."""

    def read(text: str) -> float:
        from ...sim.reading.limits import Limit
        from ...sim.reading.problems import show
        from ...sim.reading.tables import read_amount
        from ...sim.units import UnitError, number

        limit = Limit(low, high, "share")
        try:
            part = read_amount(text, limit) if "%" in text else number(text)
        except UnitError:
            part = float("nan")
        if not limit.holds(part):
            raise argparse.ArgumentTypeError(f"found {show(text)}; allowed: {limit.say()}")
        return part

    return read


def _add_show(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "Give the changes you gave to run, to see one of the same simulated tanks."
    parser.add_argument("file", metavar="FILE", help=_FILE)
    parser.add_argument(
        "--trial", metavar="N", required=True, type=_within("run.trials", low=0), help="which one, from 0"
    )
    parser.add_argument("--out", metavar="DIR", help="folder for the pictures; default: NAME-trial-N")
    _add_changes(parser)


def _add_changes(parser: argparse.ArgumentParser, *, trials: str = "how many simulated tanks") -> None:
    """Options in the place of what the file says."""
    add = parser.add_argument_group("in the place of what the file says").add_argument
    add("--trials", metavar="N", type=_within("run.trials"), help=trials)
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
