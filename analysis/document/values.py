"""A document as plain values, for a program or a browser."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from typing import Any

from .blocks import Block, Bullets, Code, Document, Figure, Heading, Item, Note, Paragraph, Section, Table


def as_json(shown: Document | Section | Iterable[Block | str]) -> list[dict[str, Any]]:
    """The blocks in order; a text is a paragraph.

    Returns
    -------
    list of dict
        Each with "kind": "heading" or "note" ("text"), "text" ("text"; "deeper": it belongs to the one
        above), "code" ("lines"), "list" ("numbered", "items" with "text" and "below"), "table" ("rows";
        "head": whether the first of them names the columns; "words": numbers of the columns that hold words)
        or "figure" ("caption", "png" in base 64). A row of a table has as many cells as there are columns,
        or one, which names the rows below it.
    """
    blocks = shown.blocks if isinstance(shown, Document | Section) else shown
    return [_told(Paragraph(one) if isinstance(one, str) else one) for one in blocks]


def _told(block: Block) -> dict[str, Any]:
    match block:
        case Heading(text):
            return {"kind": "heading", "text": text}
        case Paragraph(text, depth):
            return {"kind": "text", "text": text, "deeper": depth > 1}
        case Note(text):
            return {"kind": "note", "text": text}
        case Code(lines):
            return {"kind": "code", "lines": list(lines)}
        case Bullets(items, numbered):
            return {"kind": "list", "numbered": numbered, "items": [_item(one) for one in items]}
        case Table():
            return _table(block)
        case Figure(png, caption):
            return {"kind": "figure", "caption": caption, "png": base64.b64encode(png).decode()}


def _item(one: Item) -> dict[str, Any]:
    return {"text": one.text, "below": as_json(one.below)}


def _table(block: Table) -> dict[str, Any]:
    many = len(block.columns)
    rows = [[one.head for one in block.columns]] if block.has_head else []
    rows += [[*row, *[""] * (many - len(row))] if len(row) > 1 else list(row) for row in block.rows]
    return {
        "kind": "table",
        "rows": [[cell.strip() for cell in row] for row in rows],
        "head": block.has_head,
        "words": [k for k, one in enumerate(block.columns) if one.left],
    }
