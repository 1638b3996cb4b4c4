"""Each question from Python in one call, but how much rock (:mod:`.rock.call`), with what commands use."""

from __future__ import annotations

import os
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ...sim.rules.support.rule_set import Rules
from ...sim.scenario.reading.run import of_days
from ..measures import frame
from ..measures.asked import group_asked, whom_asked, whom_or_mild
from ..study.asking import Asked, kept_in, scenario_of
from ..study.dictionary import frame_of
from ..study.result import Result
from ..study.runner import Progress, Runner, kept_trials

if TYPE_CHECKING:
    Folder = str | os.PathLike[str] | None


def run(
    scenario: Asked,
    *,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """Who is chased, who hides, who is pinned, and who is worst off: ``rockshy run`` in one call.

    Parameters
    ----------
    scenario : a scenario, the path of a scenario file, or the name of a ready scenario.
    trials : how many simulated tanks; as the scenario says when None.
    executor : any of ``concurrent.futures``; threads, one a core, when None.
    rules : in the place of the scenario's.
    folder : keeps each finished simulated tank at once; the same call, or the same command with
        ``--out``, goes on from there. None keeps nothing.
    progress : called with (done, asked) after each simulated tank.

    Returns
    -------
    Result
        ``answer`` is an :class:`Answer`. ``to_frame(hours=False, days=False)`` has a row a scenario,
        set_up, trial, draw, fish, other (of an act between two), species, sex, window (whole, hour k, day
        k), measure and value, in the unit that ``attrs["units"]`` gives for the measure: shares 0 to 1,
        acts an hour of lit time. With KeyboardInterrupt during the run: of what was done so far.

    Raises
    ------
    ValueError
        When the scenario has problems (:class:`ScenarioError`), a value is not allowed, or the rock
        leaves too little water.
    StoreError
        When the folder holds something else or cannot be written.

    Source
    ------
    The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
    """
    from ..measures.whom import kinds_of
    from .answer.answer import answer, run_json
    from .answer.words import words

    asked = scenario_of(scenario, trials=trials, rules=rules)
    with kept_in(folder, "run", asked) as kept:
        table = kept_trials(asked, kept=kept, executor=executor, progress=progress)
        found = answer(table, alike=kinds_of(asked))
    return Result(
        "run",
        found,
        table.done == table.asked,
        partial(words, found),
        partial(run_json, found, question=asked.question),
        partial(frame.to_frame, table),
    )


def compare(
    scenario: Asked,
    *,
    fish: str | None = None,
    goal: str = "lost",
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """What if: the tank beside the alternatives of its scenario: ``rockshy compare`` in one call.

    Parameters
    ----------
    fish : for whom, such as "Tropheus duboisi females"; the mild species when None.
    goal : by what the best is looked for: "lost", "received", "hidden" or "pinned", the lower the better.
    scenario, trials, executor, rules, folder, progress : see :func:`run`; so many trials of each.

    Returns
    -------
    Result
        ``answer`` holds paired differences with their intervals. ``to_frame()`` has a row a tank, trial,
        guess and whose, with columns in shares 0 to 1, chases an hour of lit time, yes or no.

    Raises
    ------
    ValueError
        As :func:`run`, and without alternatives, for fish that there are not, or for another goal.
    StoreError
        See :func:`run`.

    Source
    ------
    See :func:`run`; differences are paired by trial, intervals cluster by draw.
    """
    from ..measures.registry import GOALS
    from .compare import comparison
    from .compare.files import COLUMNS, rows_text, whole_json
    from .compare.side_by_side import equally, run_side_by_side
    from .compare.words import compare_words

    asked = scenario_of(scenario, trials=trials, rules=rules)
    if goal not in GOALS:
        raise ValueError(f'goal: found "{goal}"; allowed: {", ".join(GOALS)}')
    if not asked.alternatives:
        raise ValueError("found no alternative to compare with; allowed: [[alternative]] tables in the file")
    group = group_asked(asked, fish)
    others = {one.name: one.scenario for one in asked.alternatives}
    stops: list[bool] = []
    with kept_in(folder, "compare", asked, others=others) as kept:
        tables = run_side_by_side(
            (asked, *others.values()),
            plan=equally(asked.run.trials, scenarios=1 + len(others)),
            goal=goal,
            group=group,
            executor=executor,
            kept=kept,
            progress=progress,
            on_stop=lambda: stops.append(True),
        )
        found = comparison.compare(asked, tables, group=group, goal=goal)
        rows = rows_text(tables, names=["the tank as it is", *others], group=group)
    return Result(
        "compare",
        found,
        not stops,
        partial(compare_words, found),
        partial(whole_json, asked, found),
        partial(frame_of, rows, COLUMNS),
    )


def relief(
    scenario: Asked,
    *,
    fish: str | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """Which ordinary change helps a fish, and what each costs: ``rockshy relief`` in one call.

    Parameters
    ----------
    fish : which fish to help; the worst off when None.
    trials : at most so many for each change.
    progress : called with (done, asked) of each batch.
    scenario, executor, rules, folder : see :func:`run`.

    Returns
    -------
    Result
        ``answer`` lists the changes, the largest gain first. ``to_frame()`` has a row a change and trial,
        each figure with the change and as it is: shares 0 to 1, chases an hour of lit time.

    Raises
    ------
    ValueError
        As :func:`run`, and for fish that there are not, too few trials, or where nothing can be tried.
    StoreError
        See :func:`run`.

    Source
    ------
    See :func:`run`; successive halving (Karnin2013), then fresh trials (Cox1975).
    """
    from .relief.files import COLUMNS, rows_text, whole_json
    from .relief.search import plan_of, relieve
    from .relief.watched import watched as watched_in
    from .relief.words import relief_words

    asked = scenario_of(scenario, trials=trials, rules=rules)
    plan, whom = plan_of(asked), whom_asked(asked, fish)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials}
    with kept_in(folder, "relief", plan.scenario, options=options) as kept:
        found = relieve(plan, Runner(kept, executor, progress), whom=whom)
        watch = watched_in(found)
    return Result(
        "relief",
        found,
        not found.stopped,
        partial(relief_words, found, watch),
        partial(whole_json, found, watch),
        lambda: frame_of(rows_text(found), COLUMNS),
    )


def why(
    scenario: Asked,
    *,
    fish: str | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """Why a fish is bullied, shared out among the mechanisms: ``rockshy why`` in one call.

    Parameters
    ----------
    fish : which fish; the worst off of the mild species when None.
    trials : how many tanks, each simulated with mechanisms on and off by turns.
    progress : called with (done, asked) of each batch.
    scenario, executor, rules, folder : see :func:`run`.

    Returns
    -------
    Result
        ``answer`` holds the shares of each mechanism. ``to_frame()`` has a row a trial and set of
        mechanisms that were on: share lost, 0 to 1, and chases received an hour of lit time.

    Raises
    ------
    ValueError
        As :func:`run`, and for fish that there are not, a fish on its own, or too few trials.
    StoreError
        See :func:`run`.

    Source
    ------
    See :func:`run`; shares are Shapley values.
    """
    from .why.answer import explain
    from .why.behind import behind as behind_answer
    from .why.files import COLUMNS, rows_text, whole_json
    from .why.words import why_words
    from .why.work import plan_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    plan, whom = plan_of(asked, meant=trials is not None), whom_asked(asked, fish)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials, "cut": not plan.meant}
    with kept_in(folder, "why", plan.scenario, options=options) as kept:
        found = explain(plan, Runner(kept, executor, progress), whom=whom)
        behind = behind_answer(found)
    return Result(
        "why",
        found,
        not found.stopped,
        partial(why_words, found, behind),
        partial(whole_json, found, behind),
        lambda: frame_of(rows_text(found), COLUMNS),
    )


def guesses(
    scenario: Asked,
    *,
    fish: str | None = None,
    days: float | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """Which of the things nobody has measured decide the answer: ``rockshy guesses`` in one call.

    Parameters
    ----------
    fish : whose answer; that of the mild species when None.
    days : simulated after the last arrival; those of the scenario, but one at most, when None.
    trials : at most so many simulated tanks in all; enough for usual intervals when None.
    progress : called with (done, asked) of each batch.
    scenario, executor, rules, folder : see :func:`run`.

    Returns
    -------
    Result
        ``answer`` holds the shares of the spread. ``to_frame()`` has a row an answer and guess: its first
        order and total share of the variance with their 95 % intervals, 0 to 1.

    Raises
    ------
    ValueError
        As :func:`run`, and for fish that there are not, too few trials, or where nothing is drawn.
    StoreError
        See :func:`run`.

    Source
    ------
    See :func:`run`; shares are Sobol indices.
    """
    from .guesses.files import COLUMNS, rows_text, whole_json
    from .guesses.study import study
    from .guesses.words import study_words
    from .guesses.work import LONGEST_DAYS, plan_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    length = min(asked.run.days, LONGEST_DAYS) if days is None else days
    if length != asked.run.days:
        asked = replace(asked, run=of_days(asked.run, length))
    plan, whom = plan_of(asked, tanks=trials), whom_or_mild(asked, fish)
    options = {"for": whom.name, "screened": plan.screened}
    with kept_in(folder, "guesses", plan.scenario, options=options) as kept:
        found = study(plan, Runner(kept, executor, progress), whom=whom)
    return Result(
        "guesses",
        found,
        not found.stopped,
        partial(study_words, found),
        partial(whole_json, found),
        lambda: frame_of(rows_text(found), COLUMNS),
    )
