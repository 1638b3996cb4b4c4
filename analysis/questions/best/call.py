"""``rockshy best`` from Python."""

from __future__ import annotations

import os
from concurrent.futures import Executor
from dataclasses import replace

from ....sim.rules.support.rule_set import Rules
from ....sim.scenario.reading.wanted import wanted_said
from ...study.asking import Asked, kept_in, scenario_of
from ...study.result import Result
from ...study.runner import Progress, Runner
from ..helped import helped, result_of
from ..orders import order_of
from .answer import answer_of
from .design import plan_of, told_of
from .files import COLUMNS, rows_text, whole_json
from .over_weeks import asked_of
from .words import document_of


@helped(
    """``answer`` holds the front of plans, those that cannot be told apart, and which limit stands in the
    way. ``to_frame()`` has a row a plan, simulated tank and group of fish: fish, species, money, kilograms
    of rock, and the share kept, 0 to 1.""",
    raises=" Also without a wish list, when no stock is within its limits, or for too few tanks.",
    source="Successive halving (Karnin2013), sharing out (Chen2000), then fresh trials (Cox1975).",
)
def best(
    scenario: Asked,
    *,
    want: str | None = None,
    minutes: float = 10.0,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    months: int | None = None,
    folder: str | os.PathLike[str] | None = None,
    progress: Progress | None = None,
) -> Result:
    """The best stock and rock that a wish list allows: ``rockshy best`` in one call.

    want : a wish list such as "duboisi 1m 3-6f; at most 20 fish"; that of the scenario when None.
    minutes : about how long to look, on two cores; worked out beforehand, never timed.
    trials : how many simulated tanks in all, instead of ``minutes``.
    months : 2 to 24: also in which order over weeks the species go in; each order is lived so long.
    """
    asked = scenario_of(scenario, rules=rules, fishless=True)
    wanted = asked.wanted if want is None else wanted_said(want, asked, name="want")
    plan = plan_of(asked, wanted, tanks=trials, minutes=minutes)
    with kept_in(folder, "best", plan.scenario, options=told_of(plan)) as kept:
        found = answer_of(plan, Runner(kept, executor, progress))
    if months is not None and not found.stopped:
        order = order_of(asked_of(found, months), months, executor=executor, progress=progress, folder=folder)
        found = replace(found, order=order)
    return result_of("best", found, document_of, whole_json, rows_text, COLUMNS)
