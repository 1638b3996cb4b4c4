"""What the line and the map of a sweep over rock share: the question, and the answer in a short sentence."""

from __future__ import annotations

from ..questions.rock.answer import Line, RockAnswer
from ..questions.rock.grid import Grid, is_bare
from ..questions.rock.least import FOUND, NONE_DOES
from ..questions.rock.words import one_in
from .look import short_name
from .projector import ProjectorPage


def page_of(answer: RockAnswer) -> ProjectorPage:
    """A page with the question: the genus as a letter or without "seldom" where it is too long."""
    names = (answer.species, short_name(answer.species))
    questions = [f"How much rock until {name} is seldom pinned?" for name in names]
    return ProjectorPage(*questions, f"How much rock for {answer.species}?", below=answer.title)


def told(answer: RockAnswer, grid: Grid, line: Line) -> str:
    """The answer of one line of amounts."""
    wanted = f"at most {one_in(answer.level)}"
    if line.least.verdict == NONE_DOES:
        return f"No amount tried keeps it, with every larger one, to {wanted}.{_alone(grid, line)}"
    if line.found is None:
        return f"Cannot tell yet whether any amount keeps it to {wanted}."
    where = "At every amount tried" if line.least.place == 0 else f"From {grid.short(line.found)} on"
    if line.least.verdict == FOUND:
        return f"{where} it was pinned in {wanted}."
    return f"Cannot tell yet: so far, {where[:1].lower()}{where[1:]}, it was pinned in {wanted}."


def _alone(grid: Grid, line: Line) -> str:
    """Amounts that are good enough each by itself, where larger ones are not."""
    within = [place for place in line.within if not is_bare(grid.points[place].scenario.rock)]
    if within:
        named = ", ".join(grid.short(place) for place in within)
        return f" Taken alone {named} would, but with more it is pinned more often again."
    return " A bare tank would: it has no place to be pinned to." if line.within else ""


def interval(grid: Grid, line: Line) -> str:
    """The 95 % interval of the least amount, short."""
    least = line.least
    if least.low == least.high:
        return "95 %: no other"
    if least.high < least.amounts:
        return f"95 %: {grid.span(line.places[least.low], line.places[least.high])}"
    return f"95 %: {grid.short(line.places[least.low])} or more"


def short_interval(grid: Grid, line: Line) -> str:
    """The answer of one line in a few signs: ``"30 % (15 to 60 %)"``."""
    least = line.least
    if least.verdict == NONE_DOES:
        return "none tried does"
    places = line.places
    first = grid.axes[0].short(grid.points[places[least.low]].values[0])
    if least.verdict != FOUND:
        return f"unsure, {first} or more"
    found = grid.axes[0].short(grid.points[places[least.place]].values[0])
    if least.low == least.high:
        return f"{found} (no other)"
    return f"{found} ({grid.span(places[least.low], places[least.high])})"
