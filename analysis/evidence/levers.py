"""``python -m rockshy.analysis.evidence.levers``: do the levers that keepers pull do anything in the model?

What keepers say is common practice and has no source: nothing here speaks for or against a published pattern.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import json
import math
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ...sim.rules.support.rule_set import Rules
from ...sim.run.running import own_cores
from ...sim.run.trials import Job
from ...sim.scenario.scenario import Scenario
from ..asking.errors import DONE, REFUSED, STOPPED
from ..asking.numbers import within
from ..asking.progress import OF_A_RUN, Progress, say_if_preparing
from ..document import as_text
from ..measures.registry import FREE, PINNED_FISH, RECEIVED
from ..measures.row import BOTH, STOCKED, TankRow, value_of
from ..statistics.paired import paired_difference
from ..study.runner import Batch, Runner, Study
from ..study.runner import Progress as Told
from .command import finish, leave, parser, write
from .levers_list import LEVERS, UP, Contrast, Lever

ALIVE, DEAD, OTHER_WAY, UNTOLD = "alive", "dead", "the other way", "cannot tell"
TRIALS, QUICK_TRIALS = 64, 8
HERE = Path(__file__).parent
NAME = "levers"
# What a keeper would notice, a judgement: of a share, and of chases as a share of those of the base.
WORTH = {FREE: 0.03, PINNED_FISH: 0.05, RECEIVED: 0.10}


@dataclass(frozen=True)
class Moved:
    """What a contrast came to: means of both scenarios, the paired difference with its 95 % interval."""

    contrast: Contrast
    base: float
    other: float
    value: float
    low: float
    high: float
    trials: int

    @property
    def worth(self) -> float:
        """The smallest difference worth the name, in the unit of the measure."""
        return WORTH[self.contrast.measure] * (self.base if self.contrast.measure == RECEIVED else 1.0)

    @property
    def verdict(self) -> str:
        """See :func:`judged`."""
        return judged(self.low, self.high, wanted=self.contrast.wanted, worth=self.worth)


@dataclass(frozen=True)
class Pulled:
    """A lever and what its contrasts came to."""

    lever: Lever
    moved: tuple[Moved, ...]

    @property
    def verdict(self) -> str:
        """That on its first contrast, which is what keepers mean; no lever gets a second try."""
        return self.moved[0].verdict


def judged(low: float, high: float, *, wanted: int, worth: float) -> str:
    """The verdict on a difference from its whole interval.

    Parameters
    ----------
    low, high : 95 % interval of the difference.
    wanted : UP or DOWN.
    worth : the smallest difference worth the name, in the same unit, 0 or more.

    Returns
    -------
    ALIVE when all of the interval lies on the wanted side of 0 and its middle is worth the name, OTHER_WAY
    when it is so on the other side, DEAD when all of it is smaller than what is worth the name, else UNTOLD.
    """
    if not (math.isfinite(low) and math.isfinite(high) and math.isfinite(worth)):
        return UNTOLD
    middle = (low + high) / 2
    if low * high > 0 and abs(middle) >= worth:
        return ALIVE if (middle > 0) == (wanted == UP) else OTHER_WAY
    return DEAD if max(abs(low), abs(high)) < worth or low == high == 0 else UNTOLD


# ---- running


def bench(
    *,
    rules: Rules | None = None,
    parameters: Mapping[str, float] | None = None,
    only: Sequence[str] | None = None,
    trials: int = TRIALS,
    fixed: bool = False,
    executor: Executor | None = None,
    progress: Told | None = None,
) -> list[Pulled]:
    """Pull every lever, or some, under the project's rules or others.

    Parameters
    ----------
    rules, parameters : instead of the project's rules and of some parameters' values.
    only : ids of levers; all when None.
    trials : tanks of each scenario, 2 or more; the same fish, rock and draws in all scenarios of a lever.
    fixed : nothing that nobody has measured is drawn.
    executor : threads, one a core, when None.
    progress : called with (done, asked) after each tank.

    Returns
    -------
    list of Pulled
        ``print(compact(bench()))``, of :mod:`.levers_table`, shows it. With KeyboardInterrupt: those that
        were done.

    Raises
    ------
    ValueError
        For an id that is no lever.
    """
    levers = chosen(only)
    asked_for, count = trials * sum(len(lever.scenarios) for lever in levers), itertools.count(1)
    told = None if progress is None else lambda *_: progress(next(count), asked_for)
    runner, done = Runner(None, executor, told), []

    def asked(scenario: Scenario) -> Scenario:
        run = replace(scenario.run, trials=trials, guesses=trials, fixed=fixed)
        own = {**scenario.parameters, **(parameters or {})}
        return replace(scenario, run=run, parameters=own, rules=rules or scenario.rules)

    with contextlib.suppress(KeyboardInterrupt):
        for lever in levers:
            done.append(pull(lever, {name: asked(one) for name, one in lever.scenarios.items()}, runner))
    return done


def chosen(only: Sequence[str] | None) -> list[Lever]:
    """The levers of these ids, all when None; raises ValueError for an id that is none."""
    known = {lever.id: lever for lever in LEVERS}
    if only is None:
        return list(LEVERS)
    if wrong := [id_ for id_ in only if id_ not in known]:
        raise ValueError(f'there is no lever "{wrong[0][:40]}"; use {", ".join(known)}')
    return [known[id_] for id_ in known if id_ in only]


class Design(Study):
    """The scenarios of one lever, the first with the control that all are held against."""

    def __init__(self, name: str, scenarios: Sequence[Scenario]) -> None:
        super().__init__(scenarios, slim=True)
        self._name = name

    def batches(self) -> Iterator[Batch]:
        """All tanks of the first scenario, then those of the others."""
        trials = range(self.scenarios[0].run.trials)
        yield Batch(self._name, [Job(0, trial, BOTH) for trial in trials])
        others = range(1, len(self.scenarios))
        yield Batch(self._name, [Job(k, trial, STOCKED) for trial in trials for k in others])

    @property
    def can_answer(self) -> bool:
        """A lever that was broken off says nothing."""
        return False


def pull(lever: Lever, scenarios: Mapping[str, Scenario], runner: Runner) -> Pulled:
    """Run the scenarios of a lever and compare them."""
    names, tanks = list(scenarios), list(scenarios.values())
    trials = range(tanks[0].run.trials)
    study = Design(lever.name, tanks)
    study.carry_out(runner)
    by_name = {name: [study.rows[k, trial] for trial in trials] for k, name in enumerate(names)}
    return Pulled(lever, tuple(moved(one, by_name[one.base], by_name[one.other]) for one in lever.contrasts))


def moved(contrast: Contrast, base: Sequence[TankRow], other: Sequence[TankRow]) -> Moved:
    """Compare rows of the same trials."""
    pairs = list(zip(base, other, strict=True))
    values = np.array(
        [[_value(contrast, row, sorted(a.inside & b.inside)) for row in (a, b)] for a, b in pairs], float
    )
    before, after = values[np.isfinite(values).all(axis=1)].T
    found = paired_difference(after, base=before, draw=np.arange(len(before)))
    means = [float(np.mean(one)) if len(one) else math.nan for one in (before, after)]
    return Moved(contrast, means[0], means[1], found.value, found.low, found.high, found.trials)


def _value(contrast: Contrast, row: TankRow, there: Sequence[str]) -> float:
    """The measure of the fish that the contrast is about, among those that both tanks have."""
    who = [one for one in there if one.startswith(f"{contrast.species} {contrast.sex}")]
    if not contrast.worst:
        return value_of(row, measure=contrast.measure, labels=who)
    each = [value_of(row, measure=contrast.measure, labels=[one]) for one in who]
    return min(each) if contrast.measure == FREE else max(each)


# ---- the command line


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out one command line; returns the exit status."""
    from .levers_table import as_markdown, lever_words, reworded, table_of

    line = _read_line(argv)
    if line.reword:
        told = reworded(json.loads((HERE / f"{NAME}.json").read_text(encoding="utf-8")))
        write(HERE, NAME, told, page=as_markdown(told))
        return DONE
    if line.record and (line.quick or line.only or line.trials):
        print(
            "--record: only the full table is recorded; leave out --quick, --only, --trials", file=sys.stderr
        )
        return REFUSED
    trials = line.trials or (QUICK_TRIALS if line.quick else TRIALS)
    try:
        levers = chosen(line.only.split(",") if line.only else None)
    except ValueError as problem:
        print(f"--only: {problem}", file=sys.stderr)
        return REFUSED
    say_if_preparing(last=OF_A_RUN)
    only = [lever.id for lever in levers]
    with own_cores() as pool, Progress(trials * sum(len(lever.scenarios) for lever in levers)) as progress:
        found = bench(only=only, trials=trials, executor=pool, progress=progress)
    stopped = len(found) < len(levers)
    if not found:
        print("Stopped by Ctrl-C before the first lever was done.", file=sys.stderr)
        return STOPPED
    table = table_of(found, trials=trials, complete=not (stopped or line.quick or line.only))
    print(as_text(lever_words(table)), flush=True)
    return finish(line, NAME, table, folder=HERE, page=as_markdown(table), stopped=stopped)


def _read_line(argv: Sequence[str] | None) -> argparse.Namespace:
    made = parser(
        f".{NAME}",
        "Pulls the levers that keepers pull and says which of them do anything in the model.",
        quick="fewer trials: a minute or two",
        record="write the full table beside the sources",
    )
    made.add_argument("--only", metavar="rock,order", help="only these levers")
    made.add_argument("--trials", metavar="N", type=within("run.trials", low=2), help="of each scenario")
    made.add_argument(
        "--reword", action="store_true", help="write lever_reasons.toml into the recorded table"
    )
    return made.parse_args(argv)


if __name__ == "__main__":
    leave(main())
