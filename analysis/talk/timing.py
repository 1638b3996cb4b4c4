"""How long each slide may take, so that they fill a talk and leave time for questions."""

from __future__ import annotations

from collections.abc import Sequence

from .kinds import ANSWER, CAMPS, CAVEATS, CHANGE, FILM, HANDS, LUCK, ROCK, SOURCES, TITLE, WHO, WHY

TALK_MINUTES, QUESTIONS = 45.0, 8.0  # of which so many are left for the audience
_WEIGHTS = {TITLE: 1.5, CAMPS: 2.0, HANDS: 1.0, CHANGE: 4.0, ANSWER: 2.0, LUCK: 3.0, WHO: 3.0}
_WEIGHTS |= {FILM: 4.0, WHY: 4.0, ROCK: 3.0, CAVEATS: 2.0, SOURCES: 0.5}


def minutes_of(kinds: Sequence[str]) -> list[float]:
    """Whole and half minutes for slides of these kinds; they add up to the talk without its questions."""
    halves = round(2 * (TALK_MINUTES - QUESTIONS))
    weights = [_WEIGHTS[kind] for kind in kinds]
    exact = [halves * weight / sum(weights) for weight in weights]
    given = [max(1, int(part)) for part in exact]
    order = sorted(range(len(kinds)), key=lambda k: exact[k] - given[k], reverse=True)
    left = halves - sum(given)
    for turn in range(abs(left)):
        place = order[turn % len(order)] if left > 0 else max(range(len(given)), key=lambda k: given[k])
        given[place] += 1 if left > 0 else -1
    return [half / 2 for half in given]
