"""What if as files: the answer for programs, and the values of all simulated tanks."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence

from ....sim.run.table import AS_STOCKED, Trials
from ....sim.run.trials import recipe
from ....sim.scenario.scenario import Scenario
from ...document.files import plain
from ...measures.groups import Group
from ...measures.rates import values_of
from ...measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ...statistics.intervals import CONFIDENCE, GUESS_PERCENTILES
from ...study import dictionary
from .answer import ASKED, MILD, WORST, Comparison, worst_in_tank
from .plans import Shared, Stopped

JSON, CSV, PNG = "compare.json", "compare.csv", "compare.png"
GOAL_COLUMNS = {
    LOST: "lost_share_of_free_swimming",
    RECEIVED: "chases_received_per_fish_and_lit_hour_model_scale",
    HIDDEN: "hidden_share_of_lit_time",
    PINNED: "pinned",
}
COLUMNS: dictionary.Columns = {
    "tank": ("", "the tank as it is, or the name of an alternative"),
    **dictionary.TRIAL,
    "whose": ("", "the fish, sex or species that the figures are means of"),
    GOAL_COLUMNS[LOST]: dictionary.LOST,
    GOAL_COLUMNS[RECEIVED]: dictionary.RECEIVED,
    GOAL_COLUMNS[HIDDEN]: dictionary.HIDDEN,
    GOAL_COLUMNS[PINNED]: ("yes or no", "whether enough of the fish that count are pinned to one place"),
}


def compare_json(
    found: Comparison, *, shared: Shared | None = None, stopped: Stopped | None = None
) -> dict[str, object]:
    """The answer as plain dicts, lists, texts and numbers; what could not be told is None, never nan."""
    told = plain(found)
    assert isinstance(told, dict)
    return {
        "confidence": CONFIDENCE,
        "guess_percentiles": list(GUESS_PERCENTILES),
        **told,
        "shared_out": None
        if shared is None
        else {**_dict(shared), "equal": shared.equal, "saved": shared.saved},
        "until": None if stopped is None else _dict(stopped),
    }


def whole_json(
    scenario: Scenario,
    found: Comparison,
    *,
    options: Sequence[str] = (),
    shared: Shared | None = None,
    stopped: Stopped | None = None,
) -> dict[str, object]:
    """What ``rockshy compare --json`` prints; ``options``: what changed the scenario, as typed."""
    told = compare_json(found, shared=shared, stopped=stopped)
    return {"options": list(options), **told, "recipe": recipe(scenario)}


def _dict(value: Shared | Stopped) -> dict[str, object]:
    told = plain(value)
    assert isinstance(told, dict)
    return told


def rows_text(tables: Sequence[Trials], *, names: Sequence[str], group: Group) -> str:
    """One line a scenario, simulated tank and group: the worst-off fish, the chosen one, the mild species."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    mild = Group(species=tables[0].watch)
    groups = {MILD: mild} if group == mild else {ASKED: group, MILD: mild}
    for name, table in zip(names, tables, strict=True):
        found = {WORST: worst_in_tank(table)}
        found |= {
            role: {goal: values_of(table, measure=goal, group=one) for goal in GOALS}
            for role, one in groups.items()
        }
        arm = table.arms[AS_STOCKED]
        for i, (trial, guess) in enumerate(zip(arm.trial, arm.guess, strict=True)):
            for role, values in found.items():
                whose = "worst-off fish" if role == WORST else groups[role].name
                cells = [_cell(values[goal][i], goal) for goal in GOAL_COLUMNS]
                writer.writerow([name, trial, guess, whose, *cells])
    return text.getvalue()


def _cell(value: float, goal: str) -> str | float:
    if math.isnan(value):
        return ""
    if goal == PINNED:
        return "yes" if value > 0 else "no"
    return float(value)
