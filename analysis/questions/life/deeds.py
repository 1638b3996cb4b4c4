"""What rules of thumb did in the lives, and which broods there were: how often, in how many tanks, when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ....sim.run.done import AGAIN, AWAY, DEEDS, FRY_LEFT, FRY_TAKEN, HOLDS
from ....sim.scenario.timeline import Holding, Spawning, WhenSeen
from ...document import Section, section
from ...document.plain import capital, listed, many, tenths
from ...study import dictionary
from .answer import Answer
from .design import Life

CSV = "deeds.csv"
COLUMNS: dictionary.Columns = {
    **dictionary.TRIAL,
    "day": ("days", "when, counted from 0"),
    "deed": ("", f"what was done or came to be: {listed(DEEDS)}"),
    "fish": ("", "to whom"),
    "rule": ("", "which rule of thumb of the file did it, counted from 1; empty: none"),
    "number": ("", "of fry, else 1"),
}
MOST_NAMED = 3


@dataclass(frozen=True)
class Did:
    """What one rule did: in how many tanks it took somebody out, the middle of the first days, how often."""

    words: str
    tanks: int
    first: float  # d; nan: nowhere
    times: float  # a tank
    whom: tuple[tuple[str, int], ...]  # who was taken out, in how many tanks, most first


def rules_of(found: Answer) -> tuple[Did, ...]:
    """What each rule of thumb did."""
    rules = found.plan.scenario.timeline.of(WhenSeen)
    return tuple(_did(one.words(), found.lives, number) for number, one in enumerate(rules))


def _did(words: str, lives: Sequence[Life], number: int) -> Did:
    own = [[one for one in life.done if one.by == number and one.deed in AWAY] for life in lives]
    firsts = [min(one.day for one in done) for done in own if done]
    tanks: dict[str, int] = {}
    for done in own:
        for label in {one.label for one in done}:
            tanks[label] = tanks.get(label, 0) + 1
    most = sorted(tanks.items(), key=lambda one: (-one[1], one[0]))
    first = float(np.median(firsts)) if firsts else float("nan")
    return Did(words, len(firsts), first, sum(map(len, own)) / max(len(lives), 1), tuple(most))


def rules_said(found: Answer) -> Section | None:
    """Each rule with what it did, and the broods; None where there is neither."""
    lines = [_said(one, len(found.lives)) for one in rules_of(found)]
    events = found.plan.scenario.timeline.events
    if any(isinstance(one, Holding | Spawning) for one in events):
        lines.append(_broods(found.lives))
    return section("What was done as it was seen", *lines) if lines else None


def _said(did: Did, lives: int) -> str:
    rule = capital(did.words)
    if not did.tanks:
        return f"{rule}: never, in {many(lives, 'tank')}."
    named = [f"{label} in {tanks}" for label, tanks in did.whom[:MOST_NAMED]]
    more = len(did.whom) - len(named)
    others = f" and {many(more, 'other')}" if more > 0 else ""
    return (
        f"{rule}: in {did.tanks} of {many(lives, 'tank')}, first about day {did.first:.0f}, "
        f"{tenths(did.times)} times a tank. Most often {listed(named)}{others}."
    )


def _broods(lives: Sequence[Life]) -> str:
    def each(deed: int) -> str:
        """Of a tank; fry by their number, else how often."""
        sums = [sum(one.number for one in life.done if one.deed == deed) for life in lives]
        return tenths(float(np.mean(sums)))

    return (
        f"Broods: {each(HOLDS)} a tank; {each(FRY_LEFT)} fry a tank were let go in it and {each(FRY_TAKEN)} "
        "apart. Nothing depends on fry: how many a brood has is a guess, and what becomes of them is not "
        "simulated."
    )


def deeds_text(found: Answer) -> str:
    """One line a simulated tank and deed."""

    def rows() -> Iterator[Sequence[object]]:
        for life in found.lives:
            for one in sorted(life.done, key=lambda one: one.day):
                rule = one.by + 1 if one.deed in (*AWAY, *AGAIN) else ""
                yield life.trial, life.draw, one.day, DEEDS[one.deed], one.label, rule, one.number

    return dictionary.csv_text(COLUMNS, rows())
