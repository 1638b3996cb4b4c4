"""The slides of a talk in order: what each shows, its words for those who cannot see it, what to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from .deck import Deck
from .extras import Extras
from .facts import Facts
from .lines import rests_on
from .plans import Plans, PlanSlides
from .results import Results
from .timing import minutes_of

if TYPE_CHECKING:
    from ..questions.rock.answer import RockAnswer
    from ..questions.rock.grid import Grid
    from ..questions.why.answer import Why


class _Maker(Results, Extras, PlanSlides):
    """All slides of one talk."""


def deck_of(
    facts: Facts,
    *,
    why: Why | None = None,
    rock: tuple[RockAnswer, Grid] | None = None,
    plans: Sequence[Plans] = (),
    film: str = "",
    left_out: Sequence[str] = (),
) -> Deck:
    """Put the slides in order; ``why``, ``rock``, ``plans`` and the film (its file name) may be left out.

    ``left_out`` says what is not there because it was not asked for or could not be.
    """
    maker = _Maker(facts, rests_on(facts.scenario))
    slides = [
        maker.title(),
        *maker.short(),
        *maker.camps(),
        *maker.change(),
        *maker.answer(),
        *maker.luck(),
        *maker.who(),
    ]
    slides += maker.film(film) if film else []
    slides += maker.why(why) if why else []
    slides += maker.rock(*rock) if rock else []
    slides += maker.plans(plans)
    slides += [maker.caveats(), *maker.sources()]
    gone = (*left_out, *maker.left_out)
    minutes = minutes_of([one.kind for one in slides])
    timed = tuple(replace(one, minutes=own) for one, own in zip(slides, minutes, strict=True))
    return Deck(facts, timed, maker.rests, why, rock, tuple(plans), film, gone)
