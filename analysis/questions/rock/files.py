"""How much rock as files: the answer for programs, the rows of all simulated tanks, both in a folder."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ....sim.run.trials import recipe
from ...document.files import plain
from ...measures.registry import BITES, FREE, HIDDEN, PINNED, RECEIVED
from ...measures.row import TankRow, species_value
from ...statistics.intervals import CONFIDENCE, DRAW_PERCENTILES
from ...study import dictionary
from .amount import Amount
from .answer import RockAnswer
from .design import Plan
from .grid import Grid

JSON, CSV, PNG = "rock.json", "rock.csv", "rock.png"
WRITTEN = (PINNED, RECEIVED, HIDDEN, FREE, BITES)  # the last of the columns
UNITS = {"cover": "cover_share_of_floor", "height": "height_cm", "piles": "piles"}
_AXES = {
    "cover": ("share of the floor", "under rock"),
    "height": ("cm", "height of the rock"),
    "piles": ("piles", "in how many piles the rock stands"),
}


def columns_of(grid: Grid) -> dictionary.Columns:
    """The columns of ``rock.csv`` with their units and meanings; those of the axes are what was varied."""
    return {
        "amount": ("", "number of the amount of rock, counted from 0"),
        **{UNITS[axis.name]: _AXES[axis.name] for axis in grid.axes},
        **dictionary.TRIAL,
        "pinned": ("yes or no", "whether enough fish of the species that count are pinned to one place"),
        "chases_received_per_fish_and_lit_hour_model_scale": dictionary.RECEIVED,
        "hidden_share_of_lit_time": dictionary.HIDDEN,
        "free_share_of_lit_time": (
            "share of lit time",
            "swimming free: neither hidden nor in flight nor in a contest",
        ),
        "bites_received_per_fish_and_lit_hour_model_scale": (
            "bites per fish and lit hour, model scale",
            "bites received in the measured time",
        ),
    }


def whole_json(
    answer: RockAnswer, plan: Plan, amount: Amount | None, *, place: int | None, options: Sequence[str] = ()
) -> dict[str, object]:
    """What ``rockshy rock --json`` prints; ``options``: what changed the scenario, as typed.

    Places of amounts count from 0 in ``amounts``; a least amount at ``len(places)`` of its line is none.
    """
    told = plain(answer)
    assert isinstance(told, dict)
    for line in told["lines"]:
        del line["minutes_more"]  # of this computer: all else is the same wherever it is run
    return {
        "options": list(options),
        "confidence": CONFIDENCE,
        "guess_percentiles": list(DRAW_PERCENTILES),
        "varied": [axis.name for axis in plan.grid.axes],
        **told,
        "weighed_amount": place,
        "amount": plain(amount),
        "recipe": recipe(plan.scenarios[0]) | {"trials": plan.trials},
    }


def rows_text(rows: Iterable[TankRow], grid: Grid, *, species: str) -> str:
    """One line a simulated tank, in order of amounts and trials."""

    def cells(row: TankRow) -> Sequence[object]:
        held, *figures = (species_value(row, measure=name, species=species) for name in WRITTEN)
        pinned = "" if math.isnan(held) else "yes" if held > 0 else "no"
        return (row.which, *grid.points[row.which].values, row.trial, row.draw, pinned, *figures)

    ordered = sorted(rows, key=lambda row: (row.which, row.trial))
    return dictionary.csv_text(columns_of(grid), map(cells, ordered))
