"""Trying a tank out: its trials, and the answer that gets sharper while they come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from ....sim.run.model import HaltedError
from ....sim.run.table import AS_STOCKED, Trials
from ....sim.run.trials import Outcome, table_of
from ....sim.scenario.scenario import Scenario
from ...asking.found import first_tank
from ...document import as_json
from ...document.files import plain
from ...measures.whom import kinds_of
from ...questions.answer.answer import Portrait, answer, run_json
from ...questions.answer.headline import SAID, figure_said, headline, lost_said, pinned_said, reading
from ...questions.answer.telling import OneTank, tanks_of, telling_of
from ...questions.answer.words import named, words
from ...statistics.intervals import Count, Estimate
from ..task import Task
from .asked import Pace, found_of, only, which_of
from .simulating import each_trial

_NAMES = {"received": "chased", "given": "given", "hidden": "hidden", "free": "free"}


def try_out(task: Task) -> None:
    """Run the trials of a tank; kept are ``tables``, which -> table, and ``telling``, trials to look at."""
    only(task, "which")
    which, name, scenario = which_of(task)
    first_tank(found_of(task, scenario, which, name))
    asked, pace = scenario.run.trials, Pace(task)
    done: list[tuple[Outcome, ...]] = []
    posted = 0
    task.post(None, done=0, asked=asked)
    try:
        for outcomes in each_trial(task, scenario):
            done.append(outcomes)
            if len(done) == asked or not pace.is_due():
                task.post(None, done=len(done), asked=asked)
                continue
            posted = len(done)
            with pace.making():
                task.post(_result(task, which, scenario, done), done=posted, asked=asked)
    except HaltedError:
        if not done:
            raise
    if posted < len(done):
        task.post(_result(task, which, scenario, done), done=len(done), asked=asked)


def _result(
    task: Task, which: int, scenario: Scenario, done: Sequence[tuple[Outcome, ...]]
) -> dict[str, Any]:
    trials = table_of(scenario, done)
    result, telling = tried(trials, scenario)
    task.kept["tables"], task.kept["telling"] = {which: trials}, {which: telling}
    return result


def tried(trials: Trials, scenario: Scenario) -> tuple[dict[str, Any], dict[str, int | None]]:
    """What a page is shown of some trials, and which of them are worth a look."""
    found, tanks = answer(trials, alike=kinds_of(scenario)), tanks_of(trials)
    telling: dict[str, int | None] = asdict(telling_of(tanks))
    result = {
        "pieces": as_json(words(found)),
        "fish": [_fish(one) for one in found.alike],
        "watch": found.watch,
        "worst": found.alike[0].labels[0],
        "headline": headline(found),
        "reading": reading(),
        "tanks": [_tank(one) for one in tanks],
        "telling": telling,
        "json": run_json(found, question=scenario.question),
    }
    return result, telling


def _fish(one: Portrait) -> dict[str, Any]:
    figures: Mapping[str, Estimate] = one.figures[AS_STOCKED]
    told: dict[str, Any] = {
        "label": named(one),
        "labels": one.labels,
        "species": one.species,
        "sex": one.sex,
        "holding": one.holding,
    }
    told["lost"] = None if one.lost is None else _figure(one.lost, lost_said(one.lost))
    told |= {_NAMES[name]: _figure(figures[name], figure_said(name, figures[name])) for name in SAID}
    count = one.pinned.get(AS_STOCKED)
    told["pinned"] = None if count is None else _count(count, pinned_said(one))
    return told


def _figure(found: Estimate, said: str) -> dict[str, Any]:
    numbers = ("value", "low", "high", "guess_low", "guess_high")
    return {**{name: plain(getattr(found, name)) for name in numbers}, "said": said}


def _count(found: Count, said: str) -> dict[str, Any]:
    share = found.share if found.of else None
    ends = {name: plain(getattr(found, name)) for name in ("low", "high", "guess_low", "guess_high")}
    return {"value": plain(share), **ends, "hits": found.hits, "of": found.of, "said": said}


def _tank(one: OneTank) -> dict[str, Any]:
    return {"trial": one.trial, "free": one.free, "pinned": one.pinned, "chases": one.chases}
