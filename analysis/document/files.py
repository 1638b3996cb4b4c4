"""Answers as files: dataclasses as what JSON can say."""

from __future__ import annotations

import base64
import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass

from ..measures.rates import Trend
from ..statistics.intervals import Count, Estimate


def policy_source(text: str) -> str:
    """A script or style that a page may use, as its Content-Security-Policy names it."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode('ascii')}'"


def json_text(told: Mapping[str, object]) -> str:
    """The text of a JSON file; raises ValueError on nan, which :func:`plain` makes None."""
    return json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False)


def table_text(table: Mapping[str, object]) -> str:
    """The text of a JSON file with each of the ``rows`` on a line of its own; raises ValueError on nan."""
    rows = table["rows"]
    assert isinstance(rows, Sequence)
    told = [f"{_line(name)}: {_line(value)}" for name, value in table.items() if name != "rows"]
    return ",\n".join(["{" + told[0], *told[1:], '"rows": [\n' + ",\n".join(map(_line, rows)) + "]}\n"])


def _line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def plain(value: object) -> object:
    """Dataclasses as dicts, tuples as lists, infinities and nan as None."""
    if is_dataclass(value) and not isinstance(value, type):
        tree = {part.name: plain(getattr(value, part.name)) for part in fields(value)}
        if isinstance(value, Estimate):
            tree["ignorance"] = plain(value.ignorance)
        if isinstance(value, Count):
            tree["share"] = plain(value.share)
        if isinstance(value, Trend):
            tree["direction"] = value.direction
        return tree
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
