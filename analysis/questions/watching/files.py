"""The overlay for programs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from ...document.files import plain
from ...statistics.intervals import CONFIDENCE
from .agree import LEVEL, MIDDLE, Compared
from .overlay import Overlay
from .tally import Watch


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
        "watches": [_watch(one) for one in tally.watches],
        "simulated_tanks": found.tanks,
        "asked": found.asked,
        "windows": found.windows,
        "acts": found.acts,
        "rows": [_row(one) for one in found.rows],
        "ranks": plain(found.ranks),
        "scale": plain(found.scale),
        "no_scale": found.no_scale,
    }
    cleaned = plain(told)
    assert isinstance(cleaned, dict)
    return cleaned


def _watch(one: Watch) -> dict[str, object]:
    told = {"watch": one.name, **asdict(one), "watched": one.watched and one.watched.name}
    del told["name"]
    return told


def _row(one: Compared) -> dict[str, object]:
    told = plain(one)
    assert isinstance(told, dict)
    told["row"] = {"measure": one.row.measure, "fish": one.row.name, "labels": sorted(one.row.labels)}
    judged = bool(np.isfinite(one.value) and np.isfinite(one.p_any))
    return {**told, "outside": judged and one.outside, "differs": judged and one.differs}
