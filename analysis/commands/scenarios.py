"""``rockshy scenarios``: the ready scenarios with their questions."""

from __future__ import annotations

import argparse

from ... import scenarios
from ...scenarios import rooms
from ..asking.errors import DONE


def add_options(parser: argparse.ArgumentParser) -> None:
    """Nothing can be typed after the command."""


def carry_out(line: argparse.Namespace) -> int:
    """Print each name and question, rooms apart."""
    from ..document import as_text, document, flush, section

    head = f"Ready scenarios; you can type a name instead of a file, as in: rockshy run {scenarios.DEMO}"
    parts = (
        section(f"{name} (the demo)" if name == scenarios.DEMO else name, question)
        for name, question in scenarios.questions().items()
    )
    below = "Ready fish rooms, as in: rockshy place club-room"
    others = (section(name, question) for name, question in rooms.questions().items())
    print(as_text(document(flush(head), *parts, flush(below), *others)))
    return DONE
