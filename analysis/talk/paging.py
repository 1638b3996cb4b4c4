"""Which set-ups stand together on a slide of before and after, so that each is shown under its whole name."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from .facts import SetUp

PAGE_LINES, LINE_SIGNS = 15, 19  # lines of text that fit on such a slide, and signs of a line of a name


def pages_of(setups: Sequence[SetUp]) -> list[tuple[int, ...]]:
    """Places of the set-ups slide by slide: the base on each, the others in order, as many as fit."""
    pages, left = [[0]], PAGE_LINES - lines_of(setups[0].name)
    for place, one in enumerate(setups[1:], 1):
        needed = lines_of(one.name) + 1
        if needed > left and len(pages[-1]) > 1:
            pages.append([0])
            left = PAGE_LINES - lines_of(setups[0].name)
        pages[-1].append(place)
        left -= needed
    return [tuple(page) for page in pages]


def lines_of(name: str) -> int:
    """Lines that the name of a set-up takes beside its row; no row is lower than two."""
    return max(2, len(textwrap.wrap(name, LINE_SIGNS)))
