"""A life as files: the answer for programs, and a row for each tank, measured day and kind of fish."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ....sim.run.trials import recipe
from ...document.files import plain
from ...measures.registry import PINNED_FISH
from ...statistics.intervals import CONFIDENCE
from ...study import dictionary
from .answer import Answer
from .months import lost_of

JSON, CSV, PNG = "life.json", "life.csv", "life.png"
COLUMNS: dictionary.Columns = {
    **dictionary.TRIAL,
    "day": ("days", "the measured day, counted from 0"),
    "from_day": ("days", "from when on it stands for the time until the next measured day"),
    "fish": ("", "fish that the stock list describes alike"),
    "there": ("fish", "how many of them were in the tank on that day"),
    "adult": ("fish", "how many of these were mature"),
    "length_tl_cm": ("cm", "their mean total length"),
    "condition": ("", "what they have got to eat of late, mean: 0 nothing, 1 their share"),
    "lost_share_of_free_swimming_if_left_alone": dictionary.LOST,
    "pinned": ("fish", "how many of them were pinned to one place on that day"),
}


def whole_json(found: Answer, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy life --json`` prints; ``options``: what changed the scenario, as typed."""
    plan = found.plan
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "title": plan.scenario.title,
        "question": plan.scenario.question,
        "months_lived": plan.months,
        "days_lived": plan.days,
        "for": {
            "name": found.worst.name,
            "fish": list(found.worst.labels),
            "why": "as you asked" if plan.asked else "the worst off",
        },
        "lost_over_all_months": plain(found.lost),
        "months": [
            {
                "month": one.number,
                "lost_share_of_free_swimming_if_left_alone": plain(one.lost),
                "share_of_tanks_with_a_pinned_fish": plain(one.pinned),
            }
            for one in found.months
        ],
        "first_month": found.first,
        "worst_month": found.turn,
        "lost_more_in_the_worst_month_than_in_the_first": plain(found.turned),
        "lost_more_in_the_last_month_than_in_the_first": plain(found.moved),
        "way": found.way,
        "chases_they_get": plain(found.givers),
        "lost_more_with_the_dated_changes": plain(found.dated),
        "sizes": plain(found.sizes),
        "trials": len(found.lives),
        "trials_asked": plan.trials,
        "simulated_tanks": found.tanks,
        "fixed": plan.fixed,
        "stopped": found.stopped,
        "recipe": recipe(plan.scenario),
    }


def rows_text(found: Answer) -> str:
    """One line a simulated tank, measured day and kind of fish that is in the tank then."""

    def rows() -> Iterator[Sequence[object]]:
        for life in found.lives:
            for k, row in enumerate(life.rows):
                one_day = np.zeros((1, len(life.rows)))
                one_day[0, k] = 1.0
                for kind in found.plan.kinds:
                    who = row.of(kind.labels)
                    if not who.any():
                        continue
                    yield (
                        *(life.trial, life.draw, int(life.day[k]), int(life.since[k]), kind.name),
                        *(int(who.sum()), int(life.adult[k, who].sum())),
                        float(life.length_cm[k, who].mean()),
                        float(life.condition[k, who].mean()),
                        float(lost_of(life, kind.labels, one_day)[0]),
                        int(row.parts[PINNED_FISH].top[who].sum()),
                    )

    return dictionary.csv_text(COLUMNS, rows())
