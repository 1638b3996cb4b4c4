"""``rockshy scenarios``: the ready scenarios with their questions."""

from __future__ import annotations

import argparse

from ... import scenarios
from ..asking.errors import DONE


def add_options(parser: argparse.ArgumentParser) -> None:
    """Nothing can be typed after the command."""


def carry_out(line: argparse.Namespace) -> int:
    """Print each name and question."""
    from ..document import as_text, document, flush, section

    head = f"Ready scenarios; you can type a name instead of a file, as in: rockshy run {scenarios.DEMO}"
    parts = (
        section(f"{name} (the demo)" if name == scenarios.DEMO else name, question)
        for name, question in scenarios.questions().items()
    )
    print(as_text(document(flush(head), *parts)))
    return DONE
