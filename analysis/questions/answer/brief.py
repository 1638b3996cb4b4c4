"""The first lines of the answer: what ``rockshy run`` prints unless all is asked for. Works no number out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND
from ...document.brief import Brief
from ...document.plain import called, capital, percent, span
from ...document.typed import as_typed
from ...evidence.doubts import flaw
from ...measures.givers import shares_said
from ...measures.plight import word
from ...statistics.intervals import Estimate
from ..life.reach import part_said
from .remarks import LEAST_SHOWN, gone_said, turned_said, worse_said

if TYPE_CHECKING:
    from ....sim.scenario.scenario import Scenario
    from .answer import Answer, Portrait


def brief_of(answer: Answer, *, question: str = "") -> Brief:
    """How the worst off fare, who does it, what would end it, and how far that may be off.

    Parameters
    ----------
    question : the keeper's.
    """
    worst = answer.victim
    return Brief(
        question=question or f"How do the fish fare in {answer.title}?",
        verdict=verdict(answer, worst),
        beside=_givers(answer),
        then=_first(answer),
        sure=_sure(answer, worst.lost) if worst.lost is not None else "",
        flaw=flaw("run", species=worst.species),
    )


def first_lines(answer: Answer, scenario: Scenario) -> list[str]:
    """The first lines without the question, and whoever was out before anything was measured.

    Above them, where the file reaches over months, that days alone are told of.
    """
    part = [said] if (said := part_said(scenario)) else []
    return [*part, *as_typed(brief_of(answer), scenario).sentences[1:], *gone_said(answer)]


def verdict(answer: Answer, worst: Portrait) -> str:
    """Who has it worst, and how bad it is by the project's own words."""
    who = called(worst.label, worst.species, len(worst.labels))
    if worst.lost is None:
        free = percent(worst.figures[AS_STOCKED]["free"].value)
        return (
            f"No verdict without the left-alone control. {capital(who)} swim about least, {free} of the day."
        )
    keep, they = ("keep", "they") if len(worst.labels) > 1 else ("keeps", "it")
    kept = percent(1 - worst.lost.value)
    alone = f"of the swimming about {they} would do if left alone"
    least = "nobody loses any to speak of; worst off, " if worst.lost.value < LEAST_SHOWN else ""
    said = f"{capital(word(worst.lost.value))}: {least}{who} {keep} {kept} {alone}{_pinned(worst)}."
    return " ".join(
        filter(None, (said, *turned_said(answer, worst), answer.whom.beside, *worse_said(answer)))
    )


def _pinned(worst: Portrait) -> str:
    count = worst.pinned.get(AS_STOCKED)
    if count is None or not count.hits:
        return ""
    return f", pinned to one place in {count.hits} of {count.of} simulated tanks"


def _givers(answer: Answer) -> str:
    said = shares_said(answer.givers)
    they = "They are" if len(answer.victim.labels) > 1 else "It is"
    return f"Who does it: of the chases they get, {said}." if said else f"{they} hardly chased."


def _first(answer: Answer) -> str:
    """What the control with own kind says of the victim, where it is of the species that control is of."""
    watched = answer.species[0]
    if watched.species != answer.whom.species:
        return ""
    own, alone = (watched.figures.get(name, {}).get("free") for name in (OWN_KIND, LEFT_ALONE))
    if own is None or alone is None or not alone.value > 0:
        return ""
    who = called(watched.label, watched.species)
    return f"Without the other species, {who} would keep {percent(own.value / alone.value)}."


def _sure(answer: Answer, lost: Estimate) -> str:
    """What is kept as far as luck, and as far as ignorance, leaves open."""
    tanks = f"{answer.done} simulated tanks"
    if answer.done < answer.asked:
        tanks = f"{answer.done} of the {answer.asked} simulated tanks asked for"
    if not math.isfinite(lost.low):
        return f"How sure: {tanks} are too few to say."
    luck = span(1 - lost.high, 1 - lost.low, percent)
    wide = span(1 - lost.guess_high, 1 - lost.guess_low, percent)
    kept = percent(1 - lost.value)
    if luck == wide == f"{kept.removesuffix(' %')} to {kept}":
        return f"How sure: {kept} whatever the luck of {tanks} and what nobody has measured."
    unknown = f"; {wide} by what nobody has measured" if wide != "-" else ""
    return f"How sure: {luck} by the luck of {tanks}{unknown}."
