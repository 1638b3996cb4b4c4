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
    RECEIVED: "Chased, times an hour and fish (the model's own scale)",
    PINNED_FISH: "Pinned, of these fish",
}
_SHORT = {LOST: "lost", HIDDEN: "hidden", RECEIVED: "chased", PINNED_FISH: "pinned"}
FAR = 2.0  # standard deviations from which on a figure is named that does not fit
_MOST = 4  # such figures
ONLY_NOW = "Only the tank as it is was checked: of a changed tank the fit promises nothing."


def document_of(found: Fit) -> Document:
    """The whole answer."""
    return document(
        flush(f"{found.plan.scenario.title}: what your tally tells"),
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
    slip = "fish taken for others, a tally of another tank, looks and chases of unlike days"
    then = f"Look first for a slip: {slip}. "
    if found.surely_outside:
        then += "If there is none, these fish follow other rules than the model's."
    else:
        then += "Three in a hundred true tanks lie as far out. Watch twice more, then fit again."
    return section(
        f"Your fish {'do not' if found.surely_outside else 'hardly'} behave as the model's do: nothing was "
        "narrowed.",
        f"{_watched(found)} {_as_far(found)}",
        f"What does not go together with it: {_odd(far or found.said[:1])}.",
        then,
    )


def _verdict(found: Fit) -> Section:
    left = [
        f"{_SHORT[goal]} {percent(found.left(goal))}" for goal in GOALS if math.isfinite(found.left(goal))
    ]
    return section(
        "Your fish can be fish of the model.",
        f"{_watched(found)} {_as_far(found)}",
        f"Of the width that was it leaves: {', '.join(left)}." if left else "",
        _worst(found),
        ONLY_NOW,
    )


def _worst(found: Fit) -> str:
    """The group that loses most, before and after."""
    known = [one for one in found.levels if one.goal == LOST]
    if not known:
        return "What is lost of free swimming cannot be told of any of these fish."
    one = max(known, key=lambda level: level.after[1])
    after, before = _range(one.after, percent), _range(one.before, percent)
    return (
        f"Worst off: {one.group}; of their free swimming {after} is lost (before: {before}; 9 times in 10)."
    )


def _watched(found: Fit) -> str:
    tally = found.plan.tally
    return f"{tally.name}: {many(len(tally.watches), 'watch', 'watches')}, {tally.minutes:g} minutes."


def _as_far(found: Fit) -> str:
    of_hundred = 100 * found.beyond
    count = "fewer than 1" if of_hundred < 1 else f"{of_hundred:.0f}"
    return f"Watched alike, {count} of 100 simulated tanks lie as far from the middle."


def _far(one: Said) -> bool:
    return max(abs(one.apart), abs(one.against)) >= FAR


def _odd(said: Sequence[Said]) -> str:
    """The figures that stand out, each with the way in which it does."""
    return "; ".join(f"{one.name}, {_way(one)}" for one in said[:_MOST])


def _way(one: Said) -> str:
    if abs(one.apart) >= FAR:
        return "much more than in the model" if one.apart > 0 else "much less than in the model"
    return f"{'more' if one.against > 0 else 'less'} than goes with the rest of your tally"


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
        "What further watches would buy",
        f"Width left with {more}, of that before any tally: {'; '.join(told)}."
        if told
        else "Nothing is told.",
        "Worked out from the simulated tanks, watched again as in the fullest of your watches.",
    )


def _moves(found: Fit) -> Section:
    if not found.moves:
        return section("What it says of things nobody has measured", "No single one of them moved clearly.")
    rows = [(capital(one.name), number(one.before), number(one.after), one.unit) for one in found.moves]
    return section(
        "What it says of things nobody has measured",
        table(("", "before", "after", "unit"), rows, widths=(44, 10, 10, 10), left=(0, 3)),
        "The middle of the draws. A tally moves what goes together; it measures none of these by itself.",
    )


def _figures(found: Fit) -> Section:
    rows = [(one.name, _signed(one.apart), _signed(one.against)) for one in found.said]
    return section(
        "Your figures beside the model's",
        table(("", "from its mean", "from the rest"), rows, widths=(54, 14, 14)),
        "In standard deviations of the simulated tanks; beyond 2 stands out. From the rest: from what your "
        "other figures let expect.",
    )


def _signed(value: float) -> str:
    return f"{value:+.1f}" if math.isfinite(value) else "-"


def _how(found: Fit) -> Section:
    missed = "a watcher there overlooks up to 60 % of the acts"
    again = ""
    if math.isfinite(found.beyond_again):
        again = (
            f"The draws were moved towards your tally and {ADAPTED} of them simulated again: among those "
            f"tanks {100 * found.beyond_again:.0f} of 100 lie as far from their middle as yours. What they "
            "came to stands under --fit; where it lies beside your tally's range, believe that range."
        )
    return section(
        "How it was done",
        f"{found.plan.trials} simulated tanks, each with a draw of its own of what nobody has measured, were "
        f"watched as you watched yours; {missed}. Ranges hold the truth in about nine of ten made-up true "
        "tanks, as long as fish follow the model's rules.",
        again,
    )
