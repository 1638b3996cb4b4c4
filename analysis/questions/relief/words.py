"""What helps, in words: what ``rockshy relief`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ...document import Bullets, Document, Item, Paragraph, Section, document, flush, section, table
from ...document.cautions import CAUTIONS, FIRST, has_rock
from ...document.plain import Form, many, percent, span, tenths
from ...evidence.doubts import doubts
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from ...statistics.intervals import Estimate
from .answer import HARMS, HELPS, ITSELF, SIFTED, UNTOLD, WORSE, Figure, Relief, Tried
from .costs import cost_words
from .others import WORST, Other
from .watch import Watch
from .watch_words import watch_sections

_WIDTHS = (66, 8, 15, 11)
MOST_POINTS = 100  # limits as wide say nothing


def document_of(found: Relief, watch: Watch, *, typed: bool = True) -> Document:
    """The whole answer, warning signs first; ``typed``: for somebody who types commands."""
    return document(
        flush(f"{found.plan.scenario.title}: what helps"),
        flush(FIRST),
        _whom(found),
        _forward(found),
        _harms(found),
        doubts("relief"),
        _list(
            found,
            SIFTED,
            "Looked better in the sift but was not followed up; more simulated tanks would tell",
        ),
        _list(found, UNTOLD, "Too close to call"),
        _list(found, WORSE, "Makes it worse"),
        _itself(found),
        _how(found, typed),
        *watch_sections(found, watch),
        _cautions(found),
    )


def _whom(found: Relief) -> Section:
    whom, base, alike = found.whom, found.base, len(found.whom.labels)
    those = f"; {alike} fish, the figures are their means" if alike > 1 else ""
    they = (
        f"In the tank as it is, of the free swimming they would have if left alone they lose "
        f"{_with_range(base[LOST])}. They hide {percent(base[HIDDEN].value)} of the lit time, "
        f"{percent(base[PINNED_FISH].value)} of them are pinned to one place, and each is chased "
        f"{tenths(base[RECEIVED].value)} times an hour (model scale)."
    )
    return section(f"For: {whom.name} ({whom.why}{those})", they)


def _with_range(one: Estimate) -> str:
    if not math.isfinite(one.low):
        return percent(one.value)
    guesses = ""
    if math.isfinite(one.guess_low):
        ends = span(one.guess_low, one.guess_high, percent)
        guesses = f"; over the guesses at what nobody has measured: {ends}"
    return f"{percent(one.value)} (95 %: {span(one.low, one.high, percent)}{guesses})"


# ---- what is put forward


def _forward(found: Relief) -> Section:
    helps = found.of(HELPS)
    if not helps:
        return flush(f"Put forward: nothing. {why_none(found)}")
    heading = "Put forward: it helps them, and no other fish was seen to be worse off"
    return section(heading, Bullets(tuple(map(_entry, helps)), numbered=True))


def why_none(found: Relief) -> str:
    """Why nothing is put forward."""
    if found.stopped:
        return "The run was stopped before it could be confirmed."
    if found.of(HARMS):
        return "Whatever helps them makes other fish worse off."
    return "Nothing that was tried helps them beyond doubt."


def _harms(found: Relief) -> Section | None:
    harms = found.of(HARMS)
    if not harms:
        return None
    return section(
        "Not put forward: it helps them but makes others worse off", Bullets(tuple(map(_entry, harms)))
    )


def _entry(one: Tried) -> Item:
    return Item(one.change.name, tuple(map(Paragraph, sentences(one))))


def sentences(one: Tried) -> list[str]:
    """What a change does to the fish and to others, and what it takes."""
    if one.verdict == ITSELF:
        texts = [_ended(one)]
    elif one.verdict in (HELPS, HARMS):
        texts = [_gain(one.figures[LOST]), _beside(one.figures), _others(one), _bought(one)]
    else:
        moved, limits, better = row_cells(one)
        texts = [f"Lost: {moved} % (95 %: {limits}); better in {better} simulated tanks."]
        texts += [_beside(one.figures), _others(one)]
    texts.append(_away(one))
    texts.append(f"Takes: {cost_words(one.change.cost)}.")
    texts.append(f"Note: {one.change.note}." if one.change.note else "")
    return [text for text in texts if text]


def _away(one: Tried) -> str:
    if round(100 * one.away) < 1 or not one.change.cost.by_rule:
        return ""
    return f"They are out of the tank for {percent(one.away)} of the time that they are in without it."


def _gain(lost: Figure) -> str:
    change = lost.difference
    return (
        f"They lose {percent(lost.after)} instead of {percent(lost.before)}: {percent(-change.value)} "
        f"less (95 %: {limits_said(-change.high, -change.low)}), better in {change.better} of "
        f"{change.trials} simulated tanks."
    )


def _beside(figures: Mapping[str, Figure]) -> str:
    named: tuple[tuple[str, str, Form, str], ...] = (
        (HIDDEN, "hidden", percent, "of the lit time"),
        (PINNED_FISH, "pinned", percent, "of them"),
        (RECEIVED, "chased", tenths, "times an hour (model scale)"),
    )
    parts = []
    for goal, verb, say, of in named:
        if goal in figures:
            before, after = say(figures[goal].before), say(figures[goal].after)
            parts.append(f"{verb} {after} {of}" if before == after else f"{verb} {before} -> {after} {of}")
    return f"Beside that: {'; '.join(parts)}." if parts else ""


def _others(one: Tried) -> str:
    if one.worse:
        return f"Worse off: {'; '.join(_worse(other) for other in one.worse)}."
    asked = [other for other in one.others if other.goal == LOST]
    if not asked:
        return "No other fish stays in the tank."
    near = max(asked, key=lambda other: other.difference.value)
    if round(100 * near.difference.value) < 1:
        return "Others: none of them loses more on the average."
    return f"Others: none worse off beyond doubt; nearest to it {_worse(near)}."


def _worse(other: Other) -> str:
    change = other.difference
    moved = f"{percent(other.before)} -> {percent(other.after)}"
    what = f"pinned {moved} of them" if other.goal == PINNED_FISH else f"lost {moved}"
    name = other.name if other.name != WORST else f"{WORST},"
    return f"{name} {what} (95 %: by {limits_said(change.low, change.high)})"


def _bought(one: Tried) -> str:
    if not math.isfinite(one.added_lost):
        return ""
    return f"The fish bought lose {percent(one.added_lost)} of their own free swimming."


# ---- the rest


def _list(found: Relief, verdict: str, title: str) -> Section | None:
    those = found.of(verdict)
    if not those:
        return None
    rows = ((one.change.name, *row_cells(one)) for one in those)
    return Section((table((title, "lost", "95 %", "better in"), rows, widths=_WIDTHS),))


def row_cells(one: Tried) -> tuple[str, str, str]:
    """Change of what is lost in percent, its 95 % interval, and in how many tanks it was better."""
    change = one.figures[LOST].difference
    limits = f"{_signed(change.low)} to {_signed(change.high)}" if _is_telling(one) else "-"
    return _signed(change.value), limits, f"{change.better} of {change.trials}"


def _is_telling(one: Tried) -> bool:
    change = one.figures[LOST].difference
    return bool(math.isfinite(change.low) and 100 * change.half_width < MOST_POINTS)


def _itself(found: Relief) -> Section | None:
    texts = [
        f"{one.change.name}: {_ended(one)} Takes: {cost_words(one.change.cost)}." for one in found.of(ITSELF)
    ]
    return section("The fish itself out", *texts) if texts else None


def _ended(one: Tried) -> str:
    return f"that ends its trouble in this tank. {_others(one)}"


def _how(found: Relief, typed: bool) -> Section:
    plan, sifted = found.plan, len(found.tried)
    followed = sum(one.confirmed for one in found.tried)
    tanks = (
        f"{many(found.tanks, 'simulated tank')}: each change in {plan.block}, the better half in as many more"
    )
    fresh = f", the best {followed} in up to {len(plan.fresh)} fresh ones" if followed else ""
    cut = f"Stopped{' by Ctrl-C' if typed else ''}: of what was done so far. "
    texts = [f"{cut if found.stopped else ''}{tanks}{fresh}."]
    if plan.months:
        texts.append(
            f"Each tank lives through {many(plan.months, 'month')} in blocks of days, as in rockshy life; a "
            "week is told by one measured day. What a rule of thumb takes is counted there; days on which a "
            "fish is out do not count for it."
        )
    else:
        texts.append(
            "Time-outs, rules of thumb, a divider and own kind first by weeks are tried where a tank lives "
            "through months (rockshy relief --months)."
        )
    if followed:
        texts.append(
            "The best of many looks better than it is: what is put forward rests on the fresh tanks alone. "
            f"Intervals hold for all {followed} that were followed up, else for all {sifted}, at once."
        )
    texts += [
        '"lost": how much more they lose of the free swimming they would have if left alone; a minus is '
        "less. Worse off: a loss, or the share pinned, grew by more than luck (5 % level, Holm's "
        "correction); asked of the fish described alike, of each species and of the worst-off fish of each "
        "tank. That nobody was seen to be worse off is no proof.",
        "Fish described alike are the same to the model: one that is taken out stands for any of them. Every "
        "change is tried from the first day, all fish being newcomers; a tank that has long settled may "
        "answer less, or more.",
    ]
    if found.left_out:
        left_out = "; ".join(one.name for one in found.left_out)
        texts.append(f"Do not apply here{' (--json says why)' if typed else ''}: {left_out}.")
    return section("How it was found", *texts)


def _cautions(found: Relief) -> Section:
    scenario = found.plan.scenario
    rocky = has_rock(scenario)
    lifts = any(one.change.cost.rock_kg is not None for one in found.tried)
    said = {"power": True, "law": True, "rock": lifts or rocky}
    texts = [one.text for one in CAUTIONS if said.get(one.about, False)]
    if rocky:
        texts.insert(0, "To catch a fish, most of the rock comes out first (common practice, no source).")
    return flush(" ".join(texts))


# ---- numbers


def limits_said(low: float, high: float) -> str:
    """``"2 to 12 %"``."""
    return f"{round(100 * low)} to {round(100 * high)} %" if math.isfinite(low) else "-"


def _signed(share: float) -> str:
    whole = round(100 * share)
    return f"{whole:+d}" if whole else "0"
