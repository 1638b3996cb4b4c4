"""The front of plans: what its picture, its slide and the page show, out of ``best.json``.

The file alone is read, so that a slide can be made of a result folder long after.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ...document.plain import many, percent

HEADING = "Which of the fish I like can live together?"


@dataclass(frozen=True)
class Plan:
    """A plan that was tried, as a mark. ``number``: in the front, from 1; 0 for those that others beat."""

    number: int
    stock: str
    fish: int
    species: int
    kept: float
    low: float  # nan where it is not known
    high: float
    word: str


@dataclass(frozen=True)
class Front:
    """Everything that is shown.

    Attributes
    ----------
    plans : all that were tried, those of the front first and in its order.
    then : what no plan reached, and which limit stands in the way; "" where there is nothing to say.
    lines : the first lines of the answer, its question first.
    """

    title: str
    question: str
    plans: tuple[Plan, ...]
    tanks: int
    then: str
    lines: tuple[str, ...]

    @property
    def front(self) -> tuple[Plan, ...]:
        """Plans that no other beats in everything, the best for the worst-off first."""
        return tuple(one for one in self.plans if one.number)

    @property
    def there(self) -> int:
        """Fish that are in the tank already: those of a plan that are not bought."""
        first = self.plans[0]
        return first.fish - sum(map(int, re.findall(r" (\d+)[mf]\b", first.stock)))

    @property
    def said(self) -> str:
        """All of it in words."""
        plans = "; ".join(
            f"{one.number}. {one.stock}: {many(one.fish, 'fish', 'fish')}, {percent(one.kept)}"
            for one in self.front
        )
        return (
            "How much of their swimming about the worst-off fish of each plan keep, by how many fish there "
            f"are. Large marks with a number are plans that no other beats in everything: {plans}. Small "
            f"hollow marks are all others that were tried. {self.then}"
        ).strip()


def front_of(told: Mapping[str, Any]) -> Front:
    """Read what :func:`.files.whole_json` gives.

    Raises
    ------
    KeyError, TypeError, ValueError, IndexError
        When it is something else.
    """
    first = [_plan(one, number) for number, one in enumerate(told["front"], 1)]
    named = {one["plan"] for one in told["front"]}
    rest = [_plan(one, 0) for one in told["tried"] if one["plan"] not in named]
    lines = tuple(map(str, told["lines"]))
    return Front(
        title=str(told["title"]),
        question=lines[0],
        plans=(*first, *rest),
        tanks=int(told["simulated_tanks"]),
        then=str(told["missed"]),
        lines=lines,
    )


def _plan(one: Mapping[str, Any], number: int) -> Plan:
    low, high = (math.nan if one["kept"][end] is None else float(one["kept"][end]) for end in ("low", "high"))
    kept = float(one["kept"]["value"])
    stock = str(one["briefly"])
    return Plan(number, stock, int(one["fish"]), int(one["species"]), kept, low, high, str(one["word"]))
