"""``--months``: a question that is asked of days asked of whole lives instead."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError
from ..asking.found import Found
from ..asking.numbers import whole
from ..asking.progress import say

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario
    from ..questions.life.instead import Lived, Tried

MOST = 24


def add_months(parser: argparse.ArgumentParser, *, without: str = "days, unless a date is beyond 28") -> None:
    """How long a life is."""
    said = f"let each tank live so long, 1 to {MOST} months; without it {without}"
    parser.add_argument(
        "--months", metavar="M", type=whole(1, MOST, allowed=f"1 to {MOST} months"), help=said
    )


def lived_of(
    line: argparse.Namespace, found: Found, scenarios: Sequence[Scenario], *, tried: Tried | None = None
) -> Lived:
    """What ``--months`` says; without it, lives where a file or an alternative reaches over weeks.

    ``tried``: see :func:`rockshy.analysis.questions.life.instead.lived_of`.

    Raises
    ------
    RefusedError
        When one of the scenarios cannot be lived so, or ``--days`` is said too.
    """
    from ..questions.life.instead import lived_of as lives_of

    if line.months is not None:
        refuse_days(line)
    with refusing_life(found):
        lived = lives_of(scenarios, line.months, tried=tried)
    if lived.months is not None and line.months is None:
        say(f"{found.asked} reaches over weeks, so {lived.months} months are lived in blocks of days.")
    if lived.since > 0:
        say(f"Weeks count from day {lived.since:g} on, when the last fish is in whatever is tried.")
    return lived


def refuse_days(line: argparse.Namespace) -> None:
    """``--days`` says nothing of a life."""
    if line.days is not None:
        raise RefusedError(f"--days is {line.days:g}; use --months, which says how long a life is")


@contextlib.contextmanager
def refusing_life(found: Found) -> Iterator[None]:
    """Turn a life that cannot be lived into a refusal that names the option or the file."""
    from ..questions.life.design import LifeError

    try:
        yield
    except LifeError as problem:
        raise RefusedError(f"{problem.option or found.asked}: {problem}") from problem
