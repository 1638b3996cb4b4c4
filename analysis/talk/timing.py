"""How long each slide may take, so that they fill a talk and leave time for questions."""

from __future__ import annotations

from .kinds import (
    ANSWER,
    CAMPS,
    CAVEATS,
    CHANGE,
    FILM,
    FRONT,
    HANDS,
    LIFE,
    LUCK,
    RACK,
    ROCK,
    SHORT,
    SOURCES,
    TITLE,
    WHO,
    WHY,
)

TALK_MINUTES, QUESTIONS = 45.0, 8.0  # of which so many are left for the audience
_WEIGHTS = {TITLE: 1.5, SHORT: 1.5, CAMPS: 2.0, HANDS: 1.0, CHANGE: 4.0, ANSWER: 2.0, LUCK: 3.0, WHO: 3.0}
_WEIGHTS |= {FILM: 4.0, WHY: 4.0, ROCK: 3.0, RACK: 4.0, FRONT: 4.0, LIFE: 4.0, CAVEATS: 2.0, SOURCES: 0.5}


def minutes_of(kinds: list[str]) -> list[float]:
    """Whole and half minutes for slides of these kinds; they fill the talk without its questions.

    With few slides the talk is shorter: none is stretched to more than half as long again as it needs. A
    slide that goes on with what the one before began needs half of that.
    """
    weights = [_WEIGHTS[kind] / (2 if kinds[k - 1 : k] == [kind] else 1) for k, kind in enumerate(kinds)]
    halves = round(min(2 * (TALK_MINUTES - QUESTIONS), 3 * sum(weights)))
    exact = [halves * weight / sum(weights) for weight in weights]
    given = [max(1, int(part)) for part in exact]
    order = sorted(range(len(kinds)), key=lambda k: exact[k] - given[k], reverse=True)
    left = halves - sum(given)
    for turn in range(abs(left)):
        place = order[turn % len(order)] if left > 0 else max(range(len(given)), key=lambda k: given[k])
        given[place] += 1 if left > 0 else -1
    return [half / 2 for half in given]
