"""An estimate in words: the verdict first, what it differs by, and that it is no answer yet."""

from __future__ import annotations

from ...document.brief import Brief
from ...document.plain import called, capital, percent, span
from .answer import Difference, Estimate, Foretold

IS_NONE = "An estimate from {tanks} other tanks with these species, not yet a run of this one."


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
