"""Loading beforehand what a page will ask for: the simulator, the views, and the compiled rules."""

from __future__ import annotations

import importlib
import threading
from collections.abc import Callable
from dataclasses import replace

from .... import scenarios

_LOADING = threading.Lock()
_FIRST = ("viewing.species", "viewing.view")  # what the fields need, without the model
_NEEDED = (
    *_FIRST,
    *("editing.edits", "editing.pasting", "editing.owning", "rock.view", "work.filming", "work.living"),
)


def load(*, first: bool = False) -> None:
    """Import what answers need, or only the ``first`` of them, in one thread at a time.

    Numerical packages import one another in circles; a second thread would see half of one.
    """
    for name in _FIRST if first else _NEEDED:
        with _LOADING:
            importlib.import_module(f"..{name}", __package__)


def load_ahead(*, before_rules: Callable[[], None]) -> None:
    """Import what answers need, call ``before_rules``, then have the rules ready.

    The rules are loaded by simulating the first lit hour of the demo; a fresh installation compiles them
    here, while somebody is still building a tank.
    """
    from .answers import Desk, begin
    from .first import ready_draft

    load(first=True)
    draft = ready_draft(scenarios.DEMO)
    begin(Desk(draft), "", {})
    load()
    from ..rock.view import rock_view

    rock_view(draft, 0, None)
    before_rules()
    _run_an_hour()


def _run_an_hour() -> None:
    from ....sim.run.model import HaltedError
    from ....sim.run.set_ups import set_ups
    from ....sim.run.trials import run_trial

    demo = scenarios.read(scenarios.DEMO)
    asked = iter((False,))
    try:
        run_trial(replace(demo, alternatives=()), 0, arms=set_ups(demo)[:1], halted=lambda: next(asked, True))
    except HaltedError:
        return
