"""``rockshy scenarios``: the ready scenarios with their questions."""

from __future__ import annotations

import argparse
import textwrap

from ... import scenarios
from .errors import DONE


def add_options(parser: argparse.ArgumentParser) -> None:
    """Nothing can be typed after the command."""


def carry_out(line: argparse.Namespace) -> int:
    """Print each name and question."""
    print("Ready scenarios; a name can stand in the place of a file, as in: rockshy run " + scenarios.DEMO)
    for name, question in scenarios.questions().items():
        demo = " (the demo)" if name == scenarios.DEMO else ""
        print(f"\n{name}{demo}")
        print(textwrap.fill(question, 96, initial_indent="  ", subsequent_indent="  "))
    return DONE
