"""Record arrays from declarations: one compact array holds many properties, and compiled rules read it fast.

Rules get a handful of arrays instead of a hundred: passing a hundred to every small function was
measured to cost a hundred times the work of the rules themselves. A property is declared once, in a
class of columns; the array, the docs table and the types that mypy checks all come from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

R = TypeVar("R", bound="Records")


@dataclass(frozen=True)
class Column:
    """Declaration of one property: dtype, unit, default, meaning."""

    dtype: str
    unit: str
    default: float
    meaning: str


def flag(meaning: str, *, default: bool = False) -> NDArray[np.bool_]:
    """Declare a property that is true or false; to mypy it is the array of its values."""
    return Column("?", "", default, meaning)  # type: ignore[return-value]


def whole(meaning: str, unit: str = "", *, default: int = 0, dtype: str = "i4") -> NDArray[np.integer[Any]]:
    """Declare a whole number."""
    return Column(dtype, unit, default, meaning)  # type: ignore[return-value]


def real(unit: str, meaning: str, *, default: float = 0) -> NDArray[np.float64]:
    """Declare a number."""
    return Column("f8", unit, default, meaning)  # type: ignore[return-value]


class Records:
    """A record array as mypy sees it: the columns a class below declares, and what any such array has."""

    if TYPE_CHECKING:
        dtype: np.dtype[Any]
        shape: tuple[int, ...]

        def __len__(self) -> int: ...
        def __getitem__(self, key: Any) -> Any: ...
        def __setitem__(self, key: Any, value: Any) -> None: ...


def columns_of(kind: type[Records]) -> Mapping[str, Column]:
    """The columns of a class by name, in the order in which they are declared."""
    return {name: value for name, value in vars(kind).items() if isinstance(value, Column)}


def records(kind: type[R], shape: tuple[int, ...]) -> R:
    """A record array with every field at its default."""
    declared = columns_of(kind)
    dtype = np.dtype([(name, column.dtype) for name, column in declared.items()], align=True)
    array: Any = np.zeros(shape, dtype).view(np.recarray)
    for name, column in declared.items():
        array[name] = column.default
    return array  # type: ignore[no-any-return]
