"""Options that several commands share. Imports nothing heavy."""

from __future__ import annotations

import argparse

from ..asking.numbers import part, within

FILE_HELP = "a scenario file, or the name of a ready scenario"


def add_file(parser: argparse.ArgumentParser) -> None:
    """The scenario that a command is about."""
    parser.add_argument("file", metavar="FILE", help=FILE_HELP)


def add_question(
    parser: argparse.ArgumentParser,
    *,
    whose: str = "",
    without: str = "",
    picture: bool = True,
    full: bool = True,
    trials: str = "how many simulated tanks",
) -> None:
    """What every question of many simulated tanks takes.

    Parameters
    ----------
    whose, without : for ``--for``, read by :func:`rockshy.analysis.measures.whom.said_of`: which fish are
        meant, and which are without it; the command has an option of its own for them when empty.
    full : whether there are first lines, and more below them.
    trials : what ``--trials`` says.
    """
    add_file(parser)
    if whose:
        such = 'such as "duboisi female 2", "duboisi females" or "duboisi"'
        parser.add_argument("--for", dest="fish", metavar="FISH", help=f"{whose}, {such}; default: {without}")
    if picture:
        parser.add_argument("--picture", metavar="FILE.png", help="draw the answer for a projector")
    if full:
        add_full(parser)
    add_json(parser)
    add_long_run(parser)
    add_changes(parser, trials=trials)


def add_full(parser: argparse.ArgumentParser) -> None:
    """The whole answer and not its first lines only."""
    parser.add_argument("--full", action="store_true", help="print all figures, not just the first lines")


def add_json(parser: argparse.ArgumentParser, what: str = "print the answer as JSON") -> None:
    """The answer for programs."""
    parser.add_argument("--json", action="store_true", help=what)


def add_long_run(parser: argparse.ArgumentParser) -> None:
    """Options of every command that runs many trials."""
    parser.add_argument(
        "--out",
        metavar="DIR",
        help="write the result to this folder, and carry on from the simulated tanks finished in it",
    )
    parser.add_argument(
        "--cluster",
        metavar="tcp://HOST:PORT",
        type=_address,
        help="simulate on the workers of this Dask scheduler (needs the extra [cluster])",
    )


def _address(text: str) -> str:
    from ...sim.run.cluster import ClusterError, check_address

    try:
        return check_address(text)
    except ClusterError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def add_until(parser: argparse.ArgumentParser) -> None:
    """Options of a command that may run until an interval is narrow enough; ``--trials`` is then the cap."""
    parser.add_argument(
        "--until",
        metavar="W",
        type=part(0.005, 0.4),
        help="run until the chance of being pinned is known to plus or minus this (95 %%), such as 0.05",
    )
    parser.add_argument(
        "--until-rate",
        metavar="P",
        type=part(0.01, 0.9),
        help="run until the chase rate is known to plus or minus this share of it (95 %%), such as 10%%",
    )


def add_changes(parser: argparse.ArgumentParser, *, trials: str = "how many simulated tanks") -> None:
    """Options instead of what the file says."""
    add = parser.add_argument_group("instead of what the file says").add_argument
    add("--trials", metavar="N", type=within("run.trials"), help=trials)
    add("--days", metavar="D", type=within("run.days"), help="days simulated after the last arrival")
    add("--seed", metavar="S", type=within("run.seed"), help="a whole number; another one gives other luck")
    add("--fixed", action="store_true", help="use the middle value for everything nobody has measured")
    add("--draws", choices=["wide"], help="guess over whole ranges, also where published work is against it")
    add(
        "--fit",
        metavar="DIR",
        help="use the guesses that rockshy fit narrowed by your tally and wrote to DIR",
    )
