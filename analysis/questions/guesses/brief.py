"""The first lines of which unmeasured things decide the answer."""

from __future__ import annotations

from ...document.brief import Brief
from ...document.plain import called, capital
from ...measures.registry import RECEIVED
from .answer import Study
from .indices import Shares
from .watch import to_watch
from .words import OF, ranked, seen, sentences

MORE = 4  # times as many tanks, where nothing can be seen


def brief_of(found: Study) -> Brief:
    """What carries the answer's spread, and what to watch first."""
    who = called(found.whom.name, found.whom.species, len(found.whom.labels))
    question = f"Which of the things that nobody has measured decide how {who} fare?"
    shared = next((one for one in found.answers if one.shares is not None), None)
    if shared is None or shared.shares is None:
        told = found.answers[0]
        verdict = f"{capital(OF[told.goal])}: not shared out; {told.why}. {found.whom.beside}".strip()
        return Brief(question=question, verdict=verdict)
    low, high = shared.shares.span
    scale, unit = (1, " chases an hour") if shared.goal == RECEIVED else (100, " %")
    spread = f"{scale * low:.0f} to {scale * high:.0f}{unit}"
    return Brief(
        question=question,
        verdict=f"{sentences(found, shared)[0]} {found.whom.beside}".strip(),
        beside=f"All of them together leave {OF[shared.goal]} at {spread}.",
        then=_then(found, shared.shares),
    )


def _then(found: Study, shares: Shares) -> str:
    """What to watch, or that more tanks come before it."""
    largest = ranked(found, shares)[0][0]
    if seen(found, shares) or not found.kept:
        return _watch(found, largest)
    return (
        f"Most may come from {largest}, or it is luck: more simulated tanks tell them apart better "
        f"(--trials {MORE * found.plan.tanks})."
    )


def _watch(found: Study, name: str) -> str:
    """What to watch of the largest of them."""
    first = next((one for one in found.kept if one.name == name), None)
    if first is None:
        return ""
    what = to_watch(first)
    return f"To narrow it, {what[0].lower()}{what[1:]}"
