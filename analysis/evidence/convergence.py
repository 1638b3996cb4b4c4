"""Do the answers depend on how finely the model is computed?

``python -m rockshy.analysis.evidence.convergence`` makes the table.

Three ready scenarios are run with other cells, a shorter tick, and other settling and measuring times, on
the trial numbers of the default. A tick or a time leaves rock and fish as they are; another cell edge
draws the same rock and crevices, which are in cm, into other cells. An answer has converged when the whole
95 % interval of the paired difference lies within half the width of the answer's own 95 % interval.

Source: the two-sided rule is an equivalence test with the answer's own interval as its margin; textbook. The
margin is the project's own: what is finer than the answer itself need not be settled.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from ... import scenarios
from ...sim.run.days import TICK_S
from ...sim.run.identity import release, sources
from ...sim.run.running import each_done, own_cores
from ...sim.run.set_ups import draw_of, watched
from ...sim.run.trials import Job, models_of_trial, outcome_of
from ...sim.scenario.scenario import Scenario
from ..asking.errors import REFUSED, STOPPED
from ..asking.numbers import within
from ..asking.progress import OF_A_RUN, Progress, say_if_preparing
from ..document.files import plain
from ..measures.registry import HIDDEN, LOST, MEASURES, PINNED_FISH, RECEIVED
from ..measures.row import BOTH, row_of, value_of, yardstick_of
from ..statistics.intervals import estimate
from ..statistics.paired import paired_difference
from . import fingerprint
from .command import finish, leave, parser

SCENARIOS = ("mild-with-hot", "bare-tank", "long-tank")
ANSWERS = {
    RECEIVED: "chases received per fish and lit hour (model scale)",
    LOST: "share of free swimming lost",
    HIDDEN: "hidden share of lit time",
    PINNED_FISH: "pinned share of fish",
}
LESS, MORE, UNTOLD = "moves less than its interval", "moves more", "cannot tell"
TRIALS, QUICK_TRIALS = 32, 8
QUICK = 0.5  # of the time, in a quick run
HERE = Path(__file__).parent
NAME = "convergence"


@dataclass(frozen=True)
class Setting:
    """A way to compute the same tank; the default is all of its defaults."""

    name: str
    cell_cm: float | None = None  # None: as the scenario says
    tick_s: float = TICK_S
    settling: float = 1.0  # times the scenario's own
    measuring: float = 1.0

    def of(self, scenario: Scenario) -> Scenario:
        """The scenario with this cell edge and these times."""
        run = scenario.run
        settle = run.settle_days * self.settling
        measured = (run.days - run.settle_days) * self.measuring
        tank = scenario.tank if self.cell_cm is None else replace(scenario.tank, cell_cm=self.cell_cm)
        return replace(scenario, tank=tank, run=replace(run, days=settle + measured, settle_days=settle))


DEFAULT = Setting("default")
SETTINGS = (
    Setting("cell edge 4 cm", cell_cm=4.0),
    Setting("cell edge 6 cm", cell_cm=6.0),
    Setting("tick 0.5 s", tick_s=0.5),
    Setting("half the settling time", settling=0.5),
    Setting("twice the settling time", settling=2.0),
    Setting("twice the measuring time", measuring=2.0),
)


@dataclass(frozen=True)
class Row:
    """One answer of one scenario under one setting; "default" has no difference."""

    scenario: str
    species: str
    answer: str
    setting: str
    value: float
    low: float
    high: float
    difference: float  # from the default on the same trials
    difference_low: float
    difference_high: float
    trials: int
    verdict: str


# ---- running


def values_at(scenario: Scenario, setting: Setting, trial: int) -> dict[str, float]:
    """The answers of the watched species in one trial, with its left-alone control."""
    asked = setting.of(scenario)
    draw = draw_of(asked, trial)
    outcomes = []
    for arm, model in models_of_trial(asked, trial, arms=BOTH, tick_s=setting.tick_s):
        model.run()
        outcomes.append(outcome_of(model, name=arm, trial=trial, draw=draw))
    alone = yardstick_of(asked, tuple(outcomes))
    row = row_of(asked, Job(0, trial, BOTH), tuple(outcomes), alone=alone)
    labels = [one.label for one in outcomes[0].people if one.species == watched(asked)[0]]
    return {goal: value_of(row, measure=goal, labels=labels) for goal in ANSWERS}


Found = dict[tuple[str, str], dict[int, dict[str, float]]]  # (scenario, setting) -> trial -> answers
Task = tuple[str, Scenario, Setting, int]
At = Callable[[Scenario, Setting, int], dict[str, float]]


def run_all(
    scenarios: Mapping[str, Scenario],
    *,
    trials: int,
    settings: Sequence[Setting] = SETTINGS,
    told: Callable[[int, int], None] | None = None,
    at: At = values_at,
) -> tuple[Found, bool]:
    """Every scenario under the default and every setting, in the same trials.

    Returns
    -------
    The answers, and whether Ctrl-C broke it off; then they are those of what was done.
    """
    tasks = [
        (name, scenario, setting, trial)
        for trial in range(trials)
        for name, scenario in scenarios.items()
        for setting in (DEFAULT, *settings)
    ]
    found: Found = {}
    calls = ((task, partial(at, *task[1:])) for task in tasks)
    try:
        with own_cores() as pool:
            for done, ((name, _, setting, trial), values) in enumerate(each_done(calls, executor=pool), 1):
                found.setdefault((name, setting.name), {})[trial] = values
                if told is not None:
                    told(done, len(tasks))
    except KeyboardInterrupt:
        return found, True
    return found, False


# ---- judging


def rows_of(
    found: Found, scenarios: Mapping[str, Scenario], *, settings: Sequence[Setting] = SETTINGS
) -> list[Row]:
    """A row for each answer of each scenario, the default first, then every setting that was run."""
    rows = []
    for name, scenario in scenarios.items():
        base = found.get((name, DEFAULT.name), {})
        for goal in ANSWERS:
            for setting in (DEFAULT, *settings):
                there = found.get((name, setting.name), {})
                common = sorted(base.keys() & there.keys())
                if common:
                    told = _row(scenario, goal, [base[k] for k in common], [there[k] for k in common], common)
                    rows.append(replace(told, scenario=name, setting=setting.name))
    return rows


def _row(
    scenario: Scenario,
    goal: str,
    base: Sequence[dict[str, float]],
    other: Sequence[dict[str, float]],
    trials: Sequence[int],
) -> Row:
    draw = np.array([draw_of(scenario, trial) for trial in trials])
    before, after = (np.array([one[goal] for one in those]) for those in (base, other))
    own = estimate(before, draw=draw, bounds=MEASURES[goal].bounds, fixed=scenario.run.fixed)
    value = estimate(after, draw=draw, bounds=MEASURES[goal].bounds, fixed=scenario.run.fixed)
    moved = paired_difference(after, base=before, draw=draw, fixed=scenario.run.fixed)
    return Row(
        scenario="",
        species=watched(scenario)[0],
        answer=goal,
        setting="",
        value=value.value,
        low=value.low,
        high=value.high,
        difference=moved.value,
        difference_low=moved.low,
        difference_high=moved.high,
        trials=moved.trials,
        verdict=verdict(moved.low, moved.high, half_width=(own.high - own.low) / 2.0),
    )


def verdict(low: float, high: float, *, half_width: float) -> str:
    """Whether an answer moves by less than its own interval.

    Parameters
    ----------
    low, high : 95 % interval of the paired difference from the default.
    half_width : half the width of the 95 % interval of the default's answer.

    Returns
    -------
    LESS when all of the interval lies within the half width either way, MORE when all of it lies
    beyond, else UNTOLD; UNTOLD also with nan, and without a width: then nothing was seen to happen.
    """
    if not all(map(math.isfinite, (low, high, half_width))) or half_width <= 0:
        return UNTOLD
    if -half_width < low and high < half_width:
        return LESS
    return MORE if high < -half_width or low > half_width else UNTOLD


# ---- the table


def table_of(rows: Sequence[Row], *, trials: int, quick: bool, stopped: bool) -> dict[str, Any]:
    """All rows and what they rest on, as JSON can say it."""
    return {
        "version": release(),
        "simulator": sources(),
        "baseline": fingerprint.of_checkout(),
        "draws": fingerprint.of_draws(),
        "date": date.today().isoformat(),
        "trials": trials,
        "quick": quick,
        "stopped": stopped,
        "headline": headline(rows),
        "rows": [plain(one) for one in rows],
    }


def headline(rows: Sequence[Row]) -> str:
    """How many answers of how many settings move by less than their interval."""
    judged = [one for one in rows if one.setting != DEFAULT.name]
    count = {kind: sum(one.verdict == kind for one in judged) for kind in (LESS, MORE, UNTOLD)}
    return (
        f"Of {len(judged)} comparisons with the default {count[LESS]} move by less than the answer's own "
        f"interval, {count[MORE]} by more, {count[UNTOLD]} cannot be told."
    )


def as_markdown(table: Mapping[str, Any]) -> str:
    """The table as a page: a section a scenario, a row an answer and setting."""
    lines = ["# Convergence", "", table["headline"], "", *_preface(table)]
    rows = [Row(**{name: _unknown(value) for name, value in row.items()}) for row in table["rows"]]
    for name in dict.fromkeys(one.scenario for one in rows):
        own = [one for one in rows if one.scenario == name]
        lines += ["", f"## {name}: {own[0].species}", ""]
        lines += ["| answer | setting | value | its 95 % interval | moves by (95 %) | trials | verdict |"]
        lines += ["|---|---|---|---|---|---|---|"]
        lines += [_line(one) for one in own]
    return "\n".join(lines) + "\n"


def _preface(table: Mapping[str, Any]) -> list[str]:
    how = "a quick run, not to be recorded" if table["quick"] else "the full run"
    broken = "; broken off, of what was done so far" if table["stopped"] else ""
    return [
        f"`python -m rockshy.analysis.evidence.convergence`, {how}{broken}: {table['trials']} trials a "
        "setting, the same numbers in all.",
        f"Version {table['version']}, simulator {table['simulator']}, {table['date']}.",
        "",
        "The default is a cell edge of 5 cm and a tick of 1 s, with the settling and measuring time of the "
        f'scenario. "{LESS}": all of the 95 % interval of the paired difference lies within half the width '
        f'of the 95 % interval of the default\'s answer. "{MORE}": all of it lies beyond. Another cell edge '
        "draws the same rock and crevices into other cells. Longer times also watch a later stretch of the "
        "same tank, so that a difference there is either a tank still settling or one that goes on changing.",
    ]


def _line(one: Row) -> str:
    span = f"{_number(one.low)} to {_number(one.high)}"
    moved = f"{one.difference:+.3f} ({_number(one.difference_low)} to {_number(one.difference_high)})"
    is_default = one.setting == DEFAULT.name
    cells = (ANSWERS[one.answer], one.setting, _number(one.value), span)
    more = ("", str(one.trials), "") if is_default else (moved, str(one.trials), one.verdict)
    return f"| {' | '.join((*cells, *more))} |"


def _number(value: float) -> str:
    return f"{value:.3f}" if math.isfinite(value) else "-"


def _unknown(value: Any) -> Any:
    return math.nan if value is None else value


# ---- the command line


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out one command line; returns the exit status."""
    line = _read_line(argv)
    if line.record and (line.quick or line.trials is not None):
        print("--record: only the full table is recorded; leave out --quick and --trials", file=sys.stderr)
        return REFUSED
    trials = line.trials or (QUICK_TRIALS if line.quick else TRIALS)
    asked = {name: _shortened(scenarios.read(name), line.quick) for name in SCENARIOS}
    say_if_preparing(last=OF_A_RUN)
    count = trials * len(asked) * (1 + len(SETTINGS))
    with Progress(count) as progress:
        found, stopped = run_all(asked, trials=trials, told=progress)
    rows = rows_of(found, asked)
    if not rows:
        print("Stopped by Ctrl-C before there was anything to compare.", file=sys.stderr)
        return STOPPED
    table = table_of(rows, trials=trials, quick=line.quick, stopped=stopped)
    page = as_markdown(table)
    print(page, end="", flush=True)
    return finish(line, NAME, table, folder=HERE, page=page, stopped=stopped)


def _read_line(argv: Sequence[str] | None) -> argparse.Namespace:
    made = parser(
        f".{NAME}",
        "Runs three ready scenarios with other cells, ticks and times: do the answers move?",
        quick="fewer and shorter trials: a minute or two",
        record="write the full table beside the sources",
    )
    made.add_argument(
        "--trials", metavar="N", type=within("run.trials", low=2), help="trials of each setting"
    )
    return made.parse_args(argv)


def _shortened(scenario: Scenario, quick: bool) -> Scenario:
    """Half as long in a quick run, settling and measuring alike."""
    run = scenario.run
    if not quick:
        return scenario
    return replace(scenario, run=replace(run, days=run.days * QUICK, settle_days=run.settle_days * QUICK))


if __name__ == "__main__":
    leave(main())
