"""What if, in words: what ``rockshy compare`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ...document import Document, Section, document, flush, section, table
from ...document.cautions import CAUTIONS
from ...document.plain import Form, called, chance, listed, many, number, percent, span
from ...evidence.doubts import doubts
from ...measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from ..answer.remarks import few_said
from .answer import CHOSEN, MILD, OTHERS, WORST, Against, Comparison, Fate, Figure, WorstOff
from .plans import Shared, Stopped

SURE = 0.95  # chance to be the best from which on nothing is said to be open
RIVALS_NAMED = 4  # that may be the best as well
FISH_NAMED = 4  # worse-off fish that a sentence names
ALL_CAUTIONS = " ".join(one.text for one in CAUTIONS)
SAME_SEEDS = (
    "All ran on the same seeds: the same individuals, the same guesses, the same rock where the rock is not "
    "the change. Once something differs their histories diverge; nothing more is claimed."
)
HOW_TO_READ = (
    "How to read it: all four figures are better the lower. A difference is one percentage less the other: "
    'from 70 % to 55 % is -15 %. In brackets: too close to call in these tanks. "95 %" says how precisely '
    'these runs measure this model, "guesses" is the range in which nine of ten guesses at what nobody has '
    "measured lie (with a tank to a guess their luck is in it too). Chases an hour (/h) are on model scale, "
    "the model's own, until a tally from the real tank scales them."
)
UNEQUAL = "Means are over the simulated tanks of each, differences over those that both have."
NO_RANGE = " There is no range over guesses: with so few simulated tanks of each it would be mostly luck."
DEFINITION = (
    "Lost: of the free swimming the same fish has when nobody attacks. Pinned: at least half of its lit "
    "hours within one place and without a territory, and at most half as much free swimming away from it as "
    "when left alone; a species is pinned when half of its fish are, and holding females do not count. A "
    "pinned fish is chased less because it has given up coming out: read chased together with hidden and "
    "pinned. A fish here is a fish of the model, not one of yours."
)
LABELS = {
    LOST: "lost of free swimming",
    RECEIVED: "chased/h in the model",
    HIDDEN: "hidden, of lit time",
    PINNED: "pinned, of the tanks",
}
BY = {
    LOST: "free swimming lost",
    RECEIVED: "chases received (model scale)",
    HIDDEN: "time hidden",
    PINNED: "chance to be pinned",
}
LESS = {
    LOST: "swims free more",
    RECEIVED: "is chased less",
    HIDDEN: "hides less",
    PINNED: "is pinned less often",
}
MORE = {
    LOST: "swims free less",
    RECEIVED: "is chased more",
    HIDDEN: "hides more",
    PINNED: "is pinned more often",
}
_LIVED = "Each lives through {} in blocks of days, as in rockshy life; a week is told by one measured day."
_SINCE = "Weeks count from day {} on, when the last fish is in, whatever is tried."
_BLOCK = (26, 8, 9, 8, 15, 15, 12, 6)
_SHORT = (32, 6, 13, 11, 15, 13, 10)
_WORST = (29, 26, 6, 12, 9, 8, 10)
_PAIRED = (29, 7, 8, 8, 8, 9, 8, 8, 8)


def document_of(
    found: Comparison, *, shared: Shared | None = None, stopped: Stopped | None = None
) -> Document:
    """The whole answer, the short answer first."""
    return document(
        _opening(found),
        _short(found),
        doubts("compare"),
        _how_run(shared, stopped),
        flush(HOW_TO_READ + ("" if found.fixed or _has_ranges(found) else NO_RANGE)),
        *(_block(one, found) for one in found.against),
        _worst_fish(found),
        _pairing(found),
        flush(DEFINITION),
        flush(ALL_CAUTIONS),
    )


def _opening(found: Comparison) -> Section:
    least, most = min(found.trials), max(found.trials)
    each = f"{least}" if least == most else f"{least} to {most}"
    drawn = (
        "nothing unmeasured was drawn, so there is no range over guesses"
        if found.fixed
        else f"{many(found.guesses, 'guess', 'guesses')} at what nobody has measured"
    )
    beside = many(len(found.against), "alternative")
    return flush(
        f"What if? {found.title}",
        f"Question: {found.question}" if found.question else "",
        f"The tank as it is and {beside}: {each} simulated tanks of each; {drawn}. {SAME_SEEDS}",
        _LIVED.format(many(found.months, "month")) if found.months else "",
        _SINCE.format(f"{found.since:g}") if found.since > 0 else "",
        *few_said(least, guesses=found.guesses, fixed=found.fixed),
    )


def _has_ranges(found: Comparison) -> bool:
    figures = [one for other in found.against for group in other.groups for one in group.figures.values()]
    return any(math.isfinite(one.guess_low) for one in figures)


# ---- the short answer


def _short(found: Comparison) -> Section:
    form = form_of(found.goal)
    rows = []
    for k, name in enumerate(found.names):
        level = found.levels[k]
        difference = _short_difference(found.against[k - 1].chosen.figures[found.goal]) if k else [""] * 3
        cells = (form(level.value), span(level.low, level.high, form), *difference)
        rows.append((name, *cells, chance(found.best[k])))
    heads = ("", "mean", "95 %", "difference", "95 %", "better in", "best")
    return section(
        f"Short answer for {found.whose} ({found.why}), by {BY[found.goal]}",
        table(heads, rows, widths=_SHORT),
        found.beside,
        UNEQUAL if len(set(found.trials)) > 1 else "",
        *best_sentences(found),
    )


def _short_difference(one: Figure) -> list[str]:
    if not one.difference.trials:
        return ["not in it", "", ""]
    return [*_difference_cells(one), f"{one.difference.better} of {one.difference.trials}"]


def best_sentences(found: Comparison) -> list[str]:
    """Which is best for the chosen fish and goal, and how sure that is."""
    known = [k for k, one in enumerate(found.best) if math.isfinite(one)]
    if not known:
        absent = [found.names[k] for k, one in enumerate(found.levels) if not one.trials]
        if absent:
            there = f"{found.whose} {_does('is', found)} not in {listed(absent)}"
            return [f"{there}: there is nothing to compare."]
        return ["Too few simulated tanks to say which is best."]
    note = (
        '"best" is the chance that its mean over very many simulated tanks would be the best of these; no '
        "chance of one tank."
    )
    first = max(known, key=lambda k: found.best[k])
    said = f"Best: {found.names[first]} (chance {chance(found.best[first])})"
    if found.best[first] >= SURE:
        return [f"{said}.", note]
    rivals = [k for k in known if k != first and found.best[k] > 1 - SURE]
    rivals = sorted(rivals, key=lambda k: -found.best[k])[:RIVALS_NAMED]
    others = " or ".join(f"{found.names[k]} ({chance(found.best[k])})" for k in rivals)
    return [f"{said}, but that is not settled: it may be {others or 'another'} as well.", note]


def _how_run(shared: Shared | None, stopped: Stopped | None) -> Section | None:
    if shared is not None:
        return section("How the trials were shared out", *shared.sentences())
    if stopped is not None:
        return section("How many trials", *stopped.sentences())
    return None


# ---- one alternative


def _block(one: Against, found: Comparison) -> Section:
    last = f"In a sentence: {sentence(one, found)}"
    if one.same:
        return section(f"What if: {one.name}", *one.changes, last)
    # the column of the guesses is left out where nothing stands in it
    kept = [k for k, head in enumerate(_HEADS) if head != "guesses" or _has_ranges(found)]
    rows = (row if len(row) == 1 else [row[k] for k in kept] for row in _rows(one, found.why))
    figures = table([_HEADS[k] for k in kept], rows, widths=[_BLOCK[k] for k in kept])
    return section(f"What if: {one.name}", *one.changes, figures, *hidden_behind(one), last)


_HEADS = ("", "as it is", "changed", "differ.", "95 %", "guesses", "better in", "worse")
_MARKS = {MILD: " (mild species)", WORST: ", whichever it is"}


def _rows(one: Against, why: str) -> Iterator[tuple[str, ...]]:
    """The figures of each group below its name."""
    marks = {**_MARKS, CHOSEN: f" ({why})"}
    for group in one.groups:
        name = f"{group.name}{marks.get(group.role, '')}"
        if not any(figure.difference.trials for figure in group.figures.values()):
            yield (f"{name}: not in this tank",)
            continue
        yield (name,)
        for goal in (LOST, PINNED) if group.role == OTHERS else GOALS:
            figure = group.figures[goal]
            cells = figure_cells(figure) if figure.difference.trials else ["-"] * 7
            yield (LABELS[goal], *cells)


def figure_cells(one: Figure) -> list[str]:
    """Before, after, difference, 95 %, guesses, in how many tanks better, in how many worse."""
    form, found = form_of(one.goal), one.difference
    spread = signed_span(one.guess_low, one.guess_high, one.goal)
    counts = (f"{found.better} of {found.trials}", str(found.worse))
    return [form(one.before), form(one.after), *_difference_cells(one), spread, *counts]


def hidden_behind(one: Against) -> list[str]:
    """Fish that are worse off, above all where the mean looks better."""
    if not one.worse:
        return []
    lost = one.chosen.figures[LOST]
    gains = lost.told and lost.difference.improved
    start = (
        f"Look twice: {one.chosen.name} are better off on the mean, but by themselves"
        if gains
        else "By themselves"
    )
    named = "; ".join(_fate(fate) for fate in one.worse[:FISH_NAMED])
    left = len(one.worse) - FISH_NAMED
    more = f"; and {left} more" if left > 0 else ""
    return [
        f"{start} these lose more of their free swimming than in the tank as it is: {named}{more}. Fish "
        f"described alike are taken together; all {one.judged} kinds that are in both were looked at, with "
        "Holm's correction for their number."
    ]


def _fate(fate: Fate) -> str:
    interval = signed_span(fate.lost.low, fate.lost.high, LOST)
    return f"{fate.label} ({signed(fate.lost.value, LOST)} %, 95 %: {interval} %)"


def sentence(one: Against, found: Comparison) -> str:
    """The one plain sentence."""
    whose, figures = one.chosen.name, one.chosen.figures
    if one.same:
        return "nothing changed in any simulated tank."
    if not any(figure.difference.trials for figure in figures.values()):
        return f"{whose} {_does('is', found)} not in this tank; {_others(one)}."
    told = [figures[goal] for goal in GOALS if figures[goal].told]
    good, bad = (
        [
            f"{_does(does[one.goal], found)} ({_size(one)})"
            for one in told
            if one.difference.improved == is_better
        ]
        for does, is_better in ((LESS, True), (MORE, False))
    )
    main = figures[found.goal].difference
    times = f"by {BY[found.goal]}, better in {main.better} of {main.trials} simulated tanks"
    if not told:
        return f"no difference is seen for {whose}; {times}; {_others(one)}."
    said = " but ".join(listed(part) for part in (good, bad) if part)
    return f"{whose} {said}{_beside_chases(figures)}; {times}; {_others(one)}."


def _does(said: str, found: Comparison) -> str:
    """What the chosen fish do: "swims free more" of a species, "swim free more" of its females."""
    first, space, rest = said.partition(" ")
    several = found.fish > 1 and found.whose != found.species
    return f"{_SEVERAL[first]}{space}{rest}" if several else said


_SEVERAL = {"swims": "swim", "is": "are", "hides": "hide"}


def _size(one: Figure) -> str:
    """How much a difference is, without its sign."""
    size = abs(one.difference.value)
    if one.goal == RECEIVED:
        return f"by {number(size)} an hour"
    return f"by {percent(size)}" if round(100 * size) else "by less than 1 %"


def _beside_chases(figures: Mapping[str, Figure]) -> str:
    """What hiding and pinning did where the chases fell: fewer chases alone may mean that it gave up."""
    fell = figures[RECEIVED].told and figures[RECEIVED].difference.improved
    untold = [name for name, goal in (("hiding", HIDDEN), ("pinning", PINNED)) if not figures[goal].told]
    return f", with no difference seen in {listed(untold)}" if fell and untold else ""


def _others(one: Against) -> str:
    worst = one.of(WORST)
    assert worst is not None
    lost = worst.figures[LOST]
    told = "no difference seen for the worst-off fish of a tank"
    if lost.told:
        way = "less" if lost.difference.improved else "more"
        told = f"the worst-off fish of a tank loses {way} of its free swimming"
    if one.worse:
        return f"{told}; worse off than before: {listed([fate.label for fate in one.worse])}"
    return f"{told}, and no other fish were seen to be worse off"


# ---- the rest


def _worst_fish(found: Comparison) -> Section:
    worst = (found.worst, *(one.worst for one in found.against))
    rows = ((name, *_fish_cells(one)) for name, one in zip(found.names, worst, strict=True))
    return section(
        "The fish described alike that lost most of their free swimming, over all simulated tanks of each",
        table(("", "fish", "lost", "95 %", "chased/h", "hidden", "pinned"), rows, widths=_WORST),
    )


def _fish_cells(one: WorstOff) -> list[str]:
    return [
        called(one.label, one.species, one.fish),
        percent(one.lost.value),
        span(one.lost.low, one.lost.high, percent),
        number(one.received),
        percent(one.hidden),
        f"{one.pinned.hits} of {one.pinned.of}" if one.pinned.of else "-",
    ]


def _pairing(found: Comparison) -> Section:
    """By how much the common seeds narrowed the intervals."""
    rows = []
    for one in found.against:
        worst = one.of(WORST)
        assert worst is not None
        cells = [percent(group.figures[goal].narrowed) for group in (worst, one.chosen) for goal in GOALS]
        rows.append((one.name, *cells))
    return section(
        "What the same seeds were worth: by how much narrower the intervals are than with seeds of their "
        f"own (a minus: wider), for the worst-off fish of each tank and for {found.whose}",
        table(("", *["lost", "chased", "hidden", "pinned"] * 2), rows, widths=_PAIRED),
    )


# ---- small words


def form_of(goal: str) -> Form:
    """How a goal is written."""
    return number if goal == RECEIVED else percent


def _difference_cells(one: Figure) -> tuple[str, str]:
    said = signed(one.difference.value, one.goal)
    interval = signed_span(one.difference.low, one.difference.high, one.goal)
    return (said if one.told else f"({said})"), interval


def signed(value: float, goal: str) -> str:
    """A difference of percentages, or on the model's scale; "0" without a sign."""
    if not math.isfinite(value):
        return "-"
    if goal != RECEIVED:
        return f"{round(100 * value):+d}" if round(100 * value) else "0"
    said = number(abs(value))
    return "0" if float(said) == 0 else f"{'-' if value < 0 else '+'}{said}"


def signed_span(low: float, high: float, goal: str) -> str:
    """``"-12 to +3"``; "-" when it is not known."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return "-"
    return f"{signed(low, goal)} to {signed(high, goal)}"
