"""Why a fish is bullied as files: the answer for programs, and a row for each tank and coalition."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...measures.registry import LOST, RECEIVED
from ...statistics.intervals import CONFIDENCE
from ...study import dictionary
from .answer import Why
from .behind import Behind

JSON, CSV = "why.json", "why.csv"
UNITS = {
    LOST: "lost_share_of_free_swimming_if_left_alone",
    RECEIVED: "chases_received_per_fish_and_lit_hour_model_scale",
}
COLUMNS: dictionary.Columns = {
    **dictionary.TRIAL,
    "on": ("", "the mechanisms that were on in this run of the tank, parted by semicolons"),
    UNITS[LOST]: dictionary.LOST,
    UNITS[RECEIVED]: dictionary.RECEIVED,
}


def whole_json(found: Why, behind: Behind, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy why --json`` prints; ``options``: what changed the scenario, as typed."""
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "title": found.plan.scenario.title,
        "question": found.plan.scenario.question,
        "for": {"name": found.whom.name, "fish": list(found.whom.labels), "why": found.whom.why},
        "measured_fish": list(found.fish),
        "mechanisms": plain(found.mechanisms),
        "left_out": plain(found.left_out),
        "nothing_to_explain": found.nothing,
        "shared_out": {UNITS[goal]: plain(one) for goal, one in found.shared.items()},
        "disagreeing": list(found.disagreeing),
        "behind": plain(behind),
        "every_coalition": found.exact,
        "trials": len(found.rows),
        "trials_planned": found.trials,
        "trials_asked": found.plan.trials,
        "trials_not_judged": found.unjudged,
        "simulated_tanks": found.tanks,
        "fixed": found.plan.fixed,
        "stopped": found.stopped,
        "recipe": recipe(found.plan.scenario),
    }


def rows_text(found: Why) -> str:
    """One line a simulated tank and coalition: which mechanisms were on, and both outcomes."""
    names = [one.name for one in found.mechanisms]

    def rows() -> Iterator[Sequence[object]]:
        for row in found.rows:
            for coalition, worth in sorted(row.worth.items()):
                on = "; ".join(name for k, name in enumerate(names) if coalition >> k & 1) or "none"
                yield (row.trial, row.draw, on, *map(float, worth))

    return dictionary.csv_text(COLUMNS, rows())
