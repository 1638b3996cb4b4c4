"""How much rock as files: the answer for programs, the rows of all simulated tanks, both in a folder."""

from __future__ import annotations

import csv
import io
import math
import os
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path

from ..intervals import CONFIDENCE, GUESS_PERCENTILES, Count
from .amount import Amount
from .grid import Grid
from .seen import Seen
from .sweep import RockAnswer

JSON, CSV, PNG = "rock.json", "rock.csv", "rock.png"
COLUMNS = (
    "amount",
    "{axes}",
    "trial",
    "guess",
    "pinned",
    "chases_received_per_fish_and_lit_hour_model_scale",
    "hidden_share_of_lit_time",
    "free_share_of_lit_time",
    "bites_received_per_fish_and_lit_hour_model_scale",
)
UNITS = {"cover": "cover_share_of_floor", "height": "height_cm", "piles": "piles"}


def rock_json(
    answer: RockAnswer, grid: Grid, amount: Amount | None, *, place: int | None
) -> dict[str, object]:
    """The answer as plain dicts, lists, texts and numbers; what could not be told is None, never nan.

    Places of amounts count from 0 in ``amounts``; a least amount at ``len(places)`` of its line is none.
    """
    told = plain(answer)
    assert isinstance(told, dict)
    return {
        "confidence": CONFIDENCE,
        "guess_percentiles": list(GUESS_PERCENTILES),
        "varied": [axis.name for axis in grid.axes],
        **told,
        "weighed_amount": place,
        "amount": plain(amount),
    }


def rows_text(rows: Iterable[Seen], grid: Grid) -> str:
    """One line a simulated tank, in order of amounts and trials."""
    axes = [UNITS[axis.name] for axis in grid.axes]
    header = [name for column in COLUMNS for name in (axes if column == "{axes}" else [column])]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    for row in sorted(rows, key=lambda row: (row.which, row.trial)):
        values = grid.points[row.which].values
        figures = (row.received, row.hidden, row.free, row.bites)
        writer.writerow([row.which, *values, row.trial, row.guess, _pinned(row.pinned), *figures])
    return text.getvalue()


def write_text(folder: str | os.PathLike[str], name: str, text: str) -> None:
    """A file that is either the old one or the new one, never half of it.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    place = Path(folder) / name
    temporary = place.with_name(f".{name}.tmp")
    temporary.write_text(text, encoding="utf-8", newline="\n")
    temporary.replace(place)


def plain(value: object) -> object:
    """Dataclasses as dicts, tuples as lists, infinities and nan as None."""
    if is_dataclass(value) and not isinstance(value, type):
        tree = {part.name: plain(getattr(value, part.name)) for part in fields(value)}
        if isinstance(value, Count):
            tree["share"] = plain(value.share)
        return tree
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _pinned(value: float) -> str:
    return "" if math.isnan(value) else "yes" if value > 0 else "no"
