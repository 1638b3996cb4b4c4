"""Sentences that stand on slides, in the notes and on the handout alike."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ...sim.scenario.called import shown_name
from ...sim.scenario.scenario import Scenario
from ...sim.species.sources import bibliography
from ..document.typed import plural_of
from ..questions.sources.source_counts import PUBLISHED, WATER, all_numbers, parts
from .facts import Facts, SetUp
from .plain import give_or_take, in_tanks, times
from .verdicts import BETTER, OPEN, SAME, UNRESOLVED, WORSE, Verdict

PINNED_IS = "pinned: kept to one place for most of the day, and about much less than if nobody chased it"
LOST_IS = "lost: of ten hours that it would swim about if nobody chased it, so many are gone"
MODEL_FISH = "Fish of a model, not yours."


@dataclass(frozen=True)
class Rests:
    """What the answer rests on."""

    keys: tuple[str, ...]  # of the bibliography, those with most numbers first
    numbers: int
    published: int  # numbers behind which a publication stands, at least in part

    @property
    def unmeasured(self) -> int:
        """Numbers that nobody has published anything on."""
        return self.numbers - self.published


def rests_on(scenario: Scenario) -> Rests:
    """The publications behind the rules and behind the traits of the stocked species."""
    species = dict(scenario.species)
    for other in scenario.alternatives:
        species |= other.scenario.species
    numbers = [one for one in all_numbers(species=species) if one.group != WATER]
    known = bibliography()
    counted: Counter[str] = Counter()
    for one in numbers:
        counted.update({part.word for part in parts(one.source)} & known.keys())
    keys = tuple(sorted(counted, key=lambda key: (-counted[key], key.lower())))
    published = sum(one.many for one in numbers if one.kind in PUBLISHED or one.is_helped)
    return Rests(keys, sum(one.many for one in numbers), published)


def caveats(scenario: Scenario, rests: Rests) -> tuple[str, str, str]:
    """The three things that are said before the end."""
    return (
        f"These are fish of a model, not yours. Of the {rests.numbers} numbers it rests on, "
        f"{rests.unmeasured} have no publication behind them; what nobody knows is varied from tank to tank.",
        "One real tank is one throw of the dice. The same fish and rock turned out differently from one "
        "simulated tank to the next, and yours may be any of them.",
        "The model does not see sickness, bad water, food, breeding plans or a fish's own character. Chases "
        "an hour are on its own scale: compare set-ups, do not count on the number.",
    )


def fares(one: SetUp, mild: str) -> str:
    """How the watched fish fare in one set-up."""
    held = f"pinned {in_tanks(one.pinned, one.tanks)}" if one.tanks else "cannot be judged as pinned or not"
    lost = f"of ten hours of free swimming lost: {give_or_take(one.lost, one.half)}"
    chased = f"chased {times(one.chased)} times an hour (model scale)"
    return f"{mild} {held}; {lost}; {chased}, hidden {hidden(one)}"


def hidden(one: SetUp) -> str:
    """``"3.1 of 10 hours"``."""
    return f"{10 * one.hidden:.1f} of 10 hours" if one.hidden == one.hidden else "unknown"


SHORT_WAYS = {BETTER: "out more", WORSE: "out less", SAME: "next to no difference", OPEN: "cannot tell"}


def verdict_line(verdict: Verdict) -> str:
    """The verdict in one line."""
    if verdict.word == UNRESOLVED:
        return "In the model it stays unresolved."
    return f"In the model this supports {verdict.word}."


def short_name(facts: Facts) -> str:
    """The watched species as it was typed, several of it; a scientific name with its genus as a letter.

    That stays whole where two stocked ones would be alike.
    """
    name = shown_name(facts.scenario, facts.watch)
    if name != facts.watch:
        return plural_of(name, facts.watch)

    def short(name: str) -> str:
        genus, _, rest = name.partition(" ")
        return f"{genus[:1]}. {rest}" if rest else name

    stocked = dict.fromkeys(row.species for row in facts.scenario.stock)
    alike = [name for name in stocked if short(name) == short(facts.watch)]
    return short(facts.watch) if len(alike) == 1 else facts.watch
