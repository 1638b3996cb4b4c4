"""A life in words: what ``rockshy life --full`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math

from ....sim.run.life import Pace
from ....sim.run.slow import slow_parameters
from ....sim.scenario.timeline import say_days
from ....sim.scenario.units import say_length_cm
from ...document import Document, Heading, Section, document, flush, section, table
from ...document.cautions import CAUTIONS, FIRST
from ...document.plain import estimate_cells, many, percent
from ...measures.plight import IS_OWN, word
from .answer import Answer, Size
from .brief import points, whom

_WIDTHS = (10, 8, 14, 14, 14)


def document_of(found: Answer) -> Document:
    """The whole answer."""
    months = many(found.plan.months, "month")
    return document(
        flush(f"{found.plan.scenario.title}: {months}"),
        flush(FIRST),
        _months(found),
        _kinds(found),
        _growing(found),
        _dated(found),
        _how(found),
        _cautions(found),
    )


def _cautions(found: Answer) -> Section:
    scenario = found.plan.scenario
    return flush(" ".join(one.text for one in CAUTIONS if one.applies(scenario) and one.text not in FIRST))


def _months(found: Answer) -> Section:
    """The worst-off kind and pinned fish, month by month."""
    rows = []
    for one in found.months:
        lost = one.lost[found.worst.name]
        kept, luck, guess = estimate_cells(lost, lambda share: percent(1 - share))
        pinned = percent(one.pinned.value)
        rows.append((str(one.number), kept, _turned(luck), _turned(guess), pinned, word(lost.value)))
    heads = ("month", "kept", "95 %", "guesses", "a fish pinned", "")
    title = (
        f"{whom(found)}: kept of the free swimming they would have if left alone; tanks with a fish pinned"
    )
    return Section((Heading(title), table(heads, rows, widths=(*_WIDTHS, 14))))


def _turned(limits: str) -> str:
    """``"40 to 60 %"`` of what was ``"60 to 40 %"``: less lost is more kept."""
    low, to, high = limits.partition(" to ")
    return f"{high.removesuffix(' %')} to {low} %" if to else limits


def _kinds(found: Answer) -> Section | None:
    """All kinds, in the first, the worst-off kind's worst, and the last month."""
    shown = sorted({1, found.turn, found.plan.months})
    if len(found.plan.kinds) < 2:
        return None
    rows = [
        (kind.name, *(percent(1 - found.of(number).lost[kind.name].value) for number in shown))
        for kind in found.plan.kinds
    ]
    heads = ("Kept of their free swimming", *(f"month {number}" for number in shown))
    return Section((table(heads, rows, widths=(46, *[10] * len(shown))),))


def _growing(found: Answer) -> Section:
    return section("They grow", *(_size(one) for one in found.sizes))


def _size(one: Size) -> str:
    first, last = one.length_cm
    if not math.isfinite(first):
        return f"{one.name}: never in on a measured day."
    young = f"; mature {percent(one.adult[0])} of them at first and {percent(one.adult[1])} at last"
    return (
        f"{one.name}: {say_length_cm(first)} to {say_length_cm(last)}{'' if min(one.adult) == 1 else young}."
    )


def _dated(found: Answer) -> Section | None:
    if found.dated is None:
        return None
    told: dict[str, list[float]] = {}
    for one in found.plan.scenario.timeline.events:
        if one.day > 0 and one.day < found.plan.days:
            told.setdefault(one.words(), []).append(one.day)
    said = [f"{say_days(days)}, {words}" for words, days in told.items()]
    return section(
        "What the file dates",
        f"{'; '.join(said)}. Held against the same tanks without it, from day {found.plan.changed_day:g} on "
        f"{whom(found)}: {points(found.dated)}.",
    )


def _how(found: Answer) -> Section:
    pace, p = Pace(), slow_parameters()
    k, owner = p["growth_k"], p["owner_growth"]
    stopped = "Stopped by Ctrl-C: of what was done so far. " if found.stopped else ""
    days = sum(len(one.day) for one in found.lives) / max(len(found.lives), 1)
    early, then, late = pace.blocks
    return section(
        "How it was found",
        f"{stopped}{many(len(found.lives), 'tank')}, each lived through {found.plan.days} days. Of these "
        f"about {days:.0f} were measured second by second, each after a day to settle: {early}, then {then}, "
        f"then {late} days apart after the first day and after every dated change, and closer where sizes "
        "change fast. Between them fish only grow; what fish of one tank know of each other is carried as it "
        "stands (EEngquist2003, abstract).",
        f"Growth: in a year a fish would make up {k.low:g} to {k.high:g} times what it lacks of its own "
        f"greatest length if it kept its first pace, an owner {owner.low:g} to {owner.high:g} times that: "
        "guesses. It shows its sex, and claims ground, when it is mature.",
        "Left out: spawning and holding anew, age, illness, injury, death, and what the water does. A month "
        "is told by its few measured days.",
        f"In brackets and columns: 95 % intervals, each for itself, and the range over guesses. {IS_OWN}",
    )
