"""The first lines of the best that a wish list allows."""

from __future__ import annotations

import math

from ....sim.scenario.units import say_length_cm
from ...document import as_text, document
from ...document.brief import MOST_LINES, Brief
from ...document.plain import called, capital, many, percent
from ...evidence.doubts import flaw
from ..orders_said import order_said
from .answer import PROVED, Best
from .said import ends, group_said, kilograms, laid_briefly, missed, money_said, stock_briefly

QUESTION = "Which of the fish I like can live together, and on which rock?"
OF = " of what they would swim if left alone"  # left out where there is no room
ONE_LINE = 96  # signs of a question of the file that is repeated
MOST_STEPS = 2  # other plans of the front that are named


def brief_of(found: Best) -> Brief:
    """The stock to buy, how its worst-off fare, what more would cost them, and what no plan reached."""
    long = _brief(found, OF)
    return long if as_text(document(long.section)).count("\n") < MOST_LINES else _brief(found, "")


def _brief(found: Best, of: str) -> Brief:
    asked = found.plan.scenario.question
    return Brief(
        question=asked if 0 < len(asked) <= ONE_LINE else QUESTION,
        verdict=_verdict(found, of),
        beside=" ".join(filter(None, [order_said(found.order), _steps(found)])),
        then=missed(found),
        sure=f"How sure: {_sure(found)}{_as_good(found)}.",
        flaw=flaw("best"),
    )


def _verdict(found: Best, of: str) -> str:
    best, space = found.best, found.plan.space
    beside = f" beside the {len(space.there)} that are there" if space.there else ""
    parts = [f"{stock_briefly(found, best)}{beside}"]
    parts += [f"in {say_length_cm(space.tanks[best.stocking.tank].length_cm)}"] if space.shop else []
    parts += [f"{laid_briefly(best)} ({kilograms(best)})"] if space.is_laid else []
    parts += [f"{money_said(best.money)} in all"] if best.money > 0 else []
    worst = called(group_said(best.worst), best.worst[0])
    kept = f"{worst} keep {percent(best.kept.value)}{of}, nobody less"
    return f"Best for the worst-off: {'; '.join(parts)}. {capital(best.plight)}: {kept}."


def _steps(found: Best) -> str:
    """The next plans of the front in a few words; of those with as many fish and species the first."""
    more = [one for one in found.front[1:] if one.fish > found.best.fish or one.species > found.best.species]
    if not more:
        return "Nothing that was tried offers more fish or species than that."
    said = (
        f"{many(one.fish, 'fish', 'fish')} of {many(one.species, 'species', 'species')} "
        f"{percent(one.kept.value)} ({one.plight})"
        for one in more[:MOST_STEPS]
    )
    return f"With more: {'; '.join(said)}."


def _sure(found: Best) -> str:
    kept = found.best.kept
    luck = f"{ends(kept.low, kept.high)} by luck"
    if found.best.stage == PROVED and math.isnan(kept.guess_low):
        return luck
    if found.best.stage == PROVED:
        return f"{luck}, {ends(kept.guess_low, kept.guess_high)} by what nobody has measured"
    return f"{luck}, of tanks that also chose it, so it looks better than it is"


def _as_good(found: Best) -> str:
    """How many others cannot be told from the best; "" before that was asked."""
    if math.isnan(found.held):
        return ""
    others = len(found.as_good) - 1
    said = {0: "no other is", 1: "1 other may be"}.get(others, f"{others} others may be")
    return f"; {said} as good"
