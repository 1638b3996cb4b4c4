"""``rockshy compare --swap``: each species of the library in the place of one."""

from __future__ import annotations

import argparse
import contextlib
import time
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..asking.errors import DONE, STOPPED, RefusedError
from ..asking.fish import group_of, species_of
from ..asking.found import Found, first_tank, refusing_rock
from ..asking.progress import Progress, say
from .engine import engine
from .finding import changed
from .giving import Files, given
from .lasting import about
from .long_run import kept_for, say_kept

if TYPE_CHECKING:
    from ...sim.run.trials import Job
    from ..questions.compare.design import Done
    from ..questions.compare.swap import Swap, SwapPlan
    from ..study.kept import Kept

LONG_S = 90.0  # from here on it is said how to make it shorter
OF_BOTH = 0.6  # of the time that a tank as stocked and left alone takes, without the latter: measured


def carry_out_swap(line: argparse.Namespace) -> int:
    """Run base and species, write what was asked for, print the answer; STOPPED after Ctrl-C."""
    if line.picture is not None:
        raise RefusedError("--picture: found together with --swap; allowed: --picture without it")
    found = _found(line)
    plan = _plan(found, line)
    first_tank(found)
    with contextlib.ExitStack() as open_now:
        kept = open_now.enter_context(kept_for(line.out, f"compare --swap {plan.out}", plan.scenarios[0]))
        executor = open_now.enter_context(engine(line))
        done, is_whole = _run(found, plan, executor, kept)
        answer = _answer(found, plan, done)
        told = _json(found, answer)
        with given(told if line.json else _words(answer)) as files:
            if kept is not None:
                _write(files, kept.folder, told)
    return DONE if is_whole else STOPPED


def _found(line: argparse.Namespace) -> Found:
    """The scenario with so many trials as are run of each species."""
    from ..questions.compare.swap import TRIALS

    found = changed(line.file, line)
    run = found.scenario.run
    trials = line.trials or min(TRIALS, run.trials)
    run = replace(run, trials=trials, guesses=min(run.guesses, trials))
    return replace(found, scenario=replace(found.scenario, run=run))


def _plan(found: Found, line: argparse.Namespace) -> SwapPlan:
    from ..questions.compare.swap import plan_swap

    scenario = found.scenario
    species = species_of(scenario, line.swap, option="--swap")
    group = None if line.fish is None else group_of(scenario, line.fish)
    try:
        return plan_swap(scenario, species, goal=line.goal, group=group)
    except ValueError as problem:
        raise RefusedError(f"--swap {species}: {problem}") from problem


def _run(found: Found, plan: SwapPlan, executor: Executor, kept: Kept | None) -> tuple[list[Done], bool]:
    """The tank as it is first: it tells how long the rest will take."""
    from ..questions.compare.swap import base_jobs, swap_jobs

    if found.said:
        say(found.said)
    say_kept(kept)
    trials = found.scenario.run.trials
    say(f"The tank as it is, {trials} simulated tanks; then {len(plan.tried)} species in its place.")
    began: list[float] = []
    done, is_whole = _jobs(found, plan, base_jobs(trials), executor, kept, began)
    if not is_whole:
        raise KeyboardInterrupt
    jobs = swap_jobs(plan, trials)
    say(f"{len(plan.tried)} species, {trials} simulated tanks each{_how_long(began, plan, jobs, kept)}.")
    more, is_whole = _jobs(found, plan, jobs, executor, kept, [])
    if len({job.which for job, _ in more}) < len(plan.tried):
        raise KeyboardInterrupt
    if not is_whole:
        say(f"Stopped by Ctrl-C: the answer is of {len(more) // len(plan.tried)} simulated tanks a species.")
    return done + more, is_whole


def _jobs(
    found: Found,
    plan: SwapPlan,
    jobs: Sequence[Job],
    executor: Executor,
    kept: Kept | None,
    ends: list[float],
) -> tuple[list[Done], bool]:
    """Run some jobs; ``ends`` gets the time at which each ended that was not there before."""
    from ..questions.compare.swap import run_jobs

    there = sum(job in kept for job in jobs) if kept is not None else 0
    with Progress(len(jobs)) as progress, refusing_rock(found.asked):

        def told(done: int, asked: int) -> None:
            if done > there:
                ends.append(time.monotonic())
            progress(done, asked)

        return run_jobs(plan, jobs, executor=executor, kept=kept, progress=told)


def _how_long(ends: Sequence[float], plan: SwapPlan, jobs: Sequence[Job], kept: Kept | None) -> str:
    """How long the jobs will take, judged by the tank as it is, two set-ups of which were run."""
    left = sum(job not in kept for job in jobs) if kept is not None else len(jobs)
    if len(ends) < 2 or not left:
        return ""
    seconds = OF_BOTH * (ends[-1] - ends[0]) / (len(ends) - 1) * left
    shorter = " (fewer with --trials; Ctrl-C ends it early)" if seconds >= LONG_S else ""
    return f": {about(seconds)} on this engine{shorter}"


def _answer(found: Found, plan: SwapPlan, done: Sequence[Done]) -> Swap:
    from ..questions.compare.swap import swap_of

    return swap_of(found.scenario, plan, done)


def _words(answer: Swap) -> str:
    from ..document import as_text
    from ..questions.compare.swap_words import swap_words

    return as_text(swap_words(answer))


def _json(found: Found, answer: Swap) -> str:
    from ...sim.run.trials import recipe
    from ..document.files import json_text, plain

    told = plain(answer)
    assert isinstance(told, dict)
    everything = {"options": list(found.changes), **told, "recipe": recipe(found.scenario)}
    return json_text(everything)


def _write(files: Files, folder: Path, told: str) -> None:
    from ..document.writing import write_text

    files(write_text, folder / "swap.json", told + "\n")
    say(f"Result folder: {folder}")
