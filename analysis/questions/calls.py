"""Each question from Python in one call, with what commands use."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ...sim.rules.support.rule_set import Rules
from ...sim.scenario.reading.run import of_days
from ..measures import frame
from ..measures.asked import group_asked, species_whom, whom_asked
from ..study.asking import Asked, kept_in, scenario_of
from ..study.choosing import choose_victim
from ..study.dictionary import frame_of
from ..study.result import Result
from ..study.runner import Progress, Runner, kept_trials
from .helped import helped, result_of

if TYPE_CHECKING:
    from ..measures.groups import Group
    from ..measures.whom import FishGroup
    from .watching.tally import Tally

    Folder = str | os.PathLike[str] | None


@helped(
    """``answer`` is an :class:`Answer`. ``to_frame(hours=False, days=False)`` has a row a scenario,
    set_up, trial, draw, fish, other (of an act between two), species, sex, window (whole, hour k, day
    k), measure and value, in the unit that ``attrs["units"]`` gives for the measure: shares 0 to 1,
    acts an hour of lit time."""
)
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

    A scenario that reaches beyond 28 days is lived through in blocks of days instead: see :func:`life`.

    trials : how many simulated tanks; as the scenario says when None.
    """
    from ..measures.whom import kinds_of
    from .answer.answer import answer, run_json
    from .answer.words import words
    from .life.reach import months_in

    asked = scenario_of(scenario, trials=trials, rules=rules)
    if (months := months_in(asked)) is not None:
        return life(asked, months=months, executor=executor, folder=folder, progress=progress)
    with kept_in(folder, "run", asked) as kept:
        table = kept_trials(asked, kept=kept, executor=executor, progress=progress)
        found = answer(table, alike=kinds_of(asked))
    told = partial(run_json, found, question=asked.question)
    rows = partial(frame.to_frame, table)
    return Result("run", found, table.done == table.asked, partial(words, found), told, rows)


@helped(
    """``answer`` holds paired differences with their intervals. ``to_frame()`` has a row a tank, trial,
    guess and whose, with columns in shares 0 to 1, chases an hour of lit time, yes or no.""",
    raises=" Also without alternatives, for fish that there are not, or for another goal.",
    source="Differences are paired by trial, intervals cluster by draw.",
)
def compare(
    scenario: Asked,
    *,
    fish: str | None = None,
    goal: str = "lost",
    months: int | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """What if: the tank beside the alternatives of its scenario: ``rockshy compare`` in one call.

    fish : for whom, such as "Tropheus duboisi females"; the worst off when None.
    goal : by what the best is looked for: "lost", "received", "hidden" or "pinned", the lower the better.
    months : let each tank live so long, 1 to 24; None: days, unless a date is beyond 28.
    trials : how many simulated tanks of each; as the scenario says when None.
    """
    from ..measures.registry import GOALS
    from .compare.answer import answer_of, chosen_of, everywhere
    from .compare.design import equally, run_side_by_side
    from .compare.files import COLUMNS, rows_text, whole_json
    from .compare.words import document_of
    from .life.instead import lived_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    if goal not in GOALS:
        raise ValueError(f'goal is "{goal}"; use {", ".join(GOALS)}')
    if not asked.alternatives:
        raise ValueError("there is no alternative to compare with; use a file with [[alternative]] tables")
    group: Group | FishGroup | None = group_asked(asked, fish)
    others = {one.name: one.scenario for one in asked.alternatives}
    lived = lived_of((asked, *others.values()), months)
    stops: list[bool] = []
    with kept_in(folder, "compare", asked, others=others, options=lived.options) as kept:
        tables = run_side_by_side(
            (asked, *others.values()),
            plan=equally(asked.run.trials, scenarios=1 + len(others)),
            goal=goal,
            group=group_asked(asked, fish),
            executor=executor,
            kept=kept,
            progress=progress,
            on_stop=lambda: stops.append(True),
            work=lived.work,
        )
        if lived.months is not None:
            group = everywhere(asked, tables, group)
        found = answer_of(asked, tables, group=group, goal=goal, months=lived.months, since=lived.since)
        chosen = chosen_of(asked, tables[0], group)
        rows = rows_text(tables, names=["the tank as it is", *others], group=chosen.group)
    told = partial(whole_json, asked, found)
    return Result(
        "compare", found, not stops, partial(document_of, found), told, partial(frame_of, rows, COLUMNS)
    )


@helped(
    """``answer`` lists the changes, the largest gain first. ``to_frame()`` has a row a change and trial,
    each figure with the change and as it is: shares 0 to 1, chases an hour of lit time.""",
    raises=" Also for fish that there are not, too few trials, or where nothing can be tried.",
    source="Successive halving (Karnin2013), then fresh trials (Cox1975).",
)
def relief(
    scenario: Asked,
    *,
    fish: str | None = None,
    months: int | None = None,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """Which ordinary change helps a fish, and what each costs: ``rockshy relief`` in one call.

    fish : which fish to help; the worst off when None.
    months : let each tank live so long, 1 to 24; None: days, unless a date is beyond 28.
    trials : at most so many for each change; as the scenario says when None.
    """
    from .life.instead import lived_of
    from .relief.answer import answer_of
    from .relief.design import plan_of
    from .relief.files import COLUMNS, rows_text, whole_json
    from .relief.policies import latest_arrivals
    from .relief.watch import watched
    from .relief.words import document_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    plan, whom = plan_of(asked), whom_asked(asked, fish)
    lived = lived_of([plan.scenario], months, tried=latest_arrivals)
    plan = replace(plan, months=lived.months)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials, **lived.options}
    with kept_in(folder, "relief", plan.scenario, options=options) as kept:
        found = answer_of(plan, Runner(kept, executor, progress, lived.work), whom=whom)
        watch = watched(found)
    return result_of("relief", found, document_of, whole_json, rows_text, COLUMNS, more=(watch,))


@helped(
    """``answer`` holds each amount and the least that is enough. ``to_frame()`` has a row a simulated
    tank: the amount, pinned yes or no, shares 0 to 1, chases and bites an hour of lit time.""",
    raises=" Also when it cannot be varied so, or no fish can be pinned.",
    source="The amount is judged by rounds at the amounts on which it hinges.",
)
def rock(
    scenario: Asked,
    *,
    vary: Sequence[str] = ("cover",),
    species: str | None = None,
    level: float | None = None,
    monotone: bool = False,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """How much rock a species needs so as to be seldom pinned: ``rockshy rock`` in one call.

    vary : one or two of "cover", "height" and "piles".
    species : whose; that of the worst off when None.
    level : wanted chance to be pinned at most, 0.01 to 0.9; 0.1 when None.
    monotone : judge a fitted curve that never rises with more rock.
    trials : at most so many simulated tanks at each amount; the scenario's, but at least a round, when None.
    """
    from .rock.answer import answer_of, weighed
    from .rock.design import LEVEL, Design, plan_of, watered_grid
    from .rock.files import columns_of, rows_text, whole_json
    from .rock.grid import AXES
    from .rock.words import document_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    names = [name for name in AXES if name in vary]
    if not 1 <= len(names) <= 2 or set(vary) != set(names):
        raise ValueError(f"vary is {', '.join(vary) or 'empty'}; use one or two of {', '.join(AXES)}")
    level = LEVEL if level is None else level
    if not 0.01 <= level <= 0.9:
        raise ValueError(f"level is {level}; use 0.01 to 0.9")
    whom = None if species is None else species_whom(asked, species)
    grid = watered_grid(asked, names, level=level)
    plan = plan_of(asked, grid, whom=whom, level=level, trials=trials, monotone=monotone)
    with kept_in(folder, "rock", plan.scenario, options={"varied": names}) as kept:
        swept = Design(plan, there=None if kept is None else kept.__contains__)
        swept.carry_out(Runner(kept, executor, progress))
    found = answer_of(swept, scenario=asked)
    place, amount = weighed(plan, found)
    words = partial(document_of, found, plan.grid, amount, place=place)
    told = partial(whole_json, found, plan, amount, place=place)
    rows, columns = rows_text(swept.rows.values(), plan.grid, species=swept.species), columns_of(plan.grid)
    return Result("rock", found, not swept.stopped, words, told, partial(frame_of, rows, columns))


@helped(
    """``answer`` holds the shares of each mechanism. ``to_frame()`` has a row a trial and set of
    mechanisms that were on: share lost, 0 to 1, and chases received an hour of lit time.""",
    raises=" Also for fish that there are not, a fish on its own, or too few trials.",
    source="Shares are Shapley values.",
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

    fish : which fish; the worst off when None.
    trials : how many tanks, each simulated with mechanisms on and off by turns.
    """
    from .why.answer import answer_of
    from .why.behind import behind
    from .why.design import plan_of
    from .why.files import COLUMNS, rows_text, whole_json
    from .why.words import document_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    plan, whom = plan_of(asked, meant=trials is not None), whom_asked(asked, fish)
    options = {"for": "" if whom is None else whom.name, "trials": plan.trials, "cut": not plan.meant}
    with kept_in(folder, "why", plan.scenario, options=options) as kept:
        found = answer_of(plan, Runner(kept, executor, progress), whom=whom)
        numbers = behind(found)
    return result_of("why", found, document_of, whole_json, rows_text, COLUMNS, more=(numbers,))


@helped(
    """``answer`` holds the shares of the spread. ``to_frame()`` has a row an answer and guess: its first
    order and total share of the variance with their 95 % intervals, 0 to 1.""",
    raises=" Also for fish that there are not, too few trials, or where nothing is drawn.",
    source="Shares are Sobol indices.",
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

    fish : whose answer; that of the worst off when None.
    days : simulated after the last arrival; those of the scenario, but one at most, when None.
    trials : at most so many simulated tanks in all; enough for usual intervals when None.
    """
    from .guesses.answer import answer_of
    from .guesses.design import LONGEST_DAYS, plan_of
    from .guesses.files import COLUMNS, rows_text, whole_json
    from .guesses.words import document_of

    whole = asked = scenario_of(scenario, trials=trials, rules=rules)
    length = min(asked.run.days, LONGEST_DAYS) if days is None else days
    if length != asked.run.days:
        asked = replace(asked, run=of_days(asked.run, length))
    plan, whom = plan_of(asked, tanks=trials), whom_asked(asked, fish)
    options = {"for": "" if whom is None else whom.name, "screened": plan.screened}
    with kept_in(folder, "guesses", plan.scenario, options=options) as kept:
        run = Runner(kept, executor, progress)
        if whom is None:
            whom, _ = choose_victim(whole, run, place=plan.scenarios)
        found = answer_of(plan, run, whom=whom)
    return result_of("guesses", found, document_of, whole_json, rows_text, COLUMNS)


@helped(
    """``answer`` holds the months and what is told of them. ``to_frame()`` has a row a simulated tank,
    measured day and kind of fish: how many were in and mature, mean total length in cm, share lost, 0 to 1,
    and how many were pinned.""",
    raises=" Also for fish that there are not, a fish on its own, too few trials or a date after the end.",
    source="Days in blocks with slow laws between them (EEngquist2003, KevrekidisSamaey2010).",
)
def life(
    scenario: Asked,
    *,
    fish: str | None = None,
    months: int = 6,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """How a tank fares over weeks and months: ``rockshy life`` in one call.

    fish : whose months; those of the worst off when None.
    months : how long it lives, 1 to 24.
    trials : how many tanks, each lived through from the first day.
    """
    from ..measures.whom import asked_for
    from .life.answer import answer_of
    from .life.design import plan_of
    from .life.files import COLUMNS, rows_text, whole_json
    from .life.words import document_of

    asked = scenario_of(scenario, trials=trials, rules=rules)
    whom = None if fish is None else asked_for(asked, fish)
    plan = plan_of(asked, months=months, whom=whom)
    with kept_in(folder, "life", plan.scenario, options={"months": plan.months}) as kept:
        found = answer_of(plan, Runner(kept, executor, progress, plan.work))
    return result_of("life", found, document_of, whole_json, rows_text, COLUMNS)


@helped(
    """``answer`` is a :class:`Fit`: what the tally says and changed, and the narrowed draws.
    ``to_frame()`` has a row a group and figure: low, middle and high before, after, and simulated again.""",
    raises=" Also when the tally has problems or says nothing, or for too few tanks.",
    source="Ranges are CV+ intervals of ridge regression (BarberEtAl2021), draws are moved by an ensemble\n"
    "smoother (Evensen2018).",
)
def fit(
    scenario: Asked,
    tally: Tally | str | os.PathLike[str],
    *,
    trials: int | None = None,
    executor: Executor | None = None,
    rules: Rules | None = None,
    folder: Folder = None,
    progress: Progress | None = None,
) -> Result:
    """What nobody has measured, narrowed by a tally of this very tank: ``rockshy fit`` in one call.

    tally : what was counted, or the path of the file of it.
    trials : how many simulated tanks to fit by, 200 or more; 256 when None.
    """
    from .fit.answer import answer_of
    from .fit.design import plan_of
    from .fit.files import COLUMNS, rows_text, whole_json
    from .fit.tanks import watched_trial
    from .fit.words import document_of
    from .watching.reading import load_tally
    from .watching.tally import Tally as Told

    asked = scenario_of(scenario, rules=rules)
    told_of = tally if isinstance(tally, Told) else load_tally(tally, asked)
    plan = plan_of(asked, told_of, trials=trials)
    with kept_in(folder, "fit", plan.scenario) as kept:
        run = Runner(kept, executor, progress, watched_trial)
        found = answer_of(plan, run, renew=None if kept is None else kept.renew)
    return result_of("fit", found, document_of, whole_json, rows_text, COLUMNS)
