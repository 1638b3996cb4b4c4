"""Messages while a command works, all on stderr: preparing once, and how many simulated tanks are done."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import Any, Self

PREPARING = (
    "Preparing, once: the rules are being compiled for this computer. It takes a minute or two; "
    "later runs start at once."
)
OF_A_TANK = "balls"  # in sim/tank/paths.py: the last that building a tank needs
OF_A_RUN = "advance"  # in sim/run/day.py: the last that running one needs
_LINES = 4  # how often a run that nobody watches says how far it is


def say(text: str) -> None:
    """A line for the person at the keyboard, out of the way of the answer."""
    print(text, file=sys.stderr, flush=True)


def must_prepare(*, last: str) -> bool:
    """Whether rules must be compiled first.

    Parameters
    ----------
    last : the compiled function that is finished last of those that are needed; an earlier command may
        have compiled others and not this one.
    """
    from ...sim.rules.support.compiled import cache_folder, is_compiling

    return is_compiling() and not any(cache_folder().rglob(f"*.{last}-*.nbi"))


def say_if_preparing(*, last: str) -> None:
    """Say so when rules must be compiled first; ``last``: see :func:`must_prepare`."""
    if must_prepare(last=last):
        say(PREPARING)


class Progress:
    """Counts simulated tanks: a bar on a terminal, a line at each quarter elsewhere."""

    def __init__(self, asked: int) -> None:
        self._bar: Any = None
        self._step = max(1, asked // _LINES)
        if bool(getattr(sys.stderr, "isatty", lambda: False)()):
            from tqdm import tqdm

            shape = "{n_fmt} of {total_fmt} simulated tanks  [{bar:40}]  {remaining} to go"
            self._bar = tqdm(total=asked, file=sys.stderr, bar_format=shape, ascii=" .o", leave=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.close()

    def __call__(self, done: int, asked: int) -> None:
        """``done`` of ``asked`` simulated tanks are finished."""
        if self._bar is not None:
            self._bar.update(done - self._bar.n)
        elif done % self._step == 0 or done == asked:
            say(f"{done} of {asked} simulated tanks")
