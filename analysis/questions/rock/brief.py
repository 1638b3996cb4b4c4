"""The first lines of how much rock."""

from __future__ import annotations

import math

from ...document.brief import Brief
from ...document.plain import called, number, percent, span
from ...evidence.doubts import flaw
from .answer import AmountFigures, RockAnswer, least_of_use
from .grid import Grid
from .least import FOUND, NONE_DOES
from .words import one_in


def brief_of(answer: RockAnswer, grid: Grid) -> Brief:
    """Whether rock is the question at all, the least amount that does, and where more stops mattering."""
    line = answer.lines[0]
    own = next((one for one in answer.amounts if one.own), None)
    who = called(answer.species, answer.species)
    return Brief(
        question=f"How much rock is enough for {who}?",
        verdict=f"{_verdict(answer, grid, own)} {answer.beside}".strip(),
        beside=_about(answer, grid, line.places),
        then=_bites(answer, grid, line.places),
        sure=_sure(answer.amounts[least_of_use(answer, line.places)]),
        flaw=flaw("rock", species=answer.species),
    )


def _verdict(answer: RockAnswer, grid: Grid, own: AmountFigures | None) -> str:
    line, level = answer.lines[0], one_in(answer.level)
    if own is not None and own.pinned.of and own.pinned.share <= answer.level:
        return _empty(answer, own)
    last = line.places[-1]
    most = f"with {grid.along(last)} they are pinned in {_tanks(answer.amounts[last])}"
    if line.found is not None and line.least.verdict != NONE_DOES:
        least = (
            f"{grid.along(line.found)} is the least tried at which they are pinned in no more than {level}"
        )
        least += f" ({_tanks(answer.amounts[line.found])})"
        return f"{least}." if line.least.verdict == FOUND else f"So far {least}; that may still be luck."
    if line.least.verdict == NONE_DOES:
        return f"No amount tried is enough: {most}, and no more than {level} is wanted."
    return f"So far no amount tried is clearly enough: {most}, and no more than {level} is wanted."


def _empty(answer: RockAnswer, own: AmountFigures) -> str:
    """That more rock answers no question of pinning here, with what is asked about the rest below."""
    worst = max((one for one in answer.amounts if one.pinned.of), key=lambda one: one.pinned.share)
    anywhere = ", and hardly more with any amount tried" if worst.pinned.share <= answer.level else ""
    return (
        f"Being pinned is not the question here: with your {own.said} they are pinned in {_tanks(own)} "
        f"simulated tanks{anywhere}."
    )


def _tanks(one: AmountFigures) -> str:
    return f"{one.pinned.hits} of {one.pinned.of}"


def _about(answer: RockAnswer, grid: Grid, places: tuple[int, ...]) -> str:
    """What the amounts do to swimming about, and from which on more hardly adds."""
    free = [answer.amounts[place].free.value for place in places]
    enough = least_of_use(answer, places)
    bare = f"{percent(free[0])} of the day with {grid.along(places[0])}"
    if enough == places[0]:
        most = percent(max((value for value in free if math.isfinite(value)), default=free[0]))
        return f"Swimming about: {bare}, {most} at most with more; rock hardly matters for it here."
    best = f"{percent(answer.amounts[enough].free.value)} with {grid.along(enough)}"
    return f"Swimming about: {bare}, {best}; more hardly adds."


def _bites(answer: RockAnswer, grid: Grid, places: tuple[int, ...]) -> str:
    first, last = (answer.amounts[place].bites.value for place in (places[0], places[-1]))
    return (
        f"Bites an hour in the model: {number(first)} with {grid.along(places[0])}, {number(last)} with "
        f"{grid.along(places[-1])}."
    )


def _sure(one: AmountFigures) -> str:
    if not math.isfinite(one.free.low):
        return ""
    luck = span(one.free.low, one.free.high, percent)
    wide = span(one.free.guess_low, one.free.guess_high, percent)
    unknown = f", {wide} by what nobody has measured" if wide != "-" else ""
    return f"How sure: the {percent(one.free.value)} could be {luck} by the luck of these runs{unknown}."
