"""A small tank for tests of events: five fish of two kinds, for three days of one lit hour."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rockshy.sim.scenario.scenario import Scenario
from rockshy.sim.scenario.timeline import Event, FishBack, FishOut
from staging import ROCKY, kind, row, scene

MILD = "Scena mitis"
KINDS = (kind(), kind(MILD, temper=0.3, timidity=2.0))
HE = "Scena communis male 2"
BUSY = {"attack_rate_s": 0.1, "claim_s": 100.0}


def staged(*events: Event, **run: Any) -> Scenario:
    """Two males and a female of one kind and two mild fish, an hour of light a day, three days."""
    rows = (row(males=2, females=1), row(MILD, males=1, females=1, length=7.0))
    timing = {"lit_hours": 1.0, "days": 3.0, **run}
    return replace(scene(*rows, kinds=KINDS, rock=ROCKY, parameters=BUSY, **timing), events=events)


AWAY = (
    FishOut(day=0.5, fish=(HE,)),
    FishBack(day=1.25, fish=(HE,), settle=False),
    FishOut(day=2.5, fish=(HE,)),
)
