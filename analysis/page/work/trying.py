"""Trying a tank out: its trials, and the answer that gets sharper while they come in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from ....sim.run.table import AS_STOCKED, Trials
from ....sim.run.trials import Outcome, table_of
from ...asking.found import first_tank
from ...document.typed import Typed
from ...measures.whom import kinds_of
from ...questions.answer.answer import Answer, Portrait, answer, run_json
from ...questions.answer.brief import first_lines
from ...questions.answer.figures_said import SAID, figure_said, lost_said, pinned_said, reading
from ...questions.answer.telling import tanks_of, telling_of
from ...questions.answer.words import named, words
from ...questions.life.reach import months_in
from ...statistics.intervals import Count, Estimate
from ..task import Task
from .asked import only, pieces, scenario_of, which_of
from .lives import live_out
from .simulating import each_trial, show_as_they_end

_ENDS = ("low", "high", "guess_low", "guess_high")
_NAMES = {"received": "chased"}


def try_out(task: Task) -> None:
    """Run the trials of a tank; kept are ``tables``, which -> table, and ``telling``, trials to look at."""
    only(task, "which")
    which, scenario, found = which_of(task)
    first_tank(found)
    if (months := months_in(scenario)) is not None:
        live_out(task, which, scenario, months, shown=_shown)
        return

    def result(done: Sequence[tuple[Outcome, ...]]) -> dict[str, Any]:
        trials = table_of(scenario, done)
        answered = answer(trials, alike=kinds_of(scenario))
        return {
            **_shown(task, which, trials, answered, headline=first_lines(answered, scenario)),
            "pieces": pieces(words(answered), scenario),
            "worst": answered.victim.labels[0],
            "json": run_json(answered, question=scenario.question),
        }

    show_as_they_end(task, each_trial(task, scenario), scenario.run.trials, result)


def _shown(
    task: Task, which: int, trials: Trials, answered: Answer, *, headline: Sequence[str]
) -> dict[str, Any]:
    """What the page draws of the simulated tanks; kept for films and reports."""
    tanks, typed = tanks_of(trials), Typed(scenario_of(task.scenario, which)[1])
    telling = asdict(telling_of(tanks))
    task.kept.update(tables={which: trials}, telling={which: telling}, headline={which: headline})
    return {
        "fish": [{**_fish(one), "label": typed.sentence(named(one))} for one in answered.alike],
        "watch": answered.watch,
        "headline": headline,
        "reading": reading(),
        "tanks": [asdict(one) for one in tanks],
        "telling": telling,
    }


def _fish(one: Portrait) -> dict[str, Any]:
    figures, count = one.figures[AS_STOCKED], one.pinned.get(AS_STOCKED)
    said = {_NAMES.get(name, name): _figure(figures[name], figure_said(name, figures[name])) for name in SAID}
    return {
        "labels": one.labels,
        "lost": one.lost and _figure(one.lost, lost_said(one.lost)),
        **said,
        "pinned": count and {"hits": count.hits, "of": count.of, **_figure(count, pinned_said(one))},
    }


def _figure(found: Estimate | Count, said: str) -> dict[str, Any]:
    value = found.share if isinstance(found, Count) else found.value
    return {"value": value, **{name: getattr(found, name) for name in _ENDS}, "said": said}
