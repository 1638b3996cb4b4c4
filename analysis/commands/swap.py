"""``rockshy compare --swap``: each species of the library instead of one."""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ..asking.errors import RefusedError, refusing
from ..asking.fish import group_of, species_of
from ..asking.found import Found, first_tank, refusing_rock
from ..asking.progress import Progress, say
from .finding import changed
from .giving import Answer
from .lasting import about
from .long_run import Counted, long_run

if TYPE_CHECKING:
    from ...sim.run.trials import Job
    from ..questions.compare.design import Done
    from ..questions.compare.swap import SwapPlan
    from ..study.kept import Kept

LONG_S = 90.0  # from here on it is said how to make it shorter
OF_BOTH = 0.6  # of the time that a tank as stocked and left alone takes, without the latter: measured


def carry_out_swap(line: argparse.Namespace) -> int:
    """Run base and species, print the answer, write what was asked for."""
    if line.picture is not None:
        raise RefusedError("--picture does not go with --swap; leave one of them out")
    from ...sim.run.trials import recipe
    from ..document.files import plain
    from ..questions.compare.swap import swap_of
    from ..questions.compare.swap_words import swap_words

    found = _found(line)
    plan = _plan(found, line)
    first_tank(found)
    with long_run(line, found, f"compare --swap {plan.out}", plan.scenarios[0]) as run:
        plan, done, is_whole = _run(found, plan, run)
        answer = swap_of(found.scenario, plan, done)
        told = plain(answer)
        assert isinstance(told, dict)
        return Answer(
            found.scenario,
            words=partial(swap_words, answer),
            told={"options": list(found.changes), **told, "recipe": recipe(found.scenario)},
            json="swap.json",
            is_whole=is_whole,
        ).give(line, run.kept)


def _found(line: argparse.Namespace) -> Found:
    """The scenario with so many trials as are run of each species."""
    from ..questions.compare.swap import TRIALS

    found = changed(line.file, line)
    run = found.scenario.run
    trials = line.trials or min(TRIALS, run.trials)
    run = replace(run, trials=trials)
    return replace(found, scenario=replace(found.scenario, run=run))


def _plan(found: Found, line: argparse.Namespace) -> SwapPlan:
    from ..questions.compare.swap import plan_swap

    scenario = found.scenario
    species = species_of(scenario, line.swap, option="--swap")
    group = None if line.fish is None else group_of(scenario, line.fish)
    with refusing(f"--swap {species}", ValueError):
        return plan_swap(scenario, species, goal=line.goal, group=group)


def _run(found: Found, plan: SwapPlan, run: Counted) -> tuple[SwapPlan, list[Done], bool]:
    """The tank as it is first: it tells whom to judge it for, and how long the rest will take."""
    from ..questions.compare.swap import base_jobs, for_victim, swap_jobs

    trials = found.scenario.run.trials
    say(f"The tank as it is, {trials} simulated tanks; then {len(plan.tried)} species instead.")
    began: list[float] = []
    done, is_whole = _jobs(found, plan, base_jobs(trials), run, began)
    if not is_whole:
        raise KeyboardInterrupt
    plan = for_victim(plan, found.scenario, done)
    jobs = swap_jobs(plan, trials)
    say(f"{len(plan.tried)} species, {trials} simulated tanks each{_how_long(began, plan, jobs, run.kept)}.")
    more, is_whole = _jobs(found, plan, jobs, run, [])
    if len({job.which for job, _ in more}) < len(plan.tried):
        raise KeyboardInterrupt
    if not is_whole:
        say(f"Stopped by Ctrl-C: the answer is of {len(more) // len(plan.tried)} simulated tanks a species.")
    return plan, done + more, is_whole


def _jobs(
    found: Found, plan: SwapPlan, jobs: Sequence[Job], run: Counted, ends: list[float]
) -> tuple[list[Done], bool]:
    """Run some jobs; ``ends`` gets the time at which each ended that was not there before."""
    from ..questions.compare.swap import run_jobs

    there = len(jobs) - _left(jobs, run.kept)
    with Progress(len(jobs)) as progress, refusing_rock(found.asked):

        def told(done: int, asked: int) -> None:
            if done > there:
                ends.append(time.monotonic())
            progress(done, asked)

        return run_jobs(plan, jobs, executor=run.executor, kept=run.kept, progress=told)


def _how_long(ends: Sequence[float], plan: SwapPlan, jobs: Sequence[Job], kept: Kept | None) -> str:
    """How long the jobs will take, judged by the tank as it is, two set-ups of which were run."""
    left = _left(jobs, kept)
    if len(ends) < 2 or not left:
        return ""
    seconds = OF_BOTH * (ends[-1] - ends[0]) / (len(ends) - 1) * left
    shorter = " (fewer with --trials; Ctrl-C ends it early)" if seconds >= LONG_S else ""
    return f": {about(seconds)} here{shorter}"


def _left(jobs: Sequence[Job], kept: Kept | None) -> int:
    """How many jobs are not finished."""
    return len(jobs) if kept is None else sum(job not in kept for job in jobs)
