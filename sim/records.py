"""Record arrays from declarations: one compact array holds many properties, and compiled rules read it fast.

Rules get a handful of arrays instead of a hundred: passing a hundred to every small function was
measured to cost a hundred times the work of the rules themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True)
class Column:
    """Declaration of one property: dtype, unit, default, meaning."""

    dtype: str
    unit: str
    default: float
    meaning: str


def records(declared: Mapping[str, Column], shape: tuple[int, ...]) -> Any:
    """A record array with every field at its default."""
    dtype = np.dtype([(name, column.dtype) for name, column in declared.items()], align=True)
    array = np.zeros(shape, dtype).view(np.recarray)
    for name, column in declared.items():
        array[name] = column.default
    return array
