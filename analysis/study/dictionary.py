"""Data dictionaries: what each column of the CSV files of a result folder means, and in which unit."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from .layout import CHASES, DRAWS, EVENTS, FISH, HOURS, SUMMARY

if TYPE_CHECKING:
    import pandas as pd

DICTIONARY = "dictionary.csv"
Columns = Mapping[str, tuple[str, str]]  # column -> unit, meaning

TRIAL = {
    "trial": ("", "number of the simulated tank, counted from 0: trial 7 is simulated tank 8 of the screens"),
    "guess": ("", "number of the draw of what nobody has measured; see draws.csv of a run"),
}
RECEIVED = (
    "chases per fish and lit hour, model scale",
    "chases received in the measured time; the scale of the model is its own until a tally sets it",
)
LOST = ("share", "of the free swimming it would have if left alone, what is lost; below 0: it swims more")
HIDDEN = ("share of lit time", "in a shelter, pressed into a corner or under the surface")
_RUN = {"arm": ("", "set-up: as stocked, own kind (the watched species alone) or left alone"), **TRIAL}
_IN_ARM = {name: _RUN[name] for name in ("arm", "trial")}
_ACTS = {
    "chases": ("acts", "chases in the measured time"),
    "bites": ("acts", "bites in the measured time"),
    "displays": ("acts", "displays without a chase in the measured time"),
    "contests_won": ("contests", "contests decided in the measured time"),
}
_FISH = {"fish": ("", "label of the fish: species, sex and number, as in the stock list")}
_LIT = ("s", "lit time measured while the fish was in the tank")
_HIDDEN_S = ("s", "lit time in a shelter, pressed into a corner or under the surface")

RUN_COLUMNS: dict[str, Columns] = {
    SUMMARY: {
        **_RUN,
        "fish": ("fish", "how many were in the tank for some of the measured time"),
        "lit_fish_hours": ("h", "lit time measured, summed over the fish"),
        **_ACTS,
        "chases_per_fish_and_lit_hour_model_scale": RECEIVED,
        "hidden_share_of_lit_time": HIDDEN,
        "meals_missed_share": ("share of meals", "meals of which a fish got nothing, over all fish"),
    },
    FISH: {
        **_IN_ARM,
        **_FISH,
        "species": ("", "species of the fish"),
        "sex": ("male or female", "what an unsexed fish turned out to be in this simulated tank"),
        "adult": ("yes or no", "whether it is long enough to be mature"),
        "holding": ("yes or no", "whether it carries eggs"),
        "length_tl_cm": ("cm", "total length"),
        "lit_s": _LIT,
        "hidden_s": _HIDDEN_S,
        "free_s": ("s", "lit time swimming free: neither hidden nor in flight nor in a contest"),
        "meals": ("meals", "offered while it was in the tank"),
        "meals_missed": ("meals", "of which it got nothing"),
        "food_portions": ("portions", "eaten"),
        "chases_received": ("acts", "chases received in the measured time"),
        "chases_given": ("acts", "chases given in the measured time"),
    },
    CHASES: {
        **_IN_ARM,
        "by_fish": ("", "label of the fish that acts; of contests the winner"),
        "on_fish": ("", "label of the fish that it acts on"),
        **_ACTS,
    },
    HOURS: {
        **_IN_ARM,
        **_FISH,
        "measured_hour": ("", "number of the measured lit hour, counted from 1"),
        "largest_share_in_one_place": ("share of the hour", "the most that lay within 15 cm of one cell"),
        "free_outside_place_s": ("s", "swimming free outside that place"),
        "holding_territory_s": ("s", "holding a territory"),
        "chases_received": ("acts", "chases received in this hour"),
        "hidden_s": _HIDDEN_S,
        "lit_s": ("s", "lit time of this hour in the tank: 3600 unless the fish comes or goes"),
    },
    DRAWS: {
        "guess": TRIAL["guess"],
        "species": ("", "whose trait it is; empty for a parameter of the rules"),
        "name": ("", "name of the trait or parameter; rockshy sources says what each rests on"),
        "unit": ("", "unit of the value; empty where it has none"),
        "value": ("see unit", "what the simulated tanks of this guess were run with"),
    },
    EVENTS: {
        "day": ("days", "when it happens, from the first morning"),
        "event": ("", "what happens"),
        "fish": ("", "label of the fish it happens to, a row each; empty where it happens to the tank"),
    },
}


def dictionary_text(files: Mapping[str, Columns]) -> str:
    """The text of ``dictionary.csv``: file, column, unit and meaning.

    Parameters
    ----------
    files : the columns of each CSV file by its name.
    """
    rows = ([name, column, *told] for name, columns in files.items() for column, told in columns.items())
    return csv_text(("file", "column", "unit", "meaning"), rows)


def csv_text(columns: Iterable[str], rows: Iterable[Sequence[object]]) -> str:
    """The text of a CSV file; what is not known, nan, is an empty cell."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow(["" if isinstance(cell, float) and math.isnan(cell) else cell for cell in row])
    return text.getvalue()


def frame_of(text: str, columns: Columns) -> pd.DataFrame:
    """The text of a CSV file as a table, units and meanings of its columns in ``attrs``."""
    import pandas as pd

    frame = pd.read_csv(io.StringIO(text), keep_default_na=False, na_values=["", "nan"])
    frame.attrs["units"] = {name: columns[name][0] for name in frame.columns}
    frame.attrs["meanings"] = {name: columns[name][1] for name in frame.columns}
    return frame
