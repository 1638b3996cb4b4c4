"""Tallies made of simulated tanks, as somebody would have them who watched such a tank."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
from rockshy.analysis.questions.fit.design import groups_in
from rockshy.analysis.questions.watching.model_places import is_hidden
from rockshy.analysis.questions.watching.tally import Acts, Look, Tally, Watch, Who
from rockshy.analysis.questions.watching.windows import Watched, labels_of, windows_of
from rockshy.sim.scenario.scenario import Scenario


def tally_of(
    scenario: Scenario, tank: Watched, *, watches: int = 5, minutes: int = 10, missed: float = 0.0
) -> Tally:
    """Some watches of one tank: a look a minute, how many of each group are out, and who chased whom.

    ``missed``: share of the chases that are overlooked.
    """
    rng = np.random.default_rng([tank.trial, watches])
    tank = replace(tank, events=tank.events[rng.random(len(tank.events)) >= missed])
    cut = windows_of(tank, minutes=minutes)
    groups = [Who(name, labels) for name, labels in groups_in(scenario).items()]
    member = np.array([[label in one.labels for label in labels_of(scenario)] for one in groups])
    sat, acts, looks = [], [], []
    for k, window in enumerate(rng.choice(cut.count, size=watches, replace=False), 1):
        sat.append(Watch(f"{k}", float(minutes)))
        pairs = cut.chases[cut.chases[:, 0] == window, 1:]
        for (by, own), (on, other) in itertools.product(enumerate(groups), repeat=2):
            count = int((member[by][pairs[:, 0]] & member[on][pairs[:, 1]]).sum())
            acts += [Acts(f"{k}", "chase", own, other, count)] if count else []
        scans = cut.scans[window]
        every = np.round(np.linspace(0, len(scans) - 1, minutes)).astype(int)
        seen = ~is_hidden(scans[every]) & (scans[every] >= 0)
        out = seen.astype(int) @ member.T.astype(int)
        for minute, row in enumerate(out, 1):
            looks += [
                Look(f"{k}", float(minute), one, int(n), "out") for one, n in zip(groups, row, strict=True)
            ]
    return Tally("made-up.csv", tuple(sat), tuple(acts), tuple(looks))
