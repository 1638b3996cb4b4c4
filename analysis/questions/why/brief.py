"""The first lines of why a fish is bullied."""

from __future__ import annotations

from ...document.brief import Brief
from ...document.plain import called, capital, listed, percent
from ...evidence.doubts import flaw
from ...measures.plight import word
from ...measures.registry import LOST, RECEIVED
from .answer import Share, Shared, Why
from .mechanisms import CROWDING, GROUND, LOOKS, SEXES, SHELTER, SIGHT, SIZE, TEMPER
from .words import about, named

TO_TRY = {  # what a keeper can change about each cause
    SIZE: "tank mates nearer in size",
    LOOKS: "tank mates that look different",
    SIGHT: "rock that breaks up the view",
    GROUND: "fewer fish that hold ground",
    SHELTER: "more rock",
    TEMPER: "a milder species for the hottest",
    CROWDING: "fewer fish",
    SEXES: "fewer males",
}
NAMED = 3  # mechanisms in the first sentence, at most


def brief_of(found: Why) -> Brief:
    """What does it, in parts of ten, and how sure that is."""
    who = called(found.whom.name, found.whom.species, len(found.whom.labels))
    shared = found.shared[LOST] if found.shared[LOST].explained else found.shared[RECEIVED]
    return Brief(
        question=f"Why {'are' if len(found.whom.labels) > 1 else 'is'} {who} bullied?",
        verdict=_verdict(found, who),
        beside="" if found.nothing else _causes(found, shared),
        then="" if found.nothing else _first(shared),
        sure="" if found.nothing else _sure(found, shared),
        flaw=flaw("why", species=found.whom.species),
    )


def _verdict(found: Why, who: str) -> str:
    lost = found.shared[LOST].whole.value
    several = len(found.whom.labels) > 1
    keep, they = ("keep", "they") if several else ("keeps", "it")
    if found.nothing:
        lose, are, they = ("lose", "are", "They are") if several else ("loses", "is", "It is")
        nothing = f"{who} {lose} next to nothing of the swimming about and {are} hardly chased"
        return f"{they} not: {nothing}. {found.whom.beside}".strip()
    kept = f"{percent(1 - lost)} of the swimming about {they} would do if left alone"
    return f"{capital(word(lost))}: {who} {keep} {kept}. {found.whom.beside}".strip()


def _causes(found: Why, shared: Shared) -> str:
    seen = [one for one in shared.ranked if one.told and one.value.value > 0][:NAMED]
    what = "what they lose" if shared.goal == LOST else "the chases they get"
    if not seen:
        return f"Of {what} no single cause stands out from the luck of these runs."
    parts = [f"{about(one.of_ten).removeprefix('about ')} {named(found, one.code).because}" for one in seen]
    return f"Of ten parts of {what}: about {listed(parts)}."


def _first(shared: Shared) -> str:
    """What to try against the largest of the causes that stand out."""
    seen = [one.code for one in shared.ranked if one.told and one.value.value > 0]
    tried = next((TO_TRY[code] for code in seen if code in TO_TRY), "")
    return f"First: try {tried}, as an [[alternative]] for rockshy compare." if tried else ""


def _sure(found: Why, shared: Shared) -> str:
    seen: list[Share] = [one for one in shared.ranked if one.told]
    if not seen:
        return ""
    largest = seen[0]
    name = named(found, largest.code).name
    return f"How sure: {name} added most in {largest.largest} of {found.trials} simulated tanks."
