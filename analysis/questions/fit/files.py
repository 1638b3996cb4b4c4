"""A fit as files: the answer for programs, and a row for each figure of each group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...statistics.ridge import LEVEL
from ...study import dictionary
from .answer import Fit
from .design import MORE

JSON, CSV = "fit.json", "fit.csv"
UNITS = {
    LOST: "lost_share_of_free_swimming_if_left_alone",
    HIDDEN: "hidden_share_of_lit_time",
    RECEIVED: "chases_received_per_fish_and_lit_hour_model_scale",
    PINNED_FISH: "pinned_share_of_fish",
}
_WHEN = {
    "before": "over the simulated tanks, before the tally",
    "after": "for this tank, after the tally",
    "again": "over the tanks of the narrowed draws, simulated again",
}
COLUMNS: dictionary.Columns = {
    "group": ("", "the fish"),
    "figure": ("", "what it is, with its unit"),
    **{
        f"{when}_{end}": ("as the figure", f"{end} of the middle 90 of 100 {what}")
        for when, what in _WHEN.items()
        for end in ("low", "middle", "high")
    },
    "width_left": ("share", "width after the tally, of that before"),
    **{f"width_{more}_more": ("as the figure", f"width with {more} more such watches") for more in MORE},
}


def whole_json(found: Fit, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy fit --json`` prints; ``options``: what changed the scenario, as typed."""
    plan = found.plan
    return {
        "options": list(options),
        "level": LEVEL,
        "title": plan.scenario.title,
        "tally": plan.tally.name,
        "watches": len(plan.tally.watches),
        "minutes": plan.tally.minutes,
        "share_of_tanks_as_far_out": found.beyond,
        "outside": found.outside,
        "surely_outside": found.surely_outside,
        "figures": plain(found.said),
        "levels": [{**plain(one), "figure": UNITS[one.goal]} for one in found.levels],  # type: ignore[dict-item]
        "further_watches": list(MORE),
        "moved": plain(found.moves),
        "share_as_far_out_after": plain(found.beyond_again),
        "simulated_tanks": found.tanks,
        "stopped": found.stopped,
        "recipe": recipe(plan.scenario),
    }


def rows_text(found: Fit) -> str:
    """One line a group and figure."""

    def rows() -> Iterator[Sequence[object]]:
        for one in found.levels:
            yield (one.group, UNITS[one.goal], *one.before, *one.after, *one.again, one.left, *one.longer)

    return dictionary.csv_text(COLUMNS, rows())
