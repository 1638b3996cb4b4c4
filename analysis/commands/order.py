"""``--months`` of a plan: the orders in which its fish can go in over weeks, lived one by one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.found import Found
from ..asking.numbers import whole
from ..asking.progress import say
from .lived import refusing_life
from .long_run import Counted, kept_for, say_kept, say_tanks

if TYPE_CHECKING:
    import argparse

    from ..questions.orders import Asked, Ordered

ALLOWED = "2 to 24 months"


def add_months(add: Callable[..., object]) -> None:
    """How long the orders of going in are lived."""
    said = f"also say in which order over weeks its fish should go in; each order is lived {ALLOWED}"
    add("--months", metavar="M", type=whole(2, 24, allowed=ALLOWED), help=said)


def order_of(line: argparse.Namespace, found: Found, run: Counted, asked: Asked | str) -> Ordered | None:
    """Live the orders that are asked for; None after Ctrl-C, which leaves the plan as it is."""
    from ..questions.orders import FOLDER, Ordered, ordered

    if isinstance(asked, str):
        return Ordered(line.months, why=asked)
    with refusing_life(found):
        lived = asked.lived
    folder = None if line.out is None else str(Path(line.out) / FOLDER)
    try:
        with kept_for(folder, FOLDER, asked.first, others=True, options=lived.options) as kept:
            say_kept(kept)
            counted = Counted(run.asked, run.executor, kept, lived.work, lived.simulated_days)
            return ordered(asked, counted, told=say_tanks)
    except KeyboardInterrupt:
        say("Stopped by Ctrl-C: the order of going in is left out.")
        return None
