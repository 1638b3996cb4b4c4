"""``rockshy check``: what was understood, what the model does not judge, which cautions apply."""

from __future__ import annotations

import argparse

from ..asking.errors import DONE
from ..asking.found import Found, check_water
from ..asking.progress import OF_A_TANK
from .finding import find
from .lasting import say_how_long
from .options import add_file


def add_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Say it; nothing is run and nothing written."""
    scenario = find(line.file)
    check_water(Found(scenario, line.file, (), ""), then=OF_A_TANK)
    from ..document import as_text
    from ..questions.check.checked import checked

    print(as_text(checked(scenario)))
    say_how_long(scenario)
    return DONE
