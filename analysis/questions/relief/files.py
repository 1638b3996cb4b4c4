"""What helps as files: the answer for programs, and a row for each change and simulated tank."""

from __future__ import annotations

from collections.abc import Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...statistics.intervals import CONFIDENCE, DRAW_PERCENTILES
from ...study import dictionary
from .answer import Relief, Tried
from .costs import cost_words
from .design import GOALS
from .others import Other
from .watch import Watch

JSON, CSV = "relief.json", "relief.csv"
UNITS = {
    "lost": "lost_share_of_free_swimming_if_left_alone",
    "received": "chases_received_per_fish_and_lit_hour_model_scale",
    "hidden": "hidden_share_of_lit_time",
    "pinned_fish": "pinned_share_of_fish",
}
_GOALS = {
    "lost": dictionary.LOST,
    "received": dictionary.RECEIVED,
    "hidden": dictionary.HIDDEN,
    "pinned_fish": ("share of fish", "of the fish that count, those that are pinned to one place"),
}
COLUMNS: dictionary.Columns = {
    "change": ("", "what was changed; the figures are of the fish that are to be helped"),
    **dictionary.TRIAL,
    "fresh": ("yes or no", "whether the tank confirms the change and did not sift it"),
    **{
        f"{UNITS[goal]}{end}": (_GOALS[goal][0], f"{which}: {_GOALS[goal][1]}")
        for goal in GOALS
        for end, which in (("", "with the change"), ("_as_it_is", "in the tank as it is"))
    },
}


def whole_json(found: Relief, watch: Watch, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy relief --json`` prints; ``options``: what changed the scenario, as typed.

    Differences are with the change less without it. The interval of "lost" holds for ``comparisons``
    changes at once; those of the other goals are for one change.
    """
    plan = found.plan
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "guess_percentiles": list(DRAW_PERCENTILES),
        "title": plan.scenario.title,
        "question": plan.scenario.question,
        "for": {"name": found.whom.name, "fish": list(found.whom.labels), "why": found.whom.why},
        "as_it_is": plain(found.base),
        "simulated_tanks": found.tanks,
        "sifted_in": [2 * plan.block, plan.block],
        "fresh": len(plan.fresh),
        "fixed": plan.fixed,
        "stopped": found.stopped,
        "changes": [_change(one) for one in found.tried],
        "left_out": plain(found.left_out),
        "watch": plain(watch),
        "recipe": recipe(plan.scenario),
    }


def _change(one: Tried) -> dict[str, object]:
    return {
        "name": one.change.name,
        "verdict": one.verdict,
        "note": one.change.note,
        "takes": cost_words(one.change.cost),
        "cost": plain(one.change.cost),
        "fish_out": list(one.change.out),
        "confirmed_on_fresh_trials": one.confirmed,
        "comparisons": one.comparisons,
        "trials": one.trials,
        "figures": plain(one.figures),
        "others": [_other(other) for other in one.others],
        "out_of_the_tank_share_of_time": plain(one.away),
        "fish_bought_lost": plain(one.added_lost),
        "out_range": plain(one.out_range),
    }


def _other(other: Other) -> dict[str, object]:
    told = plain(other)
    assert isinstance(told, dict)
    return {**told, "worse_off": other.is_worse}


def rows_text(found: Relief) -> str:
    """One line a change and simulated tank: each goal with the change and as the tank is."""
    rows = (
        (
            one.change.name,
            row.trial,
            row.draw,
            "yes" if row.fresh else "no",
            *(value for goal in GOALS for value in (row.after[goal], row.before[goal])),
        )
        for one in found.tried
        for row in one.rows
    )
    return dictionary.csv_text(COLUMNS, rows)
