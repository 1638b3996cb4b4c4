"""Small words and numbers shared by everything that is said in prose."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..statistics.intervals import Estimate

Form = Callable[[float], str]

_NUMBER = re.compile(r"([0-9.]+)")


def between(values: Sequence[float], say: Form) -> str:
    """``"3 to 5 cm (1.2 to 2 in)"``, or ``"3 cm (1.2 in)"`` when lowest and highest are said alike."""
    low, high = say(min(values)), say(max(values))
    if low == high:
        return low
    pairs = zip(_NUMBER.split(low), _NUMBER.split(high), strict=True)
    return "".join(a if a == b else f"{a} to {b}" for a, b in pairs)


def span(low: float, high: float, form: Form) -> str:
    """``"9 to 53 %"``; "-" when it is not known."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return "-"
    first = form(low).removesuffix(" %").removesuffix(" x")
    return f"{first} to {form(high)}"


def estimate_cells(found: Estimate, form: Form) -> tuple[str, str, str]:
    """A figure, its 95 % interval and its range over guesses."""
    return (
        form(found.value),
        span(found.low, found.high, form),
        span(found.guess_low, found.guess_high, form),
    )


def many(count: int, one: str, more: str = "") -> str:
    """``"1 male"``, ``"2 males"``."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def tank_name(trial: int) -> str:
    """``"simulated tank 8"`` for trial 7: on screens tanks are counted from 1, in files trials from 0."""
    return f"simulated tank {trial + 1}"


UNSEXED = " unsexed fish"  # the end of the name of several in a table


def called(label: str, species: str, many: int = 1) -> str:
    """Fish by a short name, and how many they are: ``"P. curvifrons females (6)"``."""
    genus, _, rest = species.partition(" ")
    name = label.replace(species, f"{genus[0]}. {rest}", 1) if rest else label
    if name.endswith(UNSEXED):
        name = f"unsexed {name.removesuffix(UNSEXED)}"
    if many == 1:
        return name
    if name.endswith("male"):  # "duboisi females" were asked for, and are known by their sex
        name = f"{name}s"
    return f"{name[:-1]}; {many})" if name.endswith(")") else f"{name} ({many})"


def listed(words: Sequence[str]) -> str:
    """``"one"``, ``"one, two and three"``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def capital(text: str) -> str:
    """The text with a capital letter at its beginning."""
    return f"{text[:1].upper()}{text[1:]}"


def percent(share: float) -> str:
    """``"40 %"``; "-" when it is not known."""
    return f"{round(100 * share)} %" if math.isfinite(share) else "-"


def chance(share: float) -> str:
    """A chance that was counted in draws: never quite none, never quite sure; "-" when it is not known."""
    return "under 1 %" if share < 0.01 else "over 99 %" if share > 0.99 else percent(share)


def number(value: float) -> str:
    """Two figures that matter, or the whole number; "-" when it is not known."""
    if not math.isfinite(value):
        return "-"
    size = abs(value)
    digits = 0 if size >= 9.95 or size == 0 else 1 if size >= 0.995 else 2
    return f"{round(value, digits) + 0.0:.{digits}f}"  # + 0.0: no "-0.00"


def tenths(value: float) -> str:
    """The whole number, below ten with its tenths; "-" when it is not known."""
    if not math.isfinite(value):
        return "-"
    return f"{value:.0f}" if abs(value) >= 9.95 else f"{value:.1f}"
