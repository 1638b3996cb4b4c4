"""The overlay for programs."""

from __future__ import annotations

from typing import Any

import numpy as np

from ...document.files import plain
from ...statistics.intervals import CONFIDENCE
from .agree import LEVEL, MIDDLE, Compared
from .overlay import Overlay
from .scale import as_dict


def overlay_json(found: Overlay) -> dict[str, object]:
    """Everything of an overlay as plain dicts, lists, texts and numbers; what could not be told is None.

    Rates are acts an hour of all fish of a row together, on the model's own scale.
    """
    tally = found.tally
    told: dict[str, Any] = {
        "confidence": CONFIDENCE,
        "level": LEVEL,
        "middle_percentiles": list(MIDDLE),
        "title": found.title,
        "tally": tally.name,
        "watches": [
            {
                "watch": one.name,
                "minutes": one.minutes,
                "watched": None if one.watched is None else one.watched.name,
                "date": one.date,
                "start": one.start,
                "note": one.note,
            }
            for one in tally.watches
        ],
        "simulated_tanks": found.tanks,
        "asked": found.asked,
        "windows": found.windows,
        "acts": found.acts,
        "rows": [_row(one) for one in found.rows],
        "ranks": plain(found.ranks),
        "scale": None if found.scale is None else as_dict(found.scale),
        "no_scale": found.no_scale,
    }
    cleaned = plain(told)
    assert isinstance(cleaned, dict)
    return cleaned


def _row(one: Compared) -> dict[str, object]:
    told = plain(one)
    assert isinstance(told, dict)
    told["row"] = {"measure": one.row.measure, "fish": one.row.name, "labels": sorted(one.row.labels)}
    judged = bool(np.isfinite(one.value) and np.isfinite(one.p_any))
    return {**told, "outside": judged and one.outside, "differs": judged and one.differs}
