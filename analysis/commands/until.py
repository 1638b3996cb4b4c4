"""``--until`` and ``--until-rate``: run until an interval is narrow enough, or a cap."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError
from ..asking.found import Found

if TYPE_CHECKING:
    from ...sim.run.table import Trials
    from ...sim.scenario.scenario import Scenario
    from ..measures.groups import Group
    from ..questions.compare.plans import Stopped
    from ..statistics.stopping import Until
    from ..study.kept import Kept

CAP = 1024  # simulated tanks of each at most, where --trials says nothing else


def until_of(line: argparse.Namespace, found: Found) -> Until | None:
    """What the options ask for; None without them. The cap is ``--trials``.

    Raises
    ------
    RefusedError
        When both are given.
    """
    if line.until is None and line.until_rate is None:
        return None
    if line.until is not None and line.until_rate is not None:
        raise RefusedError("--until and --until-rate do not go together; use one at a time")
    from ..statistics.stopping import Until

    cap = line.trials or max(CAP, found.scenario.run.trials)
    return Until(cap, half_width=line.until, relative=line.until_rate)


def capped(found: Found, until: Until) -> Found:
    """The scenario and its alternatives with as many trials as the cap, which any of them may reach."""
    from ...sim.scenario.changes import everywhere

    def change(one: Scenario) -> Scenario:
        return replace(one, run=replace(one.run, trials=until.cap))

    changes = found.changes if "--trials" in found.changes else ("--trials", str(until.cap), *found.changes)
    return replace(found, scenario=everywhere(found.scenario, change), changes=changes)


def goal_of(until: Until) -> str:
    """The goal whose interval is to be narrow: the chance to be pinned or the chase rate."""
    from ..measures.registry import PINNED, RECEIVED

    return PINNED if until.half_width is not None else RECEIVED


def came_to(
    until: Until, scenario: Scenario, tables: Sequence[Trials], *, names: Sequence[str], group: Group
) -> Stopped:
    """What the wanted half-width came to in each table."""
    from ..measures.rates import values_of
    from ..questions.compare.plans import stopped_of

    values = [values_of(table, measure=goal_of(until), group=group) for table in tables]
    return stopped_of(until, values, names=names, run=scenario.run)


def run_until(
    scenario: Scenario,
    until: Until,
    *,
    executor: Executor,
    kept: Kept | None,
    progress: Callable[[int, int], None],
) -> Trials:
    """Trials of one scenario until its mild species is known well enough; fewer than asked after Ctrl-C."""
    from ...sim.run.set_ups import watched
    from ..measures.groups import Group
    from ..questions.compare.design import run_side_by_side
    from ..questions.compare.plans import until_plan

    stops: list[bool] = []
    (trials,) = run_side_by_side(
        [scenario],
        plan=until_plan(until, scenario.run),
        goal=goal_of(until),
        group=Group(species=watched(scenario)[0]),
        arms=None,
        executor=executor,
        kept=kept,
        progress=lambda done, _: progress(done, until.cap),
        on_stop=lambda: stops.append(True),
    )
    trials.recipe["trials"] = trials.done
    return replace(trials, asked=until.cap) if stops else trials
