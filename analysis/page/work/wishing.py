"""The best that a wish list allows: what is typed on the page, or the [wanted] table of its file."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from ....sim.scenario.reading import parse
from ....sim.scenario.reading.problems import show
from ....sim.scenario.reading.wanted import wanted_said
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.wanted import Wanted
from ...asking.errors import RefusedError
from ...asking.found import first_tank
from ...questions.best.answer import Best, Tried, answer_of
from ...questions.best.brief import brief_of
from ...questions.best.design import MINUTES, BestError, plan_of
from ...questions.best.files import whole_json
from ...questions.best.front import front_of
from ...questions.best.said import laid_briefly, stock_briefly
from ...questions.best.words import document_of
from ..editing.copies import alternative_of
from ..task import Draft, Task
from .asked import found_of, headline, only, pieces
from .simulating import Count

LONGEST, MOST_MINUTES = 4000, 60  # signs of a list; minutes asked for at a time
LIST = "the list"


def tank_to_fill(draft: Draft) -> Scenario:
    """The tank of a draft, which may be without fish."""
    beside = None if draft.stock_list is None else draft.stock_list.text
    return parse(draft.text, name=draft.name, folder=None, stock_list_text=beside, fishless=True)


def find_best(task: Task) -> None:
    """Search; kept are the plans of the front by number (``changes``), to be taken as copies.

    ``want``: a wish list in a line, or "" for that of the file; ``minutes``: about how long to look.
    """
    only(task, "want", "minutes")
    minutes = task.what.get("minutes", MINUTES)
    if type(minutes) not in (int, float) or not 1 <= minutes <= MOST_MINUTES:
        raise RefusedError(f"what.minutes is {show(minutes)}; use 1 to {MOST_MINUTES}")
    count = Count(task)
    try:
        plan = plan_of(task.scenario, _wanted(task), minutes=float(minutes))
    except BestError as problem:
        raise RefusedError(f"{LIST}: {problem}") from problem
    first_tank(found_of(task, plan.space.yardstick))
    best = answer_of(
        plan, count.run, told=lambda what, jobs: count.begin(f"{what} ({jobs} simulated tanks).", jobs)
    )
    count.told = ""
    count.post(_result(task, best))


def _wanted(task: Task) -> Wanted | None:
    want = task.what.get("want", "")
    if not isinstance(want, str) or len(want) > LONGEST:
        raise RefusedError(f"what.want is {show(want)}; use text of at most {LONGEST} signs")
    if not want.strip():
        if task.scenario.wanted is None:
            raise RefusedError(f'{LIST} is empty; use, for instance, "duboisi 1m 3f; at most 20 fish"')
        return task.scenario.wanted
    return wanted_said(want, task.scenario, name=LIST)


def _result(task: Task, best: Best) -> dict[str, Any]:
    told = whole_json(best)
    plans = [(one, _tank_of(task.scenario, best, one)) for one in best.front]
    task.kept["changes"] = {k: (stock_briefly(best, one), tank) for k, (one, tank) in enumerate(plans, 1)}
    return {
        "pieces": pieces(document_of(best), best.plan.space.yardstick),
        "json": told,
        "headline": headline(brief_of(best), best.plan.space.yardstick),
        "front": asdict(front_of(told)),
        "plans": [_plan(task.scenario, best, k, *both) for k, both in enumerate(plans, 1)],
    }


def _tank_of(base: Scenario, best: Best, one: Tried) -> Scenario:
    """The tank of a plan, run as the page's tank is."""
    return replace(best.scenario(one), run=base.run, wanted=base.wanted)


def _plan(base: Scenario, best: Best, number: int, one: Tried, tank: Scenario) -> dict[str, Any]:
    laid = laid_briefly(one) if best.plan.space.is_laid else ""
    is_copy = bool(base.stock) and alternative_of(base, tank, "a plan") is not None
    return {"number": number, "rock": laid, "can_copy": is_copy}
