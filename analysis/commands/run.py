"""``rockshy run``: the trials, the answer in words or JSON, the result folder."""

from __future__ import annotations

import argparse
import json
import os
import textwrap
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

from ... import scenarios
from .errors import DONE, STOPPED
from .finding import Found, changed, check_writable, command_line, first_tank
from .progress import Progress, say

if TYPE_CHECKING:
    from ...sim.table import Trials

WIDTH = 100


def carry_out(line: argparse.Namespace) -> int:
    """Run, write the folder, print the answer; STOPPED after Ctrl-C, with what was done so far.

    Raises
    ------
    RefusedError, ScenarioError, StoreError
        Before anything runs, when the scenario or the folder for the result will not do.
    """
    if line.file is None:
        say(
            f"No file was given, so this is the demo, the ready scenario {scenarios.DEMO}. "
            "Your own: rockshy new my-tank.toml"
        )
    found = changed(scenarios.DEMO if line.file is None else line.file, line)
    if line.out is not None:
        _check_out(line.out)
    first_tank(found)
    trials = _run(found)
    if line.out is not None:
        from ..store import write

        write(trials, line.out)
        say(f"Result folder: {line.out}")
    print(_as_json(trials, found) if line.json else _as_words(trials, found))
    return DONE if trials.done == trials.asked else STOPPED


def _check_out(out: str) -> None:
    from ..store import check_folder

    check_folder(out)
    check_writable(out)


def _run(found: Found) -> Trials:
    """All trials on all cores; fewer than asked for after Ctrl-C.

    The pool is this function's own so that nobody waits for trials that still run then.
    """
    from ...sim import run_trials

    if found.said:
        say(found.said)
    pool = ThreadPoolExecutor(max_workers=os.cpu_count() or 1)
    finished = False
    try:
        with Progress(found.scenario.run.trials) as progress:
            trials = run_trials(found.scenario, executor=pool, progress=progress)
        finished = trials.done == trials.asked
    finally:
        pool.shutdown(wait=finished, cancel_futures=True)
    if not finished:
        say(f"Stopped by Ctrl-C: the answer is of {trials.done} of {trials.asked} simulated tanks.")
    if found.changes:
        trials.recipe["options"] = list(found.changes)
    return trials


def _as_json(trials: Trials, found: Found) -> str:
    from ..answer import answer, to_json

    told: dict[str, Any] = {"question": found.scenario.question, "options": list(found.changes)}
    return json.dumps({**told, **to_json(answer(trials))}, indent=1, ensure_ascii=False, allow_nan=False)


def _as_words(trials: Trials, found: Found) -> str:
    from ..answer import answer, words

    question = found.scenario.question
    parts = [textwrap.fill(f"Question: {question}", WIDTH, subsequent_indent="  ")] if question else []
    parts += [words(answer(trials)).rstrip(), _next(trials, found)]
    return "\n\n".join(parts)


def _next(trials: Trials, found: Found) -> str:
    """Which simulated tanks are worth a look, and how to look at them."""
    middle, worst = telling_trials(trials)

    def look(trial: int) -> str:
        return "  " + command_line("rockshy", "show", found.asked, "--trial", str(trial), *found.changes)

    lines = [
        f"See the simulated tank in which {trials.watch} swam free a middling share of its time:",
        look(middle),
    ]
    if worst != middle:
        lines += ["and the one in which it swam free least:", look(worst)]
    return "\n".join(lines)


def telling_trials(trials: Trials) -> tuple[int, int]:
    """Trials in which the watched species swam free a middling and the smallest share of its time."""
    import numpy as np

    from ...sim.table import AS_STOCKED

    arm = trials.arms[AS_STOCKED]
    watched = np.array(arm.fish.species) == trials.watch
    lit_s = arm.lit_s[:, watched].sum(axis=1)
    free = np.divide(arm.free_s[:, watched].sum(axis=1), lit_s, out=np.zeros(len(lit_s)), where=lit_s > 0)
    order = np.argsort(free, kind="stable")
    return int(arm.trial[order[len(order) // 2]]), int(arm.trial[order[0]])
