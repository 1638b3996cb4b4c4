"""Why, as a room is told: of ten chases, or of ten parts of lost swimming, how many come of what."""

from __future__ import annotations

from ..measures.registry import LOST, RECEIVED
from ..questions.why.answer import LEFT, Share, Shared, Why

HEADS = {RECEIVED: "of ten chases that it gets", LOST: "of ten parts of the free swimming it loses"}
WHAT_IS_LEFT = "unexplained"


def shown_outcomes(why: Why) -> list[Shared]:
    """The outcomes of which there is something to share out."""
    return [why.shared[goal] for goal in (RECEIVED, LOST) if why.shared[goal].explained]


def name_of(why: Why, one: Share) -> str:
    """What it is called on a slide."""
    return {each.code: each.shown for each in why.mechanisms}.get(one.code, WHAT_IS_LEFT)


def reason_lines(why: Why) -> list[str]:
    """One sentence an outcome, the largest reason first."""
    if why.nothing:
        said = "is hardly chased here and loses next to nothing"
        return [f"There is nothing to explain: {why.whom.name} {said}."]
    lines = []
    for shared in shown_outcomes(why):
        told = [f"{_count(one)} {name_of(why, one)}" for one in (*shared.ranked, shared.of(LEFT))]
        head = HEADS[shared.goal]
        lines.append(f"{head[:1].upper()}{head[1:]}: {'; '.join(told)}.")
    return lines


def _count(one: Share) -> str:
    tokens = one.of_ten.tokens
    sure = "" if one.told or tokens == 0 else " (perhaps nothing)"
    return f"{tokens}{sure} for" if tokens >= 0 else f"{-tokens} more without"
