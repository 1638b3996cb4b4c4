"""What a fit comes to, in words: what ``rockshy fit`` prints. Lays numbers out and works none out."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...document import Document, Section, document, flush, section, table
from ...document.cautions import CAUTIONS
from ...document.plain import Form, capital, listed, many, number, percent, span
from ...measures.registry import HIDDEN, LOST, PINNED_FISH, RECEIVED
from .answer import Fit, Level, Said
from .design import ADAPTED, GOALS, MORE

_WIDTHS = (36, 14, 17, 14, 6)
_HEADS = {
    LOST: "Free swimming lost, of what it would have if left alone",
    HIDDEN: "Hidden, of the day",
    RECEIVED: "Chased, times an hour for each fish (the model's own scale)",
    PINNED_FISH: "Pinned, of these fish",
}
_SHORT = {LOST: "lost", HIDDEN: "hidden", RECEIVED: "chased", PINNED_FISH: "pinned"}
FAR = 2.0  # standard deviations from which on a figure is named that does not fit
_MOST = 4  # such figures
ONLY_NOW = "The fit was checked for the tank as it is; for a changed tank it promises nothing."


def document_of(found: Fit) -> Document:
    """The whole answer."""
    return document(
        flush(f"{found.plan.scenario.title}: what your tally says"),
        _outside(found) if found.outside else _verdict(found),
        *(() if found.outside else (_levels(found, goal) for goal in GOALS)),
        None if found.outside else _further(found),
        None if found.outside else _moves(found),
        _figures(found),
        _how(found),
        section("Cautions", *(one.text for one in CAUTIONS if one.about == "sick fish")),
    )


def _outside(found: Fit) -> Section:
    far = [one for one in found.said if _far(one)]
    slip = "one fish taken for another, a tally of another tank, looks and chases from different days"
    then = f"First look for a slip: {slip}. "
    if found.surely_outside:
        then += "If there is none, your fish do not follow the model's rules."
    else:
        then += "Four in a hundred good tallies lie as far out. Watch twice more, then fit again."
    return section(
        f"Your fish {'do not' if found.surely_outside else 'hardly'} behave like the model's, so nothing was "
        "narrowed.",
        f"{_watched(found)} {_as_far(found)}",
        f"What does not fit: {_odd(far or found.said[:1])}.",
        then,
    )


def _verdict(found: Fit) -> Section:
    left = [
        f"{_SHORT[goal]} {percent(found.left(goal))}" for goal in GOALS if math.isfinite(found.left(goal))
    ]
    return section(
        "Your fish fit the model.",
        f"{_watched(found)} {_as_far(found)}",
        f"Left of the width before your tally: {', '.join(left)}." if left else "",
        _worst(found),
        ONLY_NOW,
    )


def _worst(found: Fit) -> str:
    """The group that loses most, before and after."""
    known = [one for one in found.levels if one.goal == LOST]
    if not known:
        return "How much free swimming these fish lose cannot be told."
    one = max(known, key=lambda level: level.after[1])
    after, before = _range(one.after, percent), _range(one.before, percent)
    return (
        f"Worst off: {one.group}; they lose {after} of their free swimming (before: {before}; 9 times in 10)."
    )


def _watched(found: Fit) -> str:
    tally = found.plan.tally
    return f"{tally.name}: {many(len(tally.watches), 'watch', 'watches')}, {tally.minutes:g} minutes."


def _as_far(found: Fit) -> str:
    of_hundred = 100 * found.beyond
    count = "fewer than 1" if of_hundred < 1 else f"{of_hundred:.0f}"
    return f"Watched the same way, {count} of 100 simulated tanks lie as far from the middle."


def _far(one: Said) -> bool:
    return max(abs(one.apart), abs(one.against)) >= FAR


def _odd(said: Sequence[Said]) -> str:
    """The figures that stand out, each with the way in which it does."""
    return "; ".join(f"{one.name}, {_way(one)}" for one in said[:_MOST])


def _way(one: Said) -> str:
    if abs(one.apart) >= FAR:
        return "much more than in the model" if one.apart > 0 else "much less than in the model"
    return f"{'more' if one.against > 0 else 'less'} than the rest of your tally suggests"


def _range(ends: tuple[float, float, float], form: Form) -> str:
    return span(ends[0], ends[2], form)


def _levels(found: Fit, goal: str) -> Section | None:
    rows = [one for one in found.levels if one.goal == goal]
    if not rows:
        return None
    form = number if goal == RECEIVED else percent
    return section(
        f"{_HEADS[goal]} (9 times in 10)",
        table(
            ("", "before", "with your tally", "under --fit", "left"),
            [_cells(one, form) for one in rows],
            widths=_WIDTHS,
        ),
    )


def _cells(one: Level, form: Form) -> tuple[str, ...]:
    ranges = (_range(ends, form) for ends in (one.before, one.after, one.again))
    return one.group, *ranges, percent(one.left)


def _further(found: Fit) -> Section:
    told = [
        f"{_SHORT[goal]} {', '.join(percent(found.longer(goal, k)) for k in range(len(MORE)))}"
        for goal in GOALS
        if math.isfinite(found.longer(goal, 0))
    ]
    more = listed([f"{one} more" for one in MORE])
    return section(
        "What more watches would bring",
        f"Left of the width before any tally, with {more}: {'; '.join(told)}."
        if told
        else "That cannot be told.",
        "Worked out from the simulated tanks, watched again the way of your fullest watch.",
    )


def _moves(found: Fit) -> Section:
    if not found.moves:
        return section(
            "What it says about things nobody has measured", "None of them moved clearly on its own."
        )
    rows = [(capital(one.name), number(one.before), number(one.after), one.unit) for one in found.moves]
    return section(
        "What it says about things nobody has measured",
        table(("", "before", "after", "unit"), rows, widths=(44, 10, 10, 10), left=(0, 3)),
        "The middle of the guesses. A tally moves several together; it measures none of these by itself.",
    )


def _figures(found: Fit) -> Section:
    rows = [(one.name, _signed(one.apart), _signed(one.against)) for one in found.said]
    return section(
        "Your figures beside the model's",
        table(("", "from its mean", "from the rest"), rows, widths=(54, 14, 14)),
        "In standard deviations of the simulated tanks; beyond 2 stands out. From the rest: from what your "
        "other figures suggest.",
    )


def _signed(value: float) -> str:
    return f"{value:+.1f}" if math.isfinite(value) else "-"


def _how(found: Fit) -> Section:
    missed = "the watcher there misses up to 60 % of the acts"
    again = ""
    if math.isfinite(found.beyond_again):
        again = (
            f"The guesses were moved towards your tally and {ADAPTED} of them simulated again: of those "
            f"tanks {100 * found.beyond_again:.0f} in 100 lie as far from their middle as yours. Their "
            "figures are "
            'under --fit; where they differ from "with your tally", believe the latter.'
        )
    return section(
        "How it was done",
        f"{found.plan.trials} simulated tanks, each with its own guess at what nobody has measured, were "
        f"watched as you watched yours; {missed}. In tests on made-up tanks the ranges held the truth about "
        "nine times in ten, as long as the fish follow the model's rules.",
        again,
    )
