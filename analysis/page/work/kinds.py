"""The kinds of work by what a page calls them."""

from __future__ import annotations

from collections.abc import Callable

from ....sim.scenario.scenario import Scenario
from ..task import Draft, Work
from .comparing import compare_copies
from .placing import place_fish, tank_of_room
from .relieving import find_relief
from .reporting import make_report
from .sweeping import sweep_rock
from .trying import try_out
from .wishing import find_best, tank_to_fill

WORK: dict[str, Work] = {
    "try": try_out,
    "compare": compare_copies,
    "relief": find_relief,
    "rock": sweep_rock,
    "report": make_report,
    "best": find_best,
    "place": place_fish,
}
# what reads the draft of a kind of work that is not about a tank with fish
READ: dict[str, Callable[[Draft], Scenario]] = {"best": tank_to_fill, "place": tank_of_room}
