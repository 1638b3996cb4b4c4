"""``rockshy check``: what to look at before a run; in full what was understood, and which cautions apply."""

from __future__ import annotations

import argparse
import contextlib
from typing import TYPE_CHECKING

from ..asking.errors import DONE
from ..asking.found import Found, check_water
from ..asking.progress import OF_A_TANK
from .finding import find
from .lasting import say_how_long
from .options import add_file, add_full

if TYPE_CHECKING:
    from ...sim.scenario.scenario import Scenario

MORE = "What keepers do is common practice, without a source. For everything add --full."


def add_options(parser: argparse.ArgumentParser) -> None:
    add_file(parser)
    add_full(parser)


def carry_out(line: argparse.Namespace) -> int:
    """Say it; nothing is run and nothing written."""
    scenario = find(line.file)
    check_water(Found(scenario, line.file, (), ""), then=OF_A_TANK)
    from ..document import as_text, document, flush
    from ..questions.check.brief import brief_of
    from ..questions.check.checked import checked
    from ..questions.check.drawn import draw_few

    brief = brief_of(scenario, draw_few(scenario))
    rest = checked(scenario).sections if line.full else (flush(MORE),)
    print(as_text(document(brief, *rest)))
    say_how_long(scenario, days=_lived_days(scenario))
    return DONE


def _lived_days(scenario: Scenario) -> float | None:
    """Days that are simulated of a file that is lived through in blocks; None for one that is not."""
    from ..questions.life.design import LifeError
    from ..questions.life.instead import lived_of

    with contextlib.suppress(LifeError):
        return lived_of([scenario], None).simulated_days
    return None
