"""How much rock, from Python in one call; what it is worked out with is what the command uses."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ....sim.rules.support.rule_set import Rules
from ....sim.run.set_ups import watched
from ...measures.asked import species_asked
from ...study.asking import Asked, kept_in, scenario_of
from ...study.dictionary import frame_of
from ...study.result import Result
from ...study.runner import Progress, Runner
from .asked import check_counts, watered_grid, weighed
from .files import columns_of, rows_text, whole_json
from .grid import AXES
from .sweep import LEVEL, answer_of, plan_of, rows_of, sweep
from .words import document_of, mild_because

if TYPE_CHECKING:
    Folder = str | os.PathLike[str] | None


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

    Parameters
    ----------
    vary : one or two of "cover", "height" and "piles".
    species : whose; the mild species when None.
    level : wanted chance to be pinned at most, 0.01 to 0.9; 0.1 when None.
    monotone : judge a fitted curve that never rises with more rock.
    trials : at most so many simulated tanks at each amount.
    progress : called with (done, asked) of each round.
    scenario, executor, rules, folder : see :func:`rockshy.analysis.questions.calls.run`.

    Returns
    -------
    Result
        ``answer`` holds each amount and the least that is enough. ``to_frame()`` has a row a simulated
        tank: the amount, pinned yes or no, shares 0 to 1, chases and bites an hour of lit time.

    Raises
    ------
    ValueError
        As :func:`run`, and when the rock cannot be varied so, or no fish of the species can be pinned.
    StoreError
        See :func:`run`.

    Source
    ------
    See :func:`run`; the amount is judged by rounds at the amounts on which it hinges.
    """
    asked = scenario_of(scenario, trials=trials, rules=rules)
    names = [name for name in AXES if name in vary]
    if not 1 <= len(names) <= 2 or set(vary) != set(names):
        raise ValueError(
            f"vary: found {', '.join(vary) or 'nothing'}; allowed: one or two of {', '.join(AXES)}"
        )
    level = LEVEL if level is None else level
    if not 0.01 <= level <= 0.9:
        raise ValueError(f"level: found {level}; allowed: 0.01 to 0.9")
    mild, reason = watched(asked)
    key = mild if species is None else species_asked(asked, species)
    check_counts(asked, key)
    grid = watered_grid(asked, names, level=level)
    plan = plan_of(asked, grid, species=key, level=level, trials=trials, monotone=monotone)
    base = replace(asked, run=plan.scenarios[0].run)
    with kept_in(folder, "rock", base, options={"varied": names}) as kept:
        there = None if kept is None else kept.__contains__
        swept = sweep(plan, rows_of(Runner(kept, executor, progress)), there=there)
    why_it = mild_because(reason) if species is None else "as you asked"
    found = answer_of(plan, swept, scenario=asked, why=why_it, mild=key == mild)
    place, amount = weighed(plan, found)
    return Result(
        "rock",
        found,
        not swept.stopped,
        partial(document_of, found, plan.grid, amount, place=place),
        partial(whole_json, found, plan, amount, place=place),
        lambda: frame_of(rows_text(swept.rows, plan.grid, species=key), columns_of(plan.grid)),
    )
