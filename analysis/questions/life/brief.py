"""The first lines of a life: when trouble is likely, who starts it, what a dated change does, how sure."""

from __future__ import annotations

import math

from ...document.brief import Brief
from ...document.plain import called, capital, many, percent, span
from ...evidence.doubts import flaw
from ...measures.givers import shares_said
from ...measures.plight import word
from ...statistics.intervals import Estimate
from .answer import Answer
from .first import Deed, First
from .lived import STEADY, WORSE
from .trouble import WRONG


def brief_of(found: Answer) -> Brief:
    """When, who, what helps, how sure."""
    return Brief(
        question=found.plan.scenario.question
        or f"How do the fish fare over {many(found.plan.months, 'month')}?",
        verdict=" ".join(filter(None, (_verdict(found), found.whom.beside, goes_wrong(found)))),
        beside=" ".join(filter(None, _beside(found))),
        sure=_sure(found),
        flaw=flaw("life"),
    )


def _beside(found: Answer) -> tuple[str, ...]:
    """What came first, who chases, what helps; with a first sign there is room for one of the last two."""
    sign, helps = first_sign(found), found.to_do is not None and found.to_do.helps
    givers = "" if sign and helps else _givers(found)
    return sign, givers, _dated(found), "" if sign and not helps else to_do(found)


def whom(found: Answer) -> str:
    """The worst-off kind by a short name."""
    return called(found.worst.name, found.worst.species, len(found.worst.labels))


def shown_months(found: Answer) -> tuple[int, ...]:
    """Numbers of the months that the verdict names: none where no month stands out."""
    if found.way == STEADY:
        return ()
    return found.first, found.turn if found.way == WORSE else found.last


def _verdict(found: Answer) -> str:
    who, several = whom(found), len(found.worst.labels) > 1
    keep, they = ("keep", "they") if several else ("keeps", "it")
    of = f"of the swimming about {they} would do if left alone"
    if not shown_months(found):
        kept = percent(1 - found.lost.value)
        return f"{capital(word(found.lost.value))} all along: {who} {keep} {kept} {of}; no month stands out."
    early, late = (found.of(number).lost[found.worst.name].value for number in shown_months(found))
    how = "It gets worse" if found.way == WORSE else "It eases"
    first, last = shown_months(found)
    return (
        f"{how}: {who} {keep} {percent(1 - early)} {of} in month {first}, {percent(1 - late)} in month "
        f"{last} ({word(late)})."
    )


def goes_wrong(found: Answer) -> str:
    """In how many tanks it does, by when, and with which interval."""
    trouble, end = found.trouble, found.trouble.by_month[-1]
    wide = span(end.low, end.high, percent)
    tanks = f"in {end.hits or 'none'} of {end.of} tanks by month {found.plan.months} ({wide})"
    at_once = f", in {trouble.at_once} from the start" if trouble.at_once else ""
    is_half = trouble.half_d is not None and 2 * trouble.at_once < end.of
    half = f", in half by week {int(trouble.half_d or 0) // 7 + 1}" if is_half else ""
    return f"It goes wrong ({WRONG[0]} or worse) {tanks}{at_once}{half}."


def first_sign(found: Answer) -> str:
    """What came before, where anything stands out."""
    sign = found.trouble.first_sign
    if sign is None:
        return ""
    usual = f"at other times {percent(sign.otherwise)}"
    return f"First sign: {sign.what} (in {sign.before} of {sign.of} tanks; {usual})."


def _givers(found: Answer) -> str:
    said = shares_said(found.givers)
    return f"Chases on them: by {said}." if said else "Nobody chases them to speak of."


def _dated(found: Answer) -> str:
    if found.dated is None:
        return ""
    scenario = found.plan.scenario
    dated = [*(one.dated for one in scenario.events), *(row.out_day is not None for row in scenario.stock)]
    what = f"What is done from day {found.plan.changed_day:g} on" if any(dated) else "What your rule does"
    if not math.isfinite(found.dated.low):
        return f"{what}: too few tanks to say."
    if found.dated.low <= 0 <= found.dated.high:
        return f"{what}: no difference beyond luck, {more_kept(found.dated)}."
    return f"{what} {'helps' if found.dated.value < 0 else 'harms'} them: {more_kept(found.dated)}."


def to_do(found: Answer) -> str:
    """The first thing to do, by when, and what it is worth; "" where nothing was tried."""
    first = found.to_do
    if first is None:
        return ""
    done = f"{out_said(first.deed)} out {by_said(first.deed)}"
    low, high = (f"{round(-100 * one) + 0:+d}" for one in (first.more.high, first.more.low))
    if not first.helps:
        return f"No first thing to do: {done} is not seen to help ({low} to {high} %)."
    return f"First: {done}, {kept_said(found, first)} ({low} to {high} %)."


def out_said(deed: Deed) -> str:
    """``"T. moorii male"``, ``"one of the T. moorii females (4)"``."""
    said = called(deed.kind.name, deed.kind.species, len(deed.kind.labels))
    return f"one of the {said}" if len(deed.kind.labels) > 1 else said


def by_said(deed: Deed) -> str:
    """``"by week 5"``, the last one before it goes wrong, or ``"at once"``."""
    return f"by week {deed.week}" if deed.week else "at once"


def kept_said(found: Answer, first: First) -> str:
    """``"then they keep 61 % instead of 44 %"``."""
    without, having = (percent(one) for one in first.kept)
    keep = "they keep" if len(found.worst.labels) > 1 else "it keeps"
    return f"then {keep} {having} instead of {without}"


def more_kept(lost: Estimate) -> str:
    """A difference in what is lost, as what is kept: ``"4 % more kept (1 to 7 %)"``."""
    way = -1.0 if lost.value <= 0 else 1.0
    low, high = sorted((way * lost.low, way * lost.high))
    size = f"{percent(abs(lost.value))} {'more' if way < 0 else 'less'} kept"
    return f"{size} ({round(100 * low)} to {round(100 * high)} %)" if math.isfinite(low) else size


def _sure(found: Answer) -> str:
    """How far off the last figure of the verdict may be."""
    months = shown_months(found)
    lost = found.of(months[-1]).lost[found.worst.name] if months else found.lost
    if not math.isfinite(lost.low):
        return f"How sure: {many(len(found.lives), 'simulated tank')} are too few to say."
    wide = span(1 - lost.guess_high, 1 - lost.guess_low, percent)
    unknown = f", {wide} by what nobody has measured" if wide != "-" else ""
    luck = span(1 - lost.high, 1 - lost.low, percent)
    return f"How sure: {percent(1 - lost.value)} is {luck} by the luck of {len(found.lives)} tanks{unknown}."
