"""A document as HTML: everything in it is shown as text, whatever it holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .blocks import Block, Document, Section
from .templates import render
from .values import as_json

if TYPE_CHECKING:
    from collections.abc import Iterable

    from markupsafe import Markup


def as_html(shown: Document | Section | Iterable[Block], *, level: int = 3) -> Markup:
    """The blocks in order; headings of the given level."""
    return render("document/blocks.html", blocks=as_json(shown), level=level)
