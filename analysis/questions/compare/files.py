"""What if as files: the answer for programs, and the values of all simulated tanks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ....sim.run.table import AS_STOCKED, Trials
from ....sim.run.trials import recipe
from ....sim.scenario.scenario import Scenario
from ...document.files import plain
from ...measures.groups import Group
from ...measures.rates import values_of
from ...measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ...statistics.intervals import CONFIDENCE, DRAW_PERCENTILES
from ...study import dictionary
from .answer import Comparison, worst_in_tank
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


def whole_json(
    scenario: Scenario,
    found: Comparison,
    *,
    options: Sequence[str] = (),
    shared: Shared | None = None,
    stopped: Stopped | None = None,
) -> dict[str, object]:
    """What ``rockshy compare --json`` prints; ``options``: what changed the scenario, as typed."""
    told, out = plain(found), plain(shared)
    assert isinstance(told, dict)
    if shared is not None and isinstance(out, dict):
        out |= {"equal": shared.equal, "saved": shared.saved}
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "guess_percentiles": list(DRAW_PERCENTILES),
        **told,
        "shared_out": out,
        "until": plain(stopped),
        "recipe": recipe(scenario),
    }


def rows_text(tables: Sequence[Trials], *, names: Sequence[str], group: Group) -> str:
    """One line a scenario, simulated tank and group: the worst-off fish, the chosen one, the mild species."""
    mild = Group(species=tables[0].watch)
    groups = {one.name: one for one in (group, mild)}

    def rows() -> Iterator[Sequence[object]]:
        for name, table in zip(names, tables, strict=True):
            found = {"worst-off fish": worst_in_tank(table)} | {
                whose: {goal: values_of(table, measure=goal, group=one) for goal in GOALS}
                for whose, one in groups.items()
            }
            arm = table.arms[AS_STOCKED]
            for i, (trial, draw) in enumerate(zip(arm.trial, arm.draw, strict=True)):
                for whose, values in found.items():
                    cells = (_cell(values[goal][i], goal) for goal in GOAL_COLUMNS)
                    yield (name, trial, draw, whose, *cells)

    return dictionary.csv_text(COLUMNS, rows())


def _cell(value: float, goal: str) -> str | float:
    if goal == PINNED and not math.isnan(value):
        return "yes" if value > 0 else "no"
    return float(value)
