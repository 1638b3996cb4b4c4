"""How a message says what is wrong, and what was probably meant instead of a wrong name.

Finding the nearest of many names takes about a millisecond, and a file can hold tens of thousands of wrong
ones. So a message carries a hint, which is worked out only when the message is shown.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable

Hint = str | Callable[[], str]  # the nearest valid name or value, or how to find it; "" when there is none

_LONGEST = 60  # characters that are compared


class OwnWords(str):
    """Words of the program's own, shown without quotation marks."""


class Shown(OwnWords):
    """A value as a message shows it, so that the message can say "is": ``tank.length is "4 ftt"``."""


NOTHING = OwnWords("nothing")  # found where something must stand


def wrong(found: str, allowed: str, *, place: str = "") -> str:
    """What is wrong, in a sentence: ``stock 2, sex is "x"; use male, female or unsexed``.

    ``found``: a value, :class:`Shown`, or words that say it all; ``allowed``: a noun, or what follows "use".
    """
    if found == NOTHING:
        return f"{place} is missing; write {allowed}" if place else f"missing; write {allowed}"
    if not isinstance(found, Shown):
        return f"{place}: {found}; use {allowed}" if place else f"{found}; use {allowed}"
    return f"{place} is {found}; use {allowed}" if place else f"{found} is not valid; use {allowed}"


class Hinted:
    """Something wrong, with a hint."""

    hint: Hint

    @property
    def nearest(self) -> str:
        """The nearest valid name or value; empty when there is none."""
        return self.hint if isinstance(self.hint, str) else self.hint()

    def hinted(self, text: str) -> str:
        """A message with what is nearest at its end."""
        nearest = self.nearest
        return f"{text}. Did you mean {nearest}?" if nearest else text


class Refusal(Hinted, ValueError):
    """Something that cannot be: what was found, what is allowed, and a hint at the nearest.

    ``key`` is what it is about, as a scenario file calls it; "" for the whole.
    """

    def __init__(self, found: str, allowed: str, hint: Hint = "", *, key: str = "") -> None:
        super().__init__(key, found, allowed)
        self.found = found if isinstance(found, OwnWords) else OwnWords(found)
        self.key, self.allowed, self.hint = key, allowed, hint

    def at(self, place: str) -> str:
        """The message with its place: an option, a file; the key follows it."""
        return self.hinted(wrong(self.found, self.allowed, place=", ".join(filter(None, (place, self.key)))))

    def __str__(self) -> str:
        return self.at("")


def nearest(word: str, names: Iterable[str]) -> str:
    """The valid name most like ``word``, letter case ignored; empty when none is near."""
    by_lower = {name.lower(): name for name in names}
    close = difflib.get_close_matches(word.lower()[:_LONGEST], list(by_lower), n=1)
    return by_lower[close[0]] if close else ""


def hint_at(word: str, names: Iterable[str], *, otherwise: str = "") -> Hint:
    """A hint at the valid name most like ``word``, or at ``otherwise`` when none is near."""
    return lambda: nearest(word, names) or otherwise
