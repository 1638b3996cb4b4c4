"""What can be typed after ``rockshy``. Imports nothing heavy: ``--help`` must be there at once."""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

from ..asking.errors import REFUSED

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")
_PLAIN = (  # what argparse says, and what is said here
    (r"^argument (.+?): invalid choice: '(.*)' \(choose from '?(.*?)'?\)$", r'\1 is "\2"; use \3'),
    (r"^argument (.+?): expected one argument$", r"\1 needs a value after it"),
    (r"^argument (.+?): is ", r"\1 is "),
    (r"^argument ", ""),
    (r"^the following arguments are required: ", "please add "),
    (r"^unrecognized arguments: ", "this command does not take "),
)

COMMANDS = {
    "page": "build a tank in the browser, try it and change it",
    "new": "write a short scenario file to fill in",
    "check": "warn of what stands out, and say how the file was understood",
    "run": "run a scenario and print the answer, worst-off fish first",
    "compare": "what if: run a tank and its alternatives side by side, with the same luck",
    "relief": "try the ordinary changes a keeper could make, and say what helps and what it takes",
    "best": "find the best stock and rock that a wish list allows, and what more fish would cost",
    "place": "say which fish belong in which tank of your room, and in what order to move them",
    "why": "say why a fish is bullied: how much is owed to size, looks, shelter and so on",
    "guesses": "say which unknowns decide the answer, and what to watch to narrow them",
    "rock": "find how much rock a species needs to be seldom pinned",
    "life": "let the tank live for months: when trouble comes, who starts it, what a dated change does",
    "film": "make a film of a simulated tank, or of two side by side, as a page, GIF or MP4",
    "show": "draw pictures of one simulated tank",
    "sheet": "print a sheet for watching your own tank, and compare your tally with the model",
    "fit": "use your own counts to narrow what nobody has measured",
    "talk": "make slides, handout, film and speaker's notes for a talk at a fish club",
    "report": "put answer, pictures, film and data on one page, or make a sheet to ask somebody with",
    "species": "print what is known about a species, with a source for every number",
    "sources": "list the publications and what each is used for, and say where all numbers come from",
    "scenarios": "list the ready scenarios with their questions",
}


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line on what is wrong, in the words of the other messages."""
        if not message.isprintable():
            from ...sim.scenario.reading.problems import printable

            message = printable(message)
        for theirs, ours in _PLAIN:
            message = re.sub(theirs, ours, message).replace("', '", ", ")
        stop = "" if message.endswith("?") else "."
        self.exit(REFUSED, f"{self.prog}: {message}{stop} See {self.prog} --help\n")


def read_line(argv: Sequence[str]) -> argparse.Namespace:
    """The command line, checked; ``command`` is None when nothing was typed."""
    first = argv[0] if argv else ""
    parser = build_parser(next((word for word in argv if word in COMMANDS), ""))
    odd = next((word for word in argv if _CONTROL.search(word)), None)
    if odd is not None:  # it would come back raw wherever a path or a name is printed
        parser.error(f'"{odd[:60]}" has control characters; leave them out')
    if first and not first.startswith("-") and first not in COMMANDS:
        near = difflib.get_close_matches(first, COMMANDS, n=1)
        hint = f". Did you mean {near[0]}?" if near else ""
        parser.error(f'there is no command "{first[:60]}"; use {", ".join(COMMANDS)}{hint}')
    return parser.parse_args(argv)


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The parser of every command; with ``only``, the options of that command alone are read in."""
    parser = _Parser(
        prog="rockshy",
        description="Simulates who gets chased, and who ends up pinned to one place, in a tank of "
        "rock-dwelling cichlids.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_SayVersion, nargs=0, help="print the version")
    parser.set_defaults(rules=None)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    for name, words in COMMANDS.items():
        made = commands.add_parser(name, help=words, description=_sentence(words), allow_abbrev=False)
        if only in (None, name):
            import_module(f".{name}", __package__).add_options(made)
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
