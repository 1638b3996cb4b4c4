"""Which guesses decide the answer, in words: what ``rockshy guesses`` prints. Works no number out."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ...document import (
    Bullets,
    Code,
    Document,
    Item,
    Note,
    Paragraph,
    Section,
    document,
    flush,
    section,
    table,
)
from ...document.plain import capital, listed, many, percent
from ...measures.registry import LOST, PINNED_FISH, RECEIVED
from ...statistics.intervals import Interval
from .answer import Answer, Study
from .indices import Share, Shares
from .inputs import Guess
from .watch import to_watch, to_write

OF = {LOST: "free swimming lost", RECEIVED: "chases received", PINNED_FISH: "the chance to be pinned"}
_WIDTHS = (59, 10, 11, 9, 11)
LITTLE = 0.05  # a share below this is said to be hardly any (assumption)
FEW = 3  # named in the first sentence of an answer


def document_of(found: Study) -> Document:
    """The whole answer."""
    answers = (_answer(found, one) for one in found.answers)
    title = flush(f"{found.plan.scenario.title}: which guesses decide the answer")
    return document(title, _head(found), *answers, _watch(found), _dropped(found), _how(found))


def ranked(found: Study, shares: Shares) -> list[tuple[str, Share]]:
    """Names and shares of one answer, the largest total first; the lot of all others last."""
    own = list(zip((one.name for one in found.kept), shares.shares, strict=False))
    own.sort(key=lambda pair: -pair[1].total)
    if found.others:
        own.append((rest_name(found), shares.shares[-1]))
    return own


def seen(found: Study, shares: Shares) -> list[tuple[str, Share]]:
    """Single guesses that carry a part by themselves which luck does not explain, the largest total first."""
    rows = ranked(found, shares)[: len(found.kept)]
    return [row for row in rows if row[1].by_itself >= LITTLE and row[1].total_interval[0] > 0]


def rest_name(found: Study) -> str:
    """What the lot of all other guesses is called."""
    return f"the other {many(len(found.others), 'guess', 'guesses')} together"


def parts_in_ten(share: float) -> str:
    """``"about 5 parts in 10"``."""
    whole = round(10.0 * min(max(share, 0.0), 1.0))
    if share < LITTLE:
        return "hardly any"
    return f"about {many(max(whole, 1), 'part')} in 10"


def _head(found: Study) -> Section:
    whom, plan = found.whom, found.plan
    alike = f"; the figures are the means of {len(whom.labels)} fish" if len(whom.labels) > 1 else ""
    return section(
        f"For: {whom.name} ({whom.why}{alike})",
        f"{len(plan.guesses)} things that nobody has measured are guessed in this tank. The shares are of "
        "how far the answer varies with these guesses, without the luck of single tanks. "
        '"By itself": the part that would go if this one alone were known. "In all": with what it does '
        "only together with others, so these may add up to more than the whole.",
        "Stopped by Ctrl-C: this is what was done so far." if found.stopped else "",
    )


def _answer(found: Study, one: Answer) -> Section:
    if one.shares is None:
        return flush(f"{capital(OF[one.goal])}: not shared out; {one.why}.")
    shares = one.shares
    unit = "chases an hour (model scale)" if one.goal == RECEIVED else "%"
    low, high = (_figure(one.goal, end) for end in shares.span)
    mean = _figure(one.goal, shares.mean)
    heads = ("", "by itself", "95 %", "in all", "95 %")
    rows = ((name, *_cells(share)) for name, share in ranked(found, shares))
    return section(
        f"{capital(OF[one.goal])}: {mean} {unit} on average over the guesses, {low} to {high} in nine "
        "guesses of ten",
        *sentences(found, one),
        table(heads, rows, widths=_WIDTHS),
    )


def sentences(found: Study, one: Answer) -> list[str]:
    """What carries the spread of one answer, in plain words."""
    shares = one.shares
    assert shares is not None
    named = sorted(seen(found, shares), key=lambda row: -row[1].by_itself)[:FEW]
    told = (
        [_carried(one.goal, named)]
        if named
        else [f"No single guess can be seen to decide a part of the spread in {OF[one.goal]} by itself."]
    )
    told += [_others(found, shares), _together(shares), _luck(shares)]
    return [text for text in told if text]


def _carried(goal: str, named: list[tuple[str, Share]]) -> str:
    (first, share), *more = named
    said = [f"{parts_in_ten(share.by_itself)} come from {first}"]
    said += [f"{parts_in_ten(share.by_itself)} from {name}" for name, share in more]
    return f"Of the spread in {OF[goal]}, {listed(said)}."


def _others(found: Study, shares: Shares) -> str:
    if not found.others:
        return ""
    rest = shares.shares[-1]
    if rest.total < LITTLE:
        return f"{capital(rest_name(found))} decide hardly any of it."
    _, high = rest.total_interval
    most = f" (95 %: at most {percent(min(high, 1.0))})" if math.isfinite(high) else ""
    why = "" if found.unfollowed else "; none of them did enough by itself to be followed up"
    return f"{capital(rest_name(found))} decide {parts_in_ten(rest.total)} of it{most}{why}."


def _together(shares: Shares) -> str:
    """How much shows only where several guesses meet, as surely as the runs can tell."""
    low, high = shares.alone_interval
    if not math.isfinite(low):
        return ""
    sum_of = f"{percent(shares.alone)} of the spread (95 %: {_span((low, high))})"
    added = f"What each decides by itself adds up to {sum_of}"
    if high < 1.0 - LITTLE:
        left = parts_in_ten(1.0 - shares.alone)
        return f"{added}: {left} show only in combination, where what one does depends on another."
    if low > 1.0 - 2 * LITTLE:
        return f"{added}: each acts by itself, and hardly any of it takes two of them at once."
    return f"{added}; how much shows only in combination cannot be told yet."


def _luck(shares: Shares) -> str:
    luck, of_point = shares.luck_of_trial, shares.luck_of_point
    if not math.isfinite(luck):
        return ""
    return (
        f"Of the differences between single simulated tanks {_small(luck)} are luck (rock, fish, chance) and "
        f"the rest guesses; of those between sets of guesses (means of {shares.trials} tanks), "
        f"{_small(of_point)}."
    )


def _cells(share: Share) -> tuple[str, str, str, str]:
    return (
        _share(share.first),
        _span(share.first_interval),
        _share(share.total),
        _span(share.total_interval),
    )


def _watch(found: Study) -> Section:
    """The guesses that matter for any answer, the most telling first, and what to watch for each."""
    return section(
        "What to watch in your own tank, what tells most first",
        Bullets(tuple(_to_watch(draw, said) for draw, said in telling(found))),
        Note(
            "The numbers after the equals signs are the present guesses; put your own there instead. Where a "
            "count does not give the number itself, run the file with a low, a middle and a high value and "
            "keep the one that comes nearest to your count. Then run this again to see what is left."
        ),
    )


def _to_watch(draw: Guess, said: str) -> Item:
    below = (Paragraph(to_watch(draw)), Paragraph("Then in the file:"), Code(to_write(draw)))
    return Item(f"{draw.name} ({said})", below)


def telling(found: Study) -> list[tuple[Guess, str]]:
    """Guesses of which some answer owes a part that can be seen, and for which answers."""
    rows = []
    for k, draw in enumerate(found.kept):
        shares = {one.goal: one.shares.shares[k] for one in found.answers if one.shares is not None}
        telling_for = {goal: one for goal, one in shares.items() if one.total >= LITTLE}
        if telling_for:
            best = max(one.total for one in telling_for.values())
            parts = (f"{percent(min(one.total, 1.0))} of {OF[goal]}" for goal, one in telling_for.items())
            rows.append((best, draw, f"in all {listed(list(parts))}"))
    rows.sort(key=lambda row: -row[0])
    return [(draw, said) for _, draw, said in rows]


def _dropped(found: Study) -> Section | None:
    if not found.others:
        return None
    unfollowed = found.unfollowed
    unseen = [one for one in found.others if one not in unfollowed]
    return section(
        "What was left out after a first look (screening)",
        f"These have an effect, but others have more: {_names(unfollowed)}." if unfollowed else "",
        f"No effect could be seen ({len(unseen)}): {_names(unseen)}." if unseen else "",
    )


def _how(found: Study) -> Section:
    plan, run = found.plan, found.plan.scenario.run
    return section(
        "How it was found",
        f"{many(found.tanks, 'simulated tank')} of {many_days(run.days)} after the last arrival, the first "
        f"{many_days(run.settle_days)} to settle: {found.screening.points} sets of guesses to screen, then "
        f"{found.rows} rows of sets, each the mean of {plan.trials} tanks, the same in all of a row.",
        "Screening: all guesses moved at once; for each answer a line and a bend fitted for one guess after "
        f"another, at a level of {percent(found.screening.level)} for all guesses together. Shares: Sobol "
        "indices (Saltelli2010) of what the screening's fit leaves over, and of the fit; their "
        "intervals by drawing rows again. Products of different tanks instead of squares keep luck out. "
        "By chance a share may come out below 0, above "
        "100 %, or by itself above in all.",
        "The shares hold for the present ranges: a wider range decides more. What the file sets is not "
        "guessed, and numbers that the project holds fixed are left out.",
    )


# ---- small words


def many_days(days: float) -> str:
    """``"1 day"``, ``"0.5 days"``."""
    return f"{days:g} {'day' if days == 1 else 'days'}"


def _names(guesses: Iterable[Guess]) -> str:
    return "; ".join(one.name for one in guesses)


def _figure(goal: str, value: float) -> str:
    return f"{value:.1f}" if goal == RECEIVED else f"{100.0 * value:.0f}"


def _small(share: float) -> str:
    return "under 1 %" if share < 0.01 else percent(share)


def _share(share: float) -> str:
    return percent(share if round(100 * share) else 0.0)


def _span(ends: Interval) -> str:
    if not all(map(math.isfinite, ends)):
        return "-"
    low, high = (round(100 * end) or 0 for end in ends)
    return f"{low} to {high}"
