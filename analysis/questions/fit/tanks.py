"""One simulated tank of a fit, as it is and left alone, with all that a watcher could have seen of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from ....sim.run.drawing import draw_tank, draw_tanks_before
from ....sim.run.set_ups import draw_of
from ....sim.run.table import AS_STOCKED, LEFT_ALONE
from ....sim.run.trials import Outcome, model_of_trial, outcome_of
from ....sim.scenario.scenario import Scenario
from ..watching.windows import Watched, watch

_SEEN = ("seen_events", "seen_ticks", "seen_places", "seen_quiet")  # columns of what could be seen


def watched_trial(
    scenario: Scenario,
    trial: int,
    *,
    arms: Sequence[str] | None = None,
    halted: Callable[[], bool] | None = None,
) -> tuple[Outcome, ...]:
    """Run one trial as :func:`rockshy.sim.run.trials.run_trial` does, and watch it as stocked.

    The outcome as stocked has more columns; :func:`parted` takes them off.
    """
    draw, found = draw_of(scenario, trial), []
    tank = draw_tank(scenario, trial=trial, draw=draw)
    before = draw_tanks_before(scenario, trial=trial, draw=draw)
    for arm in arms or (AS_STOCKED, LEFT_ALONE):
        seen: dict[str, Any] = {}
        keep = arm == AS_STOCKED
        with model_of_trial(scenario, trial, arm=arm, tank=tank, tanks_before=before, keep=keep) as model:
            if keep:
                one = watch(model, trial)
                quiet = np.array(one.quiet, np.int64).reshape(-1, 2)
                columns = one.events, one.scan_ticks, one.scans, quiet
                seen = dict(zip(_SEEN, columns, strict=True))
            else:
                model.run(halted=halted)
            outcome = outcome_of(model, name=arm, trial=trial, draw=draw)
            found.append(replace(outcome, columns={**outcome.columns, **seen}))
    return tuple(found)


def parted(outcomes: Sequence[Outcome]) -> tuple[tuple[Outcome, ...], Watched]:
    """The outcomes as any other run has them, and what could be seen."""
    columns = dict(outcomes[0].columns)
    events, ticks, places, quiet = (np.asarray(columns.pop(name)) for name in _SEEN)
    seen = Watched(outcomes[0].trial, events, ticks, places, tuple((int(a), int(b)) for a, b in quiet))
    return (replace(outcomes[0], columns=columns), *outcomes[1:]), seen
