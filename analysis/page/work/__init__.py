"""What a page can ask to be simulated, one kind of work a file."""

from __future__ import annotations

from ..task import Work
from .comparing import compare_copies
from .relieving import find_relief
from .reporting import make_report
from .sweeping import sweep_rock
from .trying import try_out

WORK: dict[str, Work] = {
    "try": try_out,
    "compare": compare_copies,
    "relief": find_relief,
    "rock": sweep_rock,
    "report": make_report,
}
