"""Texts of the command line as the browser is given them: pieces to lay out, nothing worked out anew."""

from __future__ import annotations

from typing import Any

from ..report.html import Heading, Paragraph, Piece, has_head, pieces


def pieces_json(laid_out: str) -> list[dict[str, Any]]:
    """A laid-out text (:mod:`rockshy.analysis.rows`) as plain values, in order.

    Returns
    -------
    list of dict
        ``{"kind": "heading", "text"}``, ``{"kind": "text", "text", "deeper"}`` or ``{"kind": "table", "rows",
        "head"}``; ``head``: whether the first row names the columns. All rows of a table are equally long.
    """
    return [_told(piece) for piece in pieces(laid_out)]


def _told(piece: Piece) -> dict[str, Any]:
    if isinstance(piece, Heading):
        return {"kind": "heading", "text": piece.text}
    if isinstance(piece, Paragraph):
        return {"kind": "text", "text": piece.text, "deeper": piece.deeper}
    width = max(len(one) for one in piece.rows)
    rows = [[*(cell.strip() for cell in one), *[""] * (width - len(one))] for one in piece.rows]
    return {"kind": "table", "rows": rows, "head": has_head(piece.rows)}
