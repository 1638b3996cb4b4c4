"""Numbers kept small: ten thousand finished tanks fit into memory, and every bit of them comes back."""

from __future__ import annotations

import zlib
from collections.abc import Callable, ItemsView, Iterator, Mapping, ValuesView
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")
N = TypeVar("N", bound=np.generic)

_NARROW = (np.uint8, np.uint16, np.int32, np.float32)  # any two of them promote without loss


def narrowed(values: NDArray[Any]) -> NDArray[Any]:
    """The same numbers in the narrowest type that gives every bit of them back."""
    for kind in _NARROW:
        if np.dtype(kind).itemsize >= values.itemsize:
            continue
        with np.errstate(invalid="ignore", over="ignore"):
            small = values.astype(kind)
        if small.astype(values.dtype).tobytes() == values.tobytes():  # so that -0.0 stays apart from 0.0
            return small
    return values


def with_row(rows: NDArray[Any] | None, place: int, values: NDArray[Any], *, among: int) -> NDArray[Any]:
    """Put the numbers of one trial among those of ``among`` trials, all of them no wider than they need be.

    ``rows``: what the last call returned, whose place it takes; None before the first row.
    """
    small = narrowed(values) if among > 1 else values  # a column narrows what it is given
    if rows is None:
        rows = np.zeros((among, *small.shape), small.dtype)
    rows = rows.astype(np.promote_types(rows.dtype, small.dtype), copy=False)
    rows[place] = small
    return rows


class Column(Generic[N]):
    """A field of a dataclass: an array kept narrow, read in its own width as a copy that is read-only."""

    def __init__(self, kind: type[N]) -> None:
        self._kind = np.dtype(kind)

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    def __get__(self, holder: Any, owner: type | None = None) -> NDArray[N]:
        if holder is None:
            raise AttributeError(self._name)  # tells the dataclass that there is no default
        wide: NDArray[N] = holder.__dict__[self._name].astype(self._kind, copy=False).view()
        wide.flags.writeable = False
        return wide

    def __set__(self, holder: Any, values: NDArray[Any]) -> None:
        if not np.can_cast(values.dtype, self._kind, "same_kind"):
            raise TypeError(f"{self._name} is of {values.dtype}; use {self._kind}")
        holder.__dict__[self._name] = narrowed(values)


class ReadWhole(Mapping[str, Any]):
    """Named arrays that lie elsewhere and are all read whenever one is asked for; ``items`` reads once."""

    def __init__(self, read: Callable[[], Mapping[str, Any]]) -> None:
        self._read = read

    def __getitem__(self, name: str) -> Any:
        return self._read()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._read())

    def __len__(self) -> int:
        return len(self._read())

    def items(self) -> ItemsView[str, Any]:
        return self._read().items()

    def values(self) -> ValuesView[Any]:
        return self._read().values()


@dataclass(frozen=True)
class _Compressed:
    """Arrays of plain numbers as bytes; a call gives them back."""

    layout: tuple[tuple[str, str, tuple[int, ...]], ...]
    numbers: bytes

    def __call__(self) -> dict[str, NDArray[Any]]:
        raw, at = zlib.decompress(self.numbers), 0
        columns = {}
        for name, kind, shape in self.layout:
            columns[name] = np.ndarray(shape, np.dtype(kind), raw, at).copy()
            at += columns[name].nbytes
        return columns


def packed(columns: Mapping[str, NDArray[Any]]) -> ReadWhole:
    """The same arrays, compressed until they are read."""
    layout = tuple((name, one.dtype.str, one.shape) for name, one in columns.items())
    numbers = zlib.compress(b"".join(one.tobytes() for one in columns.values()), 1)
    return ReadWhole(_Compressed(shared(layout), numbers))


@lru_cache(maxsize=256)
def shared(value: T) -> T:
    """The first value that equalled this one, so that what every trial repeats is kept once."""
    return value
