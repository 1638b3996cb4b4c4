"""Made-up simulated tanks instead of the simulator, for commands and for work of a page alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest
from fake_relief import World
from rockshy.analysis.page.work import simulating
from rockshy.analysis.questions.compare import design
from rockshy.analysis.questions.relief.watch import Places
from rockshy.analysis.study import runner
from rockshy.sim.run.model import HaltedError
from rockshy.sim.run.trials import Job
from rockshy.sim.scenario.scenario import Scenario

PLACES = Places(4, (), 0.5, 0.25)


def made_up_everywhere(monkeypatch: pytest.MonkeyPatch, **how: Any) -> None:
    """Tanks as :class:`fake_relief.World` makes them of ``how``; nobody looks where the fish are."""

    def commanded(scenarios: Sequence[Scenario], jobs: Sequence[Job], **_: object) -> Iterator[Any]:
        yield from World(**how)(scenarios, list(jobs))

    def paged(
        scenarios: Sequence[Scenario], jobs: Sequence[Job], *, executor: object, halted: Callable[[], bool]
    ) -> Iterator[Any]:
        for one in World(**how)(scenarios, list(jobs)):
            if halted():
                raise HaltedError("given up")
            yield one

    for place in (runner, design):
        monkeypatch.setattr(place, "each_kept_job", commanded)
    monkeypatch.setattr(simulating, "each_job", paged)
    monkeypatch.setattr("rockshy.analysis.questions.relief.watch.places_of", lambda *_, **__: PLACES)
