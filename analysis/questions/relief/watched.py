"""What to watch for, at the end of a search for what helps."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from ....sim.run.model import HaltedError
from .search import Relief
from .watch import Watch, places_of, watch_of


def watched(relief: Relief, *, halted: Callable[[], bool] | None = None) -> Watch:
    """Read the tank as it is, with the places of the fish where there was time to run it once more.

    Where that is broken off, by Ctrl-C or by ``halted``, the answer does without.
    """
    scenario, whom = relief.plan.scenario, relief.whom
    places = None
    if not relief.stopped:
        with contextlib.suppress(KeyboardInterrupt, HaltedError):
            places = places_of(scenario, labels=whom.labels, halted=halted)
    return watch_of(scenario, relief.seen, whom=whom, kinds=relief.kinds, places=places)
