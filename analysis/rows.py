"""Rows of a table inside a text: laid out in columns, and still told apart for those who lay it out anew.

A text that is laid out holds a mark before each cell and the whole of a label that had to be cut. What
is printed has neither (:func:`as_text`); a page on a screen makes tables of them.
"""

from __future__ import annotations

import re

WIDTH = 100  # columns of a terminal that texts are laid out for
CELL = "\x1f"  # stands before each cell but the first
WHOLE = "\x1d"  # encloses the whole of a label that is cut in the column behind it
_MARKS = re.compile(f"{WHOLE}[^{WHOLE}]*{WHOLE}|{CELL}")


def row(label: str, *cells: str, widths: tuple[int, ...], first: int, gap: int = 0) -> str:
    """One line of a table, with marks; a long label is cut so that the columns stay in line.

    Parameters
    ----------
    label : the first cell, flush left.
    cells : the others, flush right; fewer than ``widths`` leave the last columns empty.
    widths : of the other columns.
    first : width of the first column.
    gap : blanks at least between two cells.
    """
    whole = label if len(label) < first else f"{WHOLE}{label}{WHOLE}{label[: first - 2]}~ "
    pad = " " * max(0, first - len(label))
    laid = "".join(
        f"{CELL}{' ' * gap}{cell:>{width - gap}}" for cell, width in zip(cells, widths, strict=False)
    )
    return f"{whole}{pad}{laid}".rstrip()


def as_text(laid_out: str) -> str:
    """The text as it is printed, without marks."""
    return _MARKS.sub("", laid_out)
