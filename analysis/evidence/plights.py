"""``python -m rockshy.analysis.evidence.plights``: where the words for how bad it is begin and end.

In every ready scenario, with what nobody has measured drawn anew for each tank, it takes what the worst-off
fish keep of the free swimming they would have if left alone, and what the watched species keeps among its own
kind. Fish are at ease from the lower quartile of the second on; of the first the best quarter is held back,
the middle half hard pressed, the worst quarter shut away. Each bound is rounded to a twentieth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from ... import scenarios
from ...sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND
from ...sim.scenario.scenario import Scenario
from ..asking.progress import Progress, say
from ..document.files import json_text
from ..document.writing import write_text
from ..measures.plight import RECORD
from ..measures.whom import kinds_of
from ..questions.answer.answer import answer
from ..study.runner import kept_trials
from . import fingerprint
from .command import leave, parser

TRIALS, QUICK_TRIALS = 32, 4
STEP = 20  # bounds are multiples of 1 / STEP
FOLDER = Path(__file__).parent.parent / "measures"


def kept_in(scenario: Scenario, *, trials: int) -> tuple[float, float]:
    """What the worst-off fish keep of their free swimming, and the watched species among its own kind."""
    asked = replace(scenario, run=replace(scenario.run, trials=trials))
    found = answer(kept_trials(asked), alike=kinds_of(asked))
    worst, watched = found.alike[0], found.species[0].figures
    own = (
        watched[OWN_KIND if OWN_KIND in watched else AS_STOCKED]["free"].value
        / watched[LEFT_ALONE]["free"].value
    )
    assert worst.lost is not None
    return 1.0 - worst.lost.value, own


def bounds_of(worst: Sequence[float], own: Sequence[float]) -> list[float]:
    """The least shares kept of the first three words, descending."""
    raw = (np.quantile(own, 0.25), np.quantile(worst, 0.75), np.quantile(worst, 0.25))
    return [round(float(one) * STEP) / STEP for one in raw]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the ready scenarios, print the bounds, write them where asked for."""
    reader = parser(".plights", (__doc__ or "").split("\n")[0], quick="few tanks", record="write the bounds")
    line = reader.parse_args(argv)
    trials = QUICK_TRIALS if line.quick else TRIALS
    names = scenarios.names()
    found = {}
    with Progress(trials * len(names)) as progress:
        for done, name in enumerate(names, start=1):
            found[name] = kept_in(scenarios.load(name), trials=trials)
            progress(trials * done, trials * len(names))
    worst, own = zip(*found.values(), strict=True)
    record = {
        "bounds": bounds_of(worst, own),
        "trials": trials,
        "draws": fingerprint.of_draws(),
        "kept": {name: [round(one, 3) for one in kept] for name, kept in found.items()},
    }
    print(json_text(record))
    if line.record:
        write_text(FOLDER / RECORD, json_text(record) + "\n")
        say(f"Written: {RECORD}")
    return 0


if __name__ == "__main__":
    leave(main())
