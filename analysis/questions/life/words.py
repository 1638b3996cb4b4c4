"""A life in words: what ``rockshy life --full`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ....sim.run.life import Pace
from ....sim.run.slow import slow_parameters
from ....sim.scenario.timeline import say_days
from ....sim.scenario.units import say_length_cm
from ...document import Document, Heading, Section, document, flush, section, table
from ...document.cautions import CAUTIONS, FIRST
from ...document.plain import called, capital, estimate_cells, many, number, percent, span
from ...measures.plight import IS_OWN, word
from .answer import Answer, Size
from .brief import by_said, goes_wrong, kept_said, more_kept, out_said, whom
from .deeds import rules_said
from .first import BY
from .trouble import BEFORE_D, DEFINED
from .who import Part

_WIDTHS = (8, 8, 14, 14, 22, 16, 14)
MOST_PAIRS = 12  # who is chased by whom: rows, every other one is in the files


def document_of(found: Answer) -> Document:
    """The whole answer."""
    months = many(found.plan.months, "month")
    return document(
        flush(f"{found.plan.scenario.title}: {months}"),
        flush(FIRST),
        _months(found),
        _trouble(found),
        _kinds(found),
        *_turned(found),
        _ground(found),
        _chased(found),
        _weeks(found),
        _growing(found),
        _dated(found),
        _first(found),
        rules_said(found),
        _how(found),
        _cautions(found),
    )


def _cautions(found: Answer) -> Section:
    scenario = found.plan.scenario
    return flush(" ".join(one.text for one in CAUTIONS if one.applies(scenario) and one.text not in FIRST))


def _months(found: Answer) -> Section:
    """The worst-off kind, tanks gone wrong and pinned fish, month by month."""
    rows = []
    for one, wrong in zip(found.months, found.trouble.by_month, strict=True):
        lost = one.lost[found.worst.name]
        kept, luck, guess = estimate_cells(lost, lambda share: percent(1 - share))
        gone = f"{wrong.hits} ({span(wrong.low, wrong.high, percent)})"
        pinned = percent(one.pinned.value)
        cells = (str(one.number), kept, _turned_round(luck), _turned_round(guess), gone, pinned)
        rows.append((*cells, word(lost.value)))
    heads = ("month", "kept", "95 %", "guesses", f"gone wrong, of {len(found.lives)}", "a fish pinned", "")
    title = (
        f"{whom(found)}: kept of the free swimming they would have if left alone; tanks gone wrong; with a "
        "fish pinned"
    )
    return Section((Heading(title), table(heads, rows, widths=_WIDTHS)))


def _trouble(found: Answer) -> Section:
    """What going wrong is, what is not known, and what came before."""
    trouble, end = found.trouble, found.trouble.by_month[-1]
    still = end.of - end.hits
    rest = (
        f"The other {'tank' if still == 1 else f'{still} tanks'} did not as long as they were watched, "
        f"{found.plan.days} days; what would come later is not known."
        if still
        else ""
    )
    left = (
        f"In {many(trouble.left, 'tank')} of these the fish were taken out before the end."
        if trouble.left
        else ""
    )
    signs = [
        f"{capital(one.what)}: in {one.before} of {one.of}, at {percent(one.otherwise)} of other times"
        f"{'' if one.told else ', which luck explains'}."
        for one in trouble.signs
    ]
    before = f"What changed in the {BEFORE_D:g} days before, in tanks where it went wrong later on:"
    return section(
        "When it goes wrong", goes_wrong(found), DEFINED, rest, left, *([before, *signs] * bool(signs))
    )


def _turned_round(limits: str) -> str:
    """``"40 to 60 %"`` of what was ``"60 to 40 %"``: less lost is more kept."""
    low, to, high = limits.partition(" to ")
    return f"{high.removesuffix(' %')} to {low} %" if to else limits


def _kinds(found: Answer) -> Section | None:
    """All kinds, in the first, the worst-off kind's worst, and the last month."""
    shown = _shown(found)
    if len(found.plan.kinds) < 2:
        return None
    rows = [
        (kind.name, *(percent(1 - found.of(number).lost[kind.name].value) for number in shown))
        for kind in found.plan.kinds
    ]
    heads = ("Kept of their free swimming", *(f"month {number}" for number in shown))
    return Section((table(heads, rows, widths=(46, *[10] * len(shown))),))


def _turned(found: Answer) -> Iterator[Section]:
    """Males among unsexed fish, and what came of it."""
    for kind in found.unsexed:
        rows = [
            (str(one.males), str(one.tanks), str(one.wrong), percent(1 - one.lost)) for one in kind.by_males
        ]
        heads = ("males", "tanks", "gone wrong", f"kept by {whom(found)}")
        title = f"{kind.name}: how many of {kind.fish} turned out male; mature at the end, {kind.showed:.1f}"
        yield Section((Heading(title), table(heads, rows, widths=(8, 8, 12, 46))))


def _ground(found: Answer) -> Section:
    """Who holds ground, in the months that the table of kinds has."""
    shown = _shown(found)
    rows = [
        (one.part.name, *(f"{percent(one.holds[m - 1])}, {percent(one.holds_most[m - 1])}" for m in shown))
        for one in found.monthly.ground
    ]
    title = "Who holds ground: share of its day that one of them does; tanks in which one of them holds most"
    heads = ("", *(f"month {number}" for number in shown))
    return Section((Heading(title), table(heads, rows, widths=(46, *[14] * len(shown)))))


def _chased(found: Answer) -> Section | None:
    """Who is chased by whom, the most in the last month first."""
    shown = _shown(found)
    most = sorted(found.monthly.chased, key=lambda one: -max(one.an_hour[m - 1] for m in shown))[:MOST_PAIRS]
    if not most:
        return None
    rows = [(f"{one.of.name} by {one.by.name}", *(number(one.an_hour[m - 1]) for m in shown)) for one in most]
    heads = ("", *(f"month {number}" for number in shown))
    title = "Who is chased by whom: chases an hour of light on each, model scale; every week is in the files"
    return Section((Heading(title), table(heads, rows, widths=(64, *[10] * len(shown)))))


def _weeks(found: Answer) -> Section:
    """The timeline: what they keep, who chases them, who holds most ground and what is dated, by week."""
    weeks = len(found.lost_weekly[found.worst.name])
    on_them = [one for one in found.weekly.chased if one.of.species == found.worst.species]

    def row(w: int) -> tuple[str, ...]:
        kept = percent(1 - found.lost_weekly[found.worst.name][w])
        chaser = _most([(one.by, one.an_hour[w]) for one in on_them])
        owner = _most([(one.part, one.holds_most[w]) for one in found.weekly.ground])
        dated = [one.words() for one in found.dates if w == min(int(one.day // 7), weeks - 1)]
        return str(w + 1), kept, chaser, owner, "; ".join(dict.fromkeys(dated))

    heads = ("week", "kept", "chased most by", "most ground", "what happens")
    rows = [row(w) for w in range(weeks)]
    return Section((Heading(f"Week by week: {whom(found)}"), table(heads, rows, widths=(6, 7, 22, 22, 40))))


def _most(shares: list[tuple[Part, float]]) -> str:
    """Whoever has the largest share, by a short name."""
    known = [(part, share) for part, share in shares if share > 0]
    part = max(known, key=lambda one: one[1])[0] if known else None
    return "-" if part is None else called(part.name, part.species)


def _shown(found: Answer) -> list[int]:
    """The first month, the one in which the worst-off kind loses most, the last."""
    return sorted({found.first, found.turn, found.last})


def _growing(found: Answer) -> Section:
    return section("They grow", *(_size(one) for one in found.sizes))


def _size(one: Size) -> str:
    first, last = one.length_cm
    if not math.isfinite(first):
        return f"{one.name}: not in the tank on any measured day."
    young = f"; mature {percent(one.adult[0])} of them at first and {percent(one.adult[1])} at last"
    return (
        f"{one.name}: {say_length_cm(first)} to {say_length_cm(last)}{'' if min(one.adult) == 1 else young}."
    )


def _dated(found: Answer) -> Section | None:
    if found.dated is None:
        return None
    told: dict[str, list[float]] = {}
    for one in found.dates:
        told.setdefault(one.words(), []).append(one.day)
    said = [f"{say_days(days)}, {words}" for words, days in told.items()]
    return section(
        "What the file dates",
        f"{'; '.join(said)}. Held against the same tanks without it, from day {found.plan.changed_day:g} on "
        f"{whom(found)}: {more_kept(found.dated)}.",
    )


def _first(found: Answer) -> Section | None:
    first = found.to_do
    if first is None:
        return None
    deed = first.deed
    return section(
        "The first thing to do, and by when",
        f"{capital(out_said(deed))} taken out for good {by_said(deed)}, on day {deed.day:g}: "
        f"{kept_said(found, first)}, {more_kept(first.more)}, in {many(first.tanks, 'tank')} lived through "
        "once more.",
        f"It is of those of which each gives them most chases. Soon after that day it has gone wrong in "
        f"{percent(BY)} of the tanks. What else there is to try, and what it takes: "
        f"rockshy relief --months {found.plan.months}.",
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
        f"about {days:.0f} were measured second by second: {early}, then {then}, then {late} days apart "
        "after the first day and after every dated change, which have a day more to settle, and closer where "
        "sizes change fast. Between them fish only grow; what fish of one tank know of each other is carried "
        "as it stands (EEngquist2003, abstract).",
        f"Growth: in a year a fish would make up {k.low:g} to {k.high:g} times what it lacks of its own "
        f"greatest length if it kept its first pace, an owner {owner.low:g} to {owner.high:g} times that: "
        "guesses. It shows its sex, and claims ground, when it is mature.",
        "Left out: age, illness, what the water does, and spawning, injury and death that no event tells. "
        "A month is told by its few measured days.",
        f"In brackets and columns: 95 % intervals, each for itself, and the range over guesses. {IS_OWN}",
    )
