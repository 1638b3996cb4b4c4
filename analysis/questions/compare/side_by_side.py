"""Scenarios side by side: the same trial numbers of a base and of what is compared with it.

What is compared are the goals, one value a trial, all better the lower: what a group of fish lost of its
free swimming, how often it is chased, how much it hides, and whether it is pinned. Trials are run in
batches, so that a plan may decide by the results so far where the next ones go.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ....sim.run.table import AS_STOCKED, LEFT_ALONE, Arm, Trials
from ....sim.run.trials import Job, Outcome, table_of
from ....sim.scenario.scenario import Scenario
from ...measures.pinned import free_shares, least_lost, pinned
from ...measures.rates import RATE, SHARE, Group, common_trials, members, tally
from ...statistics.intervals import Floats, Interval
from ...statistics.paired import Difference, paired_difference, paired_share
from ...study.kept import Kept, each_kept_job

ARMS = (AS_STOCKED, LEFT_ALONE)
LOST, RECEIVED, HIDDEN, PINNED = "lost", "received", "hidden", "pinned"
GOALS = (LOST, RECEIVED, HIDDEN, PINNED)

Bools = NDArray[np.bool_]
Done = tuple[Job, tuple[Outcome, ...]]
Plan = Callable[[Sequence[Floats]], Sequence[tuple[int, int]]]
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Batch:
    """Finished jobs of one decision of a plan; after Ctrl-C those that can be compared, not ``whole``."""

    done: tuple[Done, ...]
    whole: bool


@dataclass(frozen=True)
class Several:
    """Single fish, named by their labels, that are taken together."""

    name: str
    labels: frozenset[str]


Who = Group | Several


# ---- the goals


def goal_values(trials: Trials, *, goal: str, group: Who) -> Floats:
    """How a group of fish did in each trial; lower is better, whatever the goal.

    Parameters
    ----------
    goal : "lost": 1 - its share of lit time swimming free / the same left alone (below 0 when it swims
        more). "received": chases received per fish and lit hour, on the model's scale. "hidden": share of lit
        time. "pinned": 1 or 0, whether enough of the group's fish that count are pinned, by the share and the
        definition of :mod:`rockshy.analysis.measures.pinned`.
    group : a fish, a species, a sex of it, several fish, or all.

    Returns
    -------
    [t] a value for each trial of the arm as stocked; nan where none of the group was in the tank, where
    none of it counts for "pinned", and where it swims nowhere even left alone for "lost".

    Raises
    ------
    ValueError
        For another goal, or for "lost" without the arm left alone.
    """
    if goal == LOST:
        return _lost(trials, group)
    if goal == PINNED:
        return _pinned(trials, group)
    if goal not in GOALS:
        raise ValueError(f'goal is "{goal}"; allowed is one of {", ".join(GOALS)}')
    return _share(trials.arms[AS_STOCKED], goal, group)


def goal_bounds(trials: Trials, *, goal: str) -> Interval:
    """What the mean of a goal over these trials can be, lowest and highest."""
    if goal != LOST:
        return RATE if goal == RECEIVED else SHARE
    return least_lost(free_shares(trials.arms[LEFT_ALONE])), 1.0


def present(arm: Arm, *, group: Who) -> Bools:
    """Which fish of which trial belong to a group, [t, n]; a fish that was never in does not."""
    if isinstance(group, Group):
        return members(arm, group=group)
    wanted = np.array([label in group.labels for label in arm.fish.label], dtype=bool)
    return wanted & (arm.lit_s > 0)


def _share(arm: Arm, measure: str, group: Who) -> Floats:
    """One measure of :func:`rockshy.analysis.measures.rates.tally` for a group in each trial, [t]."""
    chosen, who = tally(arm).measures[measure], present(arm, group=group)
    top, bottom = (np.where(who, part, 0.0).sum(axis=1) for part in (chosen.top, chosen.bottom))
    return np.divide(top, bottom, out=np.full(len(top), np.nan), where=bottom > 0)


def _lost(trials: Trials, group: Who) -> Floats:
    table, alone = trials.arms[AS_STOCKED], trials.arms.get(LEFT_ALONE)
    if alone is None:
        raise ValueError(f'these trials have no arm "{LEFT_ALONE}", which "{LOST}" is measured against')
    here, there = common_trials(table, other=alone)
    free, freedom = _share(table, "free", group)[here], _share(alone, "free", group)[there]
    values = np.full(len(table.trial), np.nan)
    values[here] = 1.0 - np.divide(free, freedom, out=np.full(len(here), np.nan), where=freedom > 0)
    return values


def _pinned(trials: Trials, group: Who) -> Floats:
    table, held = trials.arms[AS_STOCKED], pinned(trials)
    here = np.searchsorted(table.trial, held.trial)
    counting = held.counts & present(table, group=group)[here]
    fish = counting.sum(axis=1)
    enough = (held.pinned & counting).sum(axis=1) >= held.rule.species_share * fish
    values = np.full(len(table.trial), np.nan)
    values[here] = np.where(fish > 0, enough, np.nan)
    return values


def is_fixed(trials: Trials) -> bool:
    """Whether nothing unmeasured was drawn, so that each trial is independent."""
    return bool(trials.recipe.get("fixed", False))


def differences(other: Trials, *, base: Trials, group: Who) -> dict[str, Difference]:
    """Each goal of a group: ``other`` less ``base``, paired over the trial numbers that both have.

    Returns
    -------
    A Difference for each of GOALS; its ``trials`` is 0 and its value nan where the group is not in both.
    """
    return {
        goal: paired_goal(
            goal_values(other, goal=goal, group=group),
            base=goal_values(base, goal=goal, group=group),
            goal=goal,
            tables=(other, base),
        )
        for goal in GOALS
    }


def paired_goal(other: Floats, *, base: Floats, goal: str, tables: tuple[Trials, Trials]) -> Difference:
    """The difference of one goal, paired over the trial numbers that both tables have.

    Parameters
    ----------
    other, base : a value for each trial of the first and of the second table, as of :func:`goal_values`.
    tables : of the alternative and of the base.
    """
    one, two = (table.arms[AS_STOCKED] for table in tables)
    here, there = common_trials(one, other=two)
    values, guess, fixed = (other[here], base[there]), two.guess[there], is_fixed(tables[1])
    if goal == PINNED:
        return paired_share(values[0], base=values[1], guess=guess, fixed=fixed)
    (low, high), (low_base, high_base) = (goal_bounds(table, goal=goal) for table in tables)
    bounds = (low - high_base, high - low_base)
    return paired_difference(values[0], base=values[1], guess=guess, bounds=bounds, fixed=fixed)


# ---- running them


def equally(trials: int, *, scenarios: int) -> Plan:
    """A plan of one batch: as many trials of each scenario, trial by trial."""

    def plan(values: Sequence[Floats]) -> list[tuple[int, int]]:
        if any(len(one) for one in values):
            return []
        return [(which, trial) for trial in range(trials) for which in range(scenarios)]

    return plan


def each_batch(
    scenarios: Sequence[Scenario],
    *,
    plan: Plan,
    goal: str = LOST,
    group: Who | None = None,
    arms: tuple[str, ...] | None = ARMS,
    executor: Executor | None = None,
    kept: Kept | None = None,
    progress: Progress | None = None,
) -> Iterator[Batch]:
    """Run batches of trials until the plan wants no more.

    A batch is decided only when the former one is complete, from values alone: a run that was broken
    off and goes on with what was kept takes the same decisions.

    Parameters
    ----------
    scenarios : what is compared; 0 is the base.
    plan : called with one array [t] a scenario, its values so far by trial number from 0 on; it returns
        (scenario, trial number) pairs, each scenario going on with its own next numbers, or nothing
        to end. :meth:`rockshy.analysis.statistics.sharing.Sharer.next_batch` is one, :func:`equally` another.
    goal, group : what the values are of; all fish when ``group`` is None.
    arms : set-ups of each trial; None: those of :func:`rockshy.sim.run.trials.set_ups`.
    executor, kept : see :func:`rockshy.analysis.study.kept.each_kept_job`.
    progress : called with (jobs done, jobs handed out) after each job, those that were kept included.

    Yields
    ------
    Batch
        After Ctrl-C a last one that is not whole: of its trials those before the first number that
        any scenario still misses, so that what is compared stays paired.
    """
    values: list[dict[int, float]] = [{} for _ in scenarios]
    asked = done_before = 0
    while True:
        handed = plan([_in_order(one) for one in values])
        if not handed:
            return
        jobs = [Job(which, trial, arms) for which, trial in handed]
        asked += len(jobs)
        done: list[Done] = []
        whole = True
        try:
            for one in each_kept_job(scenarios, jobs, kept=kept, executor=executor):
                done.append(one)
                if progress is not None:
                    progress(done_before + len(done), asked)
        except KeyboardInterrupt:
            whole = False
            done = comparable(jobs, done)
        yield Batch(tuple(done), whole)
        if not whole:
            return
        done_before += len(done)
        for which, of_one in by_scenario(done).items():
            table = table_of(scenarios[which], of_one)
            found = goal_values(table, goal=goal, group=group or Group())
            values[which].update(zip(table.arms[AS_STOCKED].trial.tolist(), found.tolist(), strict=True))


def run_side_by_side(
    scenarios: Sequence[Scenario],
    *,
    plan: Plan,
    goal: str = LOST,
    group: Who | None = None,
    arms: tuple[str, ...] | None = ARMS,
    executor: Executor | None = None,
    kept: Kept | None = None,
    progress: Progress | None = None,
    on_stop: Callable[[], None] | None = None,
) -> list[Trials]:
    """Run what a plan wants and return a Trials table for each scenario; see :func:`each_batch`.

    Parameters
    ----------
    on_stop : called when Ctrl-C ended it early; the tables are of what was done so far.

    Raises
    ------
    KeyboardInterrupt
        When Ctrl-C came before every scenario had a trial.
    """
    done: list[Done] = []
    stopped = False
    try:
        for batch in each_batch(
            scenarios,
            plan=plan,
            goal=goal,
            group=group,
            arms=arms,
            executor=executor,
            kept=kept,
            progress=progress,
        ):
            done += batch.done
            stopped = not batch.whole
    except KeyboardInterrupt:  # while the plan was thinking
        stopped = True
    found = by_scenario(done)
    if len(found) < len(scenarios):
        if stopped:
            raise KeyboardInterrupt
        raise ValueError(
            f"the plan gave trials to {len(found)} of {len(scenarios)} scenarios; allowed: to all"
        )
    if stopped and on_stop is not None:
        on_stop()
    return [table_of(scenarios[which], found[which], asked=len(found[which])) for which in sorted(found)]


def _in_order(values: dict[int, float]) -> Floats:
    """Values by trial number; numbers must be 0, 1, 2, ... without a gap."""
    if sorted(values) != list(range(len(values))):
        raise ValueError(f"a plan handed out the trials {sorted(values)}; allowed: 0, 1, 2 and so on")
    return np.array([values[trial] for trial in range(len(values))], dtype=float)


def comparable(jobs: Sequence[Job], done: Sequence[Done]) -> list[Done]:
    """Of a batch that was broken off, the trials before the first number that any scenario still misses."""
    finished = {job for job, _ in done}
    missing = min((job.trial for job in jobs if job not in finished), default=None)
    return [one for one in done if missing is None or one[0].trial < missing]


def by_scenario(done: Sequence[Done]) -> dict[int, list[tuple[Outcome, ...]]]:
    """The outcomes of each scenario."""
    found: dict[int, list[tuple[Outcome, ...]]] = {}
    for job, outcomes in done:
        found.setdefault(job.which, []).append(outcomes)
    return found
