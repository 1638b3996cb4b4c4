"""Which fish belong in which tank as files: the answer for programs, and a row a plan, group and trial."""

from __future__ import annotations

from collections.abc import Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...statistics.intervals import CONFIDENCE, DRAW_PERCENTILES
from ...study import dictionary
from .answer import Placed, Placing
from .brief import brief_of, step_said
from .room import members

JSON, CSV, PNG = "place.json", "place.csv", "place.png"
COLUMNS: dictionary.Columns = {
    "plan": ("", "0: the room as it is; then the plans, the chosen one first"),
    "tank": ("", "name of the tank of the room"),
    "group": ("", "name of the group, or of the fish that stay in that tank"),
    **dictionary.TRIAL,
    "kept_share_of_free_swimming_if_left_alone": (
        "share",
        "of the free swimming they would have if left alone, what they keep; fresh simulated tanks alone",
    ),
}


def whole_json(found: Placing, *, options: Sequence[str] = ()) -> dict[str, object]:
    """What ``rockshy place --json`` prints; ``options``: what was typed instead of what the file says."""
    room = found.room
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "guess_percentiles": list(DRAW_PERCENTILES),
        "title": room.title,
        "question": room.question,
        "lines": list(brief_of(found).sentences),
        "taken": None if found.plan.taken is None else room.groups[found.plan.taken].name,
        "now": _placed(found, found.now),
        "plans": [_placed(found, one) for one in found.plans],
        "keep_apart": plain(found.apart),
        "one_move_each": [
            {
                "group": room.groups[one.group].name,
                "tank": room.tanks[one.tank].name,
                "kept": plain(one.kept),
                "worst_of_the_others_kept": plain(one.worst),
            }
            for one in found.tried
        ],
        "regression_error": list(found.errors),
        "settled": found.settled,
        "sets_allowed": found.possible,
        "sets_run": found.run,
        "simulated_tanks": found.tanks,
        "fresh": found.fresh,
        "order_over_weeks": plain(found.order),
        "stopped": found.stopped,
        "room": room.text,
        "recipe": recipe(found.plan.scenario),
    }


def _placed(found: Placing, one: Placed) -> dict[str, object]:
    room = found.room
    return {
        "tanks": {
            room.tanks[home.tank].name: [room.groups[g].name for g in members(home.who)] for home in one.homes
        },
        "rock": {
            room.tanks[home.tank].name: room.tanks[home.tank].layouts[home.layout].name
            for home in one.homes
            if home.layout
        },
        "keeps_every_limit": one.allowed,
        "moves": one.moves,
        "money": one.money,
        "bought": list(one.bought),
        "given_away": list(one.given),
        "chance_to_be_the_best": plain(one.chance),
        "worst_off_gain": plain(one.gain),
        "steps": plain(one.steps),
        "said": [step_said(step) for step in one.steps],
        "fares": [{**plain(fare._asdict()), "plight": fare.plight} for fare in one.fares],  # type: ignore[dict-item]
    }


def rows_text(found: Placing) -> str:
    """One line a plan, group and fresh trial."""
    return dictionary.csv_text(COLUMNS, found.rows)
