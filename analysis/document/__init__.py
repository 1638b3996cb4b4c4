"""What is said of a result, as objects: made once, shown as text, as HTML or as plain values."""

from __future__ import annotations

from .blocks import (
    Block,
    Bullets,
    Code,
    Column,
    Document,
    Figure,
    Heading,
    Item,
    Note,
    Paragraph,
    Section,
    Table,
    Text,
    deeper,
    document,
    flush,
    section,
    table,
)
from .html import as_html
from .text import WIDTH, as_text
from .values import as_json

__all__ = [
    "WIDTH",
    "Block",
    "Bullets",
    "Code",
    "Column",
    "Document",
    "Figure",
    "Heading",
    "Item",
    "Note",
    "Paragraph",
    "Section",
    "Table",
    "Text",
    "as_html",
    "as_json",
    "as_text",
    "deeper",
    "document",
    "flush",
    "section",
    "table",
]
