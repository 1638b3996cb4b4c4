"""What was done, or came to be, in one simulated tank besides what the file dates: when, to whom, by what."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

TAKEN_OUT, PUT_BACK, HOLDS, FRY_LEFT, FRY_TAKEN, BOXED, LET_OUT = range(7)
DEEDS = (
    *("taken out", "put back", "holding eggs", "fry let go in the tank", "fry let go apart"),
    *("put into a box", "let out of its box"),
)
AWAY, AGAIN = (TAKEN_OUT, BOXED), (PUT_BACK, LET_OUT)  # what rules of thumb do, and what ends it
BY_ITSELF = -1


@dataclass(frozen=True)
class Done:
    """One thing that happened.

    Attributes
    ----------
    day : from the first morning.
    deed : place in :data:`DEEDS`.
    label : of the fish.
    by : which rule of thumb of the scenario's timeline did it, in its order; BY_ITSELF for none.
    number : of fry, else 1.
    """

    day: float
    deed: int
    label: str
    by: int = BY_ITSELF
    number: int = 1

    def __str__(self) -> str:
        return f"day {self.day:g}: {self.label} {DEEDS[self.deed]}"


def column_of(done: Iterable[Done], places: Sequence[str]) -> NDArray[np.float64]:
    """[k, 5] all of it as numbers: day, deed, place of the fish among ``places``, by, number."""
    rows = [(one.day, one.deed, places.index(one.label), one.by, one.number) for one in done]
    return np.array(rows, np.float64).reshape(-1, 5)


def done_in(column: NDArray[np.float64], places: Sequence[str]) -> tuple[Done, ...]:
    """The other way round."""
    return tuple(
        Done(float(day), int(deed), places[int(i)], int(by), int(number))
        for day, deed, i, by, number in np.asarray(column)
    )
