"""The first lines of which fish belong in which tank."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...document import as_text, document
from ...document.brief import MOST_LINES, Brief
from ...document.plain import capital, chance, listed, many, percent
from ...evidence.doubts import flaw
from ..orders_said import order_said
from ..relief.words import limits_said
from .answer import Fare, Placed, Placing
from .order import Step

SURE = 0.99  # chance to be the best from which on a plan is nearly certain to be (assumption)
KEPT = "of what they would swim if left alone"
MOST_STEPS = 6
NOTICED = 0.03  # share kept from which a loss is told
LEAST_CHANCE = 0.05  # to be the best, from which a plan is named beside the best


def brief_of(found: Placing) -> Brief:
    """Who is moved where, in which order, and what that is worth; as much of it as there is room for."""
    make = _rooms if found.plan.taken is None else _takers
    variants = list(make(found))
    fits = (one for one in variants if as_text(document(one.section)).count("\n") < MOST_LINES)
    return next(fits, variants[-1])


def step_said(one: Step) -> str:
    """A step in words: "the trio from Shelf 2 to Shelf 3"."""
    if not one.group:
        return f"lay {one.start} in {one.end}"
    start = f" from {one.start}" if one.start else ""
    if one.waits:
        return f"{one.group}{start} into a bucket"
    if not one.end:
        return f"{one.group} out of {one.start} for good"
    return f"{one.group}{start} to {one.end}"


def fare_said(one: Fare) -> str:
    """ "31 % (shut away)"."""
    return f"{percent(one.kept.value)} ({one.plight})"


def gain_said(one: Placed) -> str:
    """What the worst off keep more: "33 to 47 %", or "26 %" where both ends are said alike."""
    low, high = percent(one.gain.low), percent(one.gain.high)
    return low if low == high else limits_said(one.gain.low, one.gain.high)


def money_said(one: Placed) -> str:
    """What a plan costs or brings; "" where no money changes hands."""
    if one.money == 0:
        return ""
    return f"costs {one.money}" if one.money > 0 else f"brings {-one.money}"


def _rooms(found: Placing) -> Iterator[Brief]:
    """From the fullest to the barest."""
    others = [one for one in found.plans[1:] if one.homes != found.now.homes and _counts(found, one)]
    for shown, apart, watch in ((2, 2, 1), (2, 1, 1), (1, 1, 1), (0, 1, 1), (0, 0, 1), (0, 0, 0)):
        parts = [_others(others[:shown]), _apart(found, apart), watch_said(found) if watch else ""]
        then = " ".join(filter(None, parts))
        yield Brief(
            question=found.room.question or "Which fish belong in which of my tanks?",
            verdict=_verdict(found),
            beside=" ".join(filter(None, [_steps(found.best), order_said(found.order)])),
            then=then,
            sure=_sure(found),
            flaw=flaw("place"),
        )


def _counts(found: Placing, one: Placed) -> bool:
    """Whether a plan is worth a keeper's while beside the best: as good perhaps, or fewer moves."""
    return one.chance >= LEAST_CHANCE or one.moves < found.best.moves


def _verdict(found: Placing) -> str:
    now, best = found.now, found.best
    said = ""
    if now.fares:
        worst = now.worst
        said = f"Worst off now: {worst.name} in {worst.tank}, {percent(worst.kept.value)} {KEPT}"
        said += f" ({worst.plight}). "
    if found.stays:
        return f"{said}Leave everybody where they are: no plan that was tried is worth its moves."
    takes = ", ".join(filter(None, [many(best.moves, "move"), money_said(best)]))
    worst = best.worst
    then = f"worst off then: {worst.name} in {worst.tank}, {fare_said(worst)}"
    return f"{said}Best: {takes}; {then}."


def _steps(one: Placed) -> str:
    if not one.steps:
        return ""
    said = [f"{k}. {step_said(step)}" for k, step in enumerate(one.steps[:MOST_STEPS], 1)]
    more = f"; and {len(one.steps) - MOST_STEPS} more" if len(one.steps) > MOST_STEPS else ""
    return f"In this order: {'; '.join(said)}{more}."


def watch_said(found: Placing) -> str:
    """Whom to keep an eye on afterwards: those who lose most by it, else those who were moved."""
    if found.stays:
        return ""
    changes = [
        (one.kept.value - old.kept.value, one, old)
        for one in found.best.fares
        if (old := found.now.of(one.owner)) is not None
    ]
    worst = found.best.worst
    change, who, old = min(changes, key=lambda one: one[0], default=(0.0, worst, worst))
    if change < -NOTICED:
        return f"Watch {who.name} in {who.tank}: they keep {_down(who, old)}."
    moved = [step.group for step in found.best.steps if step.group and step.end]
    return f"Watch {listed(moved)} at lights on and at feeding." if moved else ""


def _down(new: Fare, old: Fare) -> str:
    """ "76 % instead of 84 %"."""
    return f"{fare_said(new)} instead of {percent(old.kept.value)}"


def _others(others: list[Placed]) -> str:
    said = [
        f"{many(one.moves, 'move')} ({', '.join(step_said(step) for step in one.steps)}); the worst off then "
        f"keep {percent(one.worst.kept.value)}"
        for one in others
        if len(one.steps) <= MOST_STEPS
    ]
    return f"Or {'; or '.join(said)}." if said else ""


def _apart(found: Placing, most: int) -> str:
    """Who should not share a tank: pairs that were seen with and without each other, then bad places."""
    said = [f"{one.who} from {one.by} ({percent(-one.kept.value)} less kept)" for one in found.apart[:most]]
    bad = [
        f"{found.room.groups[one.group].name} to {found.room.tanks[one.tank].name} "
        f"({percent(min(one.kept, one.worst))} kept{'' if one.kept <= one.worst else ' by others'})"
        for one in found.no_place[: max(0, most - len(said))]
    ]
    keep = f"Keep apart: {'; '.join(said)}." if said else ""
    return " ".join(filter(None, [keep, f"Do not move {'; or '.join(bad)}." if bad else ""]))


def _sure(found: Placing) -> str:
    gain, best = found.best.gain, found.best
    parts = []
    if not found.stays and math.isfinite(gain.low):
        parts.append(f"the gain is {gain_said(best)} by the luck of these runs")
    if math.isfinite(best.chance):
        parts.append(_best_of(best, f"{len(found.plans)} plans"))
    return f"How sure: {'; '.join(parts)}." if parts else ""


# ---- which tank can take one group


def _takers(found: Placing) -> Iterator[Brief]:
    taken = found.plan.taken
    assert taken is not None
    name = found.room.groups[taken].name
    there = [one for one in found.plans if one.of(taken) is not None]
    for shown in (4, 2, 0):
        others = [_taker(one, taken) for one in there[1 : 1 + shown]]
        yield Brief(
            question=f"Which of my tanks can take {name}?",
            verdict=_taken(found, taken, there[0]),
            beside=f"The others: {'; '.join(others)}." if others else "",
            then=_hurt(found, there[0], taken),
            sure=_sure_of_tank(found, there[0]),
            flaw=flaw("place"),
        )


def _taken(found: Placing, taken: int, best: Placed) -> str:
    old, new = found.now.of(taken), best.of(taken)
    assert new is not None
    now = "" if old is None else f"In {old.tank} they keep {percent(old.kept.value)} {KEPT} ({old.plight}). "
    if old is None:
        return f"Best in {new.tank}: there they keep {percent(new.kept.value)} {KEPT} ({new.plight})."
    return f"{now}Best in {new.tank}: {fare_said(new)}."


def _taker(one: Placed, taken: int) -> str:
    fare = one.of(taken)
    assert fare is not None
    return f"{fare.tank} {fare_said(fare)}, the worst off of the room then {percent(one.worst.kept.value)}"


def _hurt(found: Placing, best: Placed, taken: int) -> str:
    """Who in that tank pays for it most, or that nobody does."""
    fare = best.of(taken)
    assert fare is not None
    losses = [
        (one.kept.value - old.kept.value, one, old)
        for one in best.fares
        if one.tank == fare.tank and one.owner != taken and (old := found.now.of(one.owner)) is not None
    ]
    if not losses:
        return f"{fare.tank} is empty now."
    change, who, old = min(losses, key=lambda one: one[0])
    if change > -NOTICED:
        return f"Nobody in {fare.tank} fares noticeably worse for it."
    return f"It costs {who.name} most: they keep {_down(who, old)}."


def _sure_of_tank(found: Placing, best: Placed) -> str:
    if not math.isfinite(best.chance):
        return ""
    return f"How sure: {_best_of(best, f'{len(found.plans)} tanks')}."


def _best_of(one: Placed, those: str) -> str:
    """How likely it is the best: a share of draws is never none and never all."""
    if one.chance > SURE:
        return f"nearly certain to be the best of {those}"
    return f"the best of {those} with a chance of {chance(one.chance)}"


def heading(found: Placing) -> str:
    """What the whole answer is called."""
    return capital(f"{found.room.title}: which fish belong in which tank?")
