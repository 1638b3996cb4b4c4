"""What is remarked on an answer where it needs it: sentences without a figure of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ....sim.run.table import AS_STOCKED
from ...document.plain import called, percent
from ...statistics.intervals import ENOUGH_UNITS

if TYPE_CHECKING:
    from .answer import Answer, Portrait

LEAST_SHOWN = 0.005  # of a share: less is printed as 0 %


def gone_said(answer: Answer) -> list[str]:
    """Which fish have no figures, since they were out before measuring began."""
    if not answer.gone:
        return []
    those = [
        f"{name} ({f'{out} of {of}' if out < of else 'all' if of > 1 else 'its only fish'})"
        for name, (out, of) in answer.gone.items()
    ]
    return [
        f"Out before measuring begins: {'; '.join(those)}. They have no figures of their own; what they "
        "did to the others shows in theirs."
    ]


def few_said(tanks: int, *, guesses: int, fixed: bool) -> list[str]:
    """That the intervals say little, where there are too few independent units."""
    by_tank = fixed or guesses < 2
    units, what = (tanks, "simulated tanks") if by_tank else (guesses, "guesses")
    return [f"Too few {what} ({units}) for the 95 % to say much: run more."] if units < ENOUGH_UNITS else []


def turned_said(answer: Answer, one: Portrait) -> list[str]:
    """What the sex that unsexed fish turn out to have does to them, where it can be told."""
    turned = next((two for two in answer.turned if two.label == one.label and two.told), None)
    if turned is None or turned.male.lost is None or turned.female.lost is None:
        return []
    male, female = (percent(1 - sex.lost.value) for sex in turned.both if sex.lost is not None)
    return [f"Those that turn out male keep {male}, those that turn out female {female}."]


def worse_said(answer: Answer) -> list[str]:
    """Who lost more than the victim over all of the tanks, where the first of them were not typical."""
    first, victim = answer.alike[0], answer.victim
    if first is victim or first.lost is None:
        return []
    who = called(first.label, first.species, len(first.labels))
    return [f"Over all {answer.done} simulated tanks {who} keep no more, {percent(1 - first.lost.value)}."]


def gain_said(answer: Answer) -> list[str]:
    """What a loss below 0 means, where an interval goes there."""
    if not any(one.lost is not None and one.lost.low < -LEAST_SHOWN for one in answer.alike):
        return []
    return ["lost below 0: it swims free more than when left alone"]


def hunted_said(one: Portrait, answer: Answer) -> list[str]:
    """Why a fish that hides nearly all the time can have hardly a pinned hour: pinned is to one place."""
    got, rule = one.figures[AS_STOCKED], answer.rule
    if not (got["hidden"].value >= rule.place_share and got["pinned_hours"].value < rule.hours_share):
        return []
    if got["territory"].value >= rule.owner_share:
        return ["hides most of its time in a territory that it holds, which is not pinned"]
    return [
        "driven from one hiding place to the next, so not pinned to one place, and no better off for that: "
        "see what is lost"
    ]
