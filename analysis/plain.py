"""Small words and paragraphs shared by everything that is said in prose."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Callable, Iterable, Sequence

from .rows import WIDTH

_NUMBER = re.compile(r"([0-9.]+)")
_AFTER_NUMBER = re.compile(r"(?<=[0-9]) (?=[a-zA-Z%])")


def section(name: str, sentences: Iterable[str]) -> str:
    """A heading and indented sentences; those that begin with a blank are indented once more."""
    lines = [name]
    for one in sentences:
        lines.append(paragraph(one.strip(), indent="    " if one.startswith(" ") else "  "))
    return "\n".join(lines)


def paragraph(text: str, *, indent: str = "") -> str:
    """Lines of at most 100 columns; a number stays with its unit."""
    held = _AFTER_NUMBER.sub("\u00a0", text)
    wrapped = textwrap.fill(held, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
    return wrapped.replace("\u00a0", " ")


def between(values: Sequence[float], say: Callable[[float], str]) -> str:
    """``"3 to 5 cm (1.2 to 2 in)"``, or ``"3 cm (1.2 in)"`` when lowest and highest are said alike."""
    low, high = say(min(values)), say(max(values))
    if low == high:
        return low
    pairs = zip(_NUMBER.split(low), _NUMBER.split(high), strict=True)
    return "".join(a if a == b else f"{a} to {b}" for a, b in pairs)


def many(count: int, one: str, more: str = "") -> str:
    """``"1 male"``, ``"2 males"``."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def percent(share: float) -> str:
    """``"40 %"``; "-" when it is not known."""
    return f"{100.0 * share:.0f} %" if math.isfinite(share) else "-"
