"""An estimate in words: the verdict first, what it differs by, and that it is no answer yet."""

from __future__ import annotations

from ....sim.scenario.units import say_length_cm
from ...document.brief import Brief
from ...document.plain import called, capital, percent, span
from .amounts import Along
from .answer import Difference, Estimate, Foretold
from .sliders import COVER, HEIGHT, Slider

IS_NONE = "An estimate from {tanks} other tanks with these species, not yet a run of this one."

HELPS = {  # more of a slider, less of it
    COVER: ("More rock helps", "Less rock helps"),
    HEIGHT: ("Higher rock helps", "Lower rock helps"),
    ("length_cm", None): ("A longer tank helps", "A shorter tank helps"),
    ("width_cm", None): ("More from front to back helps", "Less from front to back helps"),
}
OF_FISH = ("More of them help", "Fewer of them help")


def brief_of(found: Estimate) -> Brief:
    """Who has it worst, better or worse than before, and what that rests on."""
    worst = found.worst
    then = than_before(worst.change) if worst.change else ""
    return Brief("", verdict(worst), then=then, sure=IS_NONE.format(tanks=found.tanks))


def verdict(one: Foretold) -> str:
    """How bad it is for a group, in the words of an answer."""
    many = len(one.kind.labels)
    who = called(one.kind.name, one.kind.species, many)
    keep, they = ("keep", "they") if many > 1 else ("keeps", "it")
    band = span(one.low, one.high, percent)
    alone = f"of the swimming about {they} would do if left alone"
    return f"{capital(one.word)}, perhaps: {who} {keep} about {percent(one.kept)} ({band}) {alone}."


def than_before(change: Difference) -> str:
    """Better or worse than the tank as it was, as far as that can be told."""
    low, high = (round(100 * end) for end in (change.low, change.high))
    if change.sign == 0:
        return f"No telling whether that is better or worse than before ({_more(low)} to {_more(high)})."
    better, ends = ("Better", (low, high)) if change.sign > 0 else ("Worse", (-high, -low))
    more = "more" if change.sign > 0 else "less"
    value = abs(round(100 * change.value))
    return f"{better} than before: about {value} % {more} of it ({ends[0]} to {ends[1]} %)."


def _more(amount: int) -> str:
    return f"{abs(amount)} % {'less' if amount < 0 else 'more'}"


def where_enough(one: Along) -> str:
    """Up to where more or less of a slider helps, or that it matters little or cannot be told."""
    if not one.is_told:
        return "No telling whether this matters."
    if not one.matters:
        return "Makes little difference here."
    (first, last), ends = one.good, (0, len(one.amounts) - 1)
    low, high = (_amount(one.slider, one.amounts[k].value) for k in (first, last))
    more, less = HELPS.get(one.slider.way, OF_FISH)
    if last == ends[1]:
        return (
            f"{more} all the way to {high}." if first == last else f"{more} up to about {low}, little beyond."
        )
    if first == ends[0]:
        return (
            f"{less} all the way down to {low}."
            if first == last
            else f"{less} down to about {high}, little below."
        )
    return f"Best at about {low}." if first == last else f"Best from about {low} to {high}."


def _amount(slider: Slider, value: float) -> str:
    if slider.way == COVER:
        return percent(value)
    return f"{value:.0f}" if slider.way[1] is not None else say_length_cm(round(value))
