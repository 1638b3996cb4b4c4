"""Loading beforehand what a page will ask for: the simulator, the views, and the compiled rules."""

from __future__ import annotations

import importlib
import threading
import time
from collections.abc import Callable
from dataclasses import replace

from .... import scenarios

_LOADING = threading.Lock()
_STEPS = (
    ("viewing.species", "viewing.view"),  # the fields, without the model
    ("rock.view",),
    ("work.living",),  # the tank, with the model
    ("editing.edits", "editing.pasting", "editing.owning", "work.filming", "work.kinds"),
)
CALM_S = 2.0  # the first tank is drawn and filmed before the rest is loaded
FIELDS, ROCK, TANK, ALL = 1, 2, 3, len(_STEPS)  # so many of them are needed


def load(steps: int = ALL) -> None:
    """Import what answers need, so many steps of it, in one thread at a time.

    Numerical packages import one another in circles; a second thread would see half of one.
    """
    for names in _STEPS[:steps]:
        with _LOADING:
            for name in names:
                importlib.import_module(f"..{name}", __package__)


def load_ahead(*, before_rules: Callable[[], None]) -> None:
    """Import what the tank needs, call ``before_rules``, have the rules ready, import the rest.

    The rules are loaded by simulating the first lit hour of the demo; a fresh installation compiles them
    here, while somebody is still building a tank.
    """
    from .answers import Desk, begin
    from .first import ready_draft

    load(FIELDS)
    draft = ready_draft(scenarios.DEMO)
    begin(Desk(draft), "", {})
    load(ROCK)
    from ..rock.view import rock_view

    rock_view(draft, 0, None)
    load(TANK)
    before_rules()
    _run_an_hour()
    time.sleep(CALM_S)
    load()


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
