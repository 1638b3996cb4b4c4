"""What ends a command early, and the exit status for it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator

TRACEBACK = "ROCKSHY_TRACEBACK"  # environment variable: set it to see where a fault happened

DONE = 0
BROKEN = 1  # a fault of this program
REFUSED = 2  # something is wrong with what was typed, or with a file
STOPPED = 130  # by Ctrl-C: 128 + the number of that signal, as shells count


class RefusedError(Exception):
    """Something typed cannot be done; the message says what was found and what is allowed."""


@contextlib.contextmanager
def refusing(place: str, *kinds: type[Exception]) -> Iterator[None]:
    """Turn problems of these kinds inside into a refusal that names a place: an option, a file."""
    try:
        yield
    except kinds as problem:
        from ...sim.scenario.hints import Refusal

        told = problem.at(place) if isinstance(problem, Refusal) else f"{place}: {problem}"
        raise RefusedError(told) from problem


NO_MEMORY = "There is not enough memory for this tank; use a smaller tank, larger cells or fewer fish."


def say_fault(fault: BaseException, *, along: str) -> str:
    """One message on a fault of this program; ``along``: what to send to the project with it."""
    what = " ".join(f"{type(fault).__name__}: {fault}".split())
    return (
        f"rockshy has a fault: {what[:200]}. Please report it to the project, with {along} and the "
        f"scenario. Set {TRACEBACK}=1 to see where it happened."
    )


def show_traceback(fault: BaseException) -> None:
    """Where a fault happened, on stderr, for whoever asked to see it."""
    if os.environ.get(TRACEBACK):
        import traceback

        traceback.print_exception(fault)
