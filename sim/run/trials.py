"""Many runs of a scenario on an executor: the same seeds for every set-up, a table at the end."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from ..fish.population import Individual, draw_traits, individuals
from ..rules.support.parameters import resolve
from ..rules.support.rule_set import Rules
from ..scenario.scenario import Scenario
from ..scenario.timeline import Stay, WhenSeen
from ..tank.tank import Tank
from .compact import packed, shared, with_row
from .days import TICK_S
from .drawing import draw_tank, draw_tanks_before
from .identity import release
from .model import TankModel
from .running import each_done
from .set_ups import draw_of, draws_in, set_ups, watched
from .table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm, FishList, Trials
from .thumb import deeds_of, go_by_rules

_JUDGED = (AS_STOCKED, LEFT_ALONE)  # set-ups by which a keeper's rules of thumb judge a day


@dataclass(frozen=True)
class Outcome:
    """One set-up of one trial: the columns of :class:`rockshy.sim.run.table.Arm` without the trial axis."""

    name: str
    trial: int
    draw: int
    people: tuple[Individual, ...]
    columns: Mapping[str, Any]


def models_of_trial(
    scenario: Scenario, trial: int, *, arms: Sequence[str] | None = None, tick_s: float = TICK_S
) -> Generator[tuple[str, TankModel], None, None]:
    """The models of one trial, one a set-up, all in one tank and on one seed, none of them run.

    Parameters
    ----------
    arms : which set-ups; those of :func:`rockshy.sim.run.set_ups.set_ups` when None.
    tick_s : length of a tick, s.

    Yields
    ------
    Name of a set-up and its model, which is closed when the next one is asked for.
    """
    draw = draw_of(scenario, trial)
    tank = draw_tank(scenario, trial=trial, draw=draw)
    before = draw_tanks_before(scenario, trial=trial, draw=draw)
    for name in set_ups(scenario) if arms is None else arms:
        with model_of_trial(
            scenario, trial, arm=name, tank=tank, tanks_before=before, tick_s=tick_s
        ) as model:
            yield name, model


def model_of_trial(
    scenario: Scenario,
    trial: int,
    *,
    arm: str = AS_STOCKED,
    tank: Tank | None = None,
    tanks_before: Sequence[Tank] | None = None,
    keep: bool = False,
    by_rules: bool = True,
    tick_s: float = TICK_S,
) -> TankModel:
    """The model of one set-up of a trial as :func:`run_trial` runs it: ``with model_of_trial(...) as model``.

    ``arm, tank, tanks_before, keep, tick_s``: see :class:`rockshy.sim.run.model.TankModel`.
    What rules of thumb do is known beforehand to a model that keeps all: they are tried first, unless
    ``by_rules`` is False, as for a life, in which its keeper looks on the way.
    """
    model = TankModel(
        scenario,
        trial=trial,
        draw=draw_of(scenario, trial),
        arm=arm,
        watch=watched(scenario)[0] if arm == OWN_KIND else None,
        tank=tank,
        tanks_before=tanks_before,
        keep=keep,
        tick_s=tick_s,
    )
    if keep and by_rules and scenario.timeline.of(WhenSeen):
        with contextlib.ExitStack() as stack:
            both = (stack.enter_context(model_of_trial(scenario, trial, arm=one)) for one in _JUDGED)
            stocked, alone = both
            go_by_rules(stocked, alone)
            model.foresee(*deeds_of(stocked))
    return model


def run_trial(
    scenario: Scenario,
    trial: int,
    *,
    arms: Sequence[str] | None = None,
    halted: Callable[[], bool] | None = None,
) -> tuple[Outcome, ...]:
    """Set-ups of one trial, in one tank, on one seed; those of :func:`set_ups` when ``arms`` is None.

    ``halted`` and HaltedError: see :meth:`rockshy.sim.run.model.TankModel.run`.
    """
    draw, outcomes = draw_of(scenario, trial), []
    if scenario.timeline.of(WhenSeen):
        return _run_by_rules(scenario, trial, arms=set_ups(scenario) if arms is None else arms, halted=halted)
    with contextlib.closing(models_of_trial(scenario, trial, arms=arms)) as models:
        for name, model in models:
            model.run(halted=halted)
            outcomes.append(outcome_of(model, name=name, trial=trial, draw=draw))
    return tuple(outcomes)


def _run_by_rules(
    scenario: Scenario, trial: int, *, arms: Sequence[str], halted: Callable[[], bool] | None
) -> tuple[Outcome, ...]:
    """The same with rules of thumb: what is seen as stocked is done in all set-ups."""
    draw = draw_of(scenario, trial)
    tank = draw_tank(scenario, trial=trial, draw=draw)
    before = draw_tanks_before(scenario, trial=trial, draw=draw)
    with contextlib.ExitStack() as stack:
        models = {
            arm: stack.enter_context(model_of_trial(scenario, trial, arm=arm, tank=tank, tanks_before=before))
            for arm in dict.fromkeys((*_JUDGED, *arms))
        }
        stocked, alone = models[AS_STOCKED], models[LEFT_ALONE]
        go_by_rules(stocked, alone, halted=halted)
        for model in models.values():
            if model is not stocked and model is not alone:
                model.foresee(*deeds_of(stocked))
                model.run(halted=halted)
        return tuple(outcome_of(models[arm], name=arm, trial=trial, draw=draw) for arm in arms)


def outcome_of(model: TankModel, *, name: str, trial: int, draw: int) -> Outcome:
    """What a finished run adds to the table."""
    ledger, fish, seconds = model.ledger, model.shoal.fish, float(model.parameters.tick_s)
    hours, pair = ledger.hours, ledger.pair
    columns = {
        "sex": np.where(fish.male, 0, 1).astype(np.int8),
        "adult": fish.adult.copy(),
        "length_cm": fish.length_cm.copy(),
        "lit_s": hours.lit.sum(axis=1) * seconds,
        "hidden_s": hours.hidden.sum(axis=1) * seconds,
        "free_s": hours.free.sum(axis=1) * seconds,
        "meals": ledger.fish.meals.astype(float),
        "meals_missed": ledger.fish.missed.astype(float),
        "food": ledger.fish.food.copy(),
        "chases": pair.chases.copy(),
        "bites": pair.bites.copy(),
        "displays": pair.displays.copy(),
        "wins": pair.wins.copy(),
        "hour_share": hours.share.copy(),
        "hour_outside_s": hours.outside * seconds,
        "hour_owner_s": hours.owner * seconds,
        "hour_chased": hours.chased.copy(),
        "hour_hidden_s": hours.hidden * seconds,
        "hour_lit_s": hours.lit * seconds,
    }
    if model.broods.told:
        columns["holding"] = ledger.fish.held | fish.holding
    return Outcome(name, trial, draw, shared(tuple(model.people)), packed(columns))


Work = Callable[..., tuple[Outcome, ...]]  # called as run_trial is


@dataclass(frozen=True)
class Job:
    """One trial of one of several scenarios that are compared, with the set-ups to run."""

    which: int  # place of the scenario among those compared; 0 is the base
    trial: int
    arms: tuple[str, ...] | None = None  # None: those of :func:`set_ups`


def each_job(
    scenarios: Sequence[Scenario],
    jobs: Iterable[Job],
    *,
    executor: Executor | None = None,
    halted: Callable[[], bool] | None = None,
    work: Work | None = None,
) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
    """Run jobs and yield each as it ends.

    Raises HaltedError when ``halted`` said yes before the last job ended.

    Parameters
    ----------
    scenarios : what the jobs are of.
    jobs : taken one by one as places fall free, so that a generator may decide late.
    executor : see :func:`rockshy.sim.run.running.each_done`. A job depends on its scenario and its number
        alone, so neither engine nor order matters.
    halted : once it says yes, trials that run are given up within a simulated hour; threads only.
        So they are when whoever takes the results leaves early, by Ctrl-C too.
    work : carries out one trial; :func:`run_trial` when None.
    """
    is_left = threading.Event()
    more: dict[str, Any] = {}
    if executor is None or halted is not None:
        more["halted"] = lambda: is_left.is_set() or (halted is not None and halted())
    one = work or run_trial
    calls = ((job, partial(one, scenarios[job.which], job.trial, arms=job.arms, **more)) for job in jobs)
    return each_done(calls, executor=executor, halted=halted, leave=is_left.set)


def each_trial(
    scenario: Scenario, *, trials: Iterable[int] | None = None, executor: Executor | None = None
) -> Iterator[tuple[Outcome, ...]]:
    """Run trials and yield each as it ends.

    Parameters
    ----------
    scenario : what to run.
    trials : numbers of the trials; all of the scenario when None.
    executor : see :func:`each_job`.

    Returns
    -------
    Iterator
        For each trial, in the order in which they end, an :class:`Outcome` of each set-up: the columns of
        :func:`run_trials` without the axis of trials. :func:`table_of` makes Trials of them.

    Raises
    ------
    ValueError
        When the rock leaves too little water.

    Source
    ------
    The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
    """
    numbers = range(scenario.run.trials) if trials is None else trials
    for _, outcomes in each_job([scenario], (Job(0, trial) for trial in numbers), executor=executor):
        yield outcomes


def table_of(scenario: Scenario, done: Iterable[tuple[Outcome, ...]], *, asked: int | None = None) -> Trials:
    """The Trials table of the trials that are done, in order of their numbers.

    Parameters
    ----------
    scenario : what was run.
    done : the trials that are done, at least one.
    asked : how many were asked for; as the scenario says when None.
    """
    watch, reason = watched(scenario)
    asked = scenario.run.trials if asked is None else asked
    return Trials(scenario.title, watch, reason, arms_of(scenario, done), asked, recipe(scenario))


def arms_of(scenario: Scenario, done: Iterable[tuple[Outcome, ...]]) -> dict[str, Arm]:
    """The set-ups of the Trials table, by name; as :func:`table_of`, for whoever asks for no more."""
    ordered = sorted(done, key=lambda outcomes: outcomes[0].trial)
    names = [outcome.name for outcome in ordered[0]]
    stays = scenario.timeline.stays
    return {name: _arm(name, [outcomes[k] for outcomes in ordered], stays) for k, name in enumerate(names)}


def _arm(name: str, outcomes: list[Outcome], stays: Mapping[str, Sequence[Stay]]) -> Arm:
    people = outcomes[0].people
    fish = FishList(
        tuple(one.label for one in people),
        tuple(one.species for one in people),
        np.array([stays[one.label][0][0] for one in people]),
        np.array([stays[one.label][-1][1] for one in people]),
        np.array([one.holding for one in people]),
    )
    columns: dict[str, Any] = {}
    for place, outcome in enumerate(outcomes):
        for key, values in outcome.columns.items():
            columns[key] = with_row(columns.get(key), place, values, among=len(outcomes))
    return Arm(
        name=name,
        fish=fish,
        trial=np.array([outcome.trial for outcome in outcomes]),
        draw=np.array([outcome.draw for outcome in outcomes]),
        **columns,
    )


def run_trials(
    scenario: Scenario,
    *,
    trials: int | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    rules: Rules | None = None,
) -> Trials:
    """Run a scenario many times.

    Parameters
    ----------
    scenario : see :func:`rockshy.sim.load`.
    trials : how many; as the scenario says when None.
    executor : see :func:`each_trial`.
    progress : called with (done, asked) after each trial.
    rules : instead of the scenario's.

    Returns
    -------
    Trials
        ``arms[name]`` holds the columns of a set-up, over t trials, n fish and h measured lit hours:
        ``trial``, ``draw`` [t] numbers of trial and draw; ``sex`` [t, n] 0 male, 1 female; ``adult``
        [t, n]; ``length_cm`` [t, n] cm; ``lit_s``, ``hidden_s``, ``free_s`` [t, n] seconds in the tank, in a
        shelter or corner, swimming free; ``meals``, ``meals_missed`` [t, n]; ``food`` [t, n] portions;
        ``chases``, ``bites``, ``displays``, ``wins`` [t, n, n] counts, the row against the column;
        ``hour_share`` [t, n, h] largest share of the hour in one place, 0 to 1; ``hour_outside_s``,
        ``hour_owner_s``, ``hour_hidden_s``, ``hour_lit_s`` [t, n, h] seconds; ``hour_chased`` [t, n, h]
        chases received; ``holding`` [t, n] held eggs, None where no event tells of broods.
        ``netted`` [t, n, 2] times that rules of thumb took it out, and put it back, of lives in weeks, else
        None.
        With KeyboardInterrupt during the run: of what was done so far, at least one trial.

    Raises
    ------
    ValueError
        When the rock leaves too little water, or a rule handed in does not fit.

    Source
    ------
    The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
    """
    if rules is not None:
        scenario = scenario.with_rules(rules)
    asked = scenario.run.trials if trials is None else trials
    done: list[tuple[Outcome, ...]] = []
    try:
        for outcomes in each_trial(scenario, trials=range(asked), executor=executor):
            done.append(outcomes)
            if progress is not None:
                progress(len(done), asked)
    except KeyboardInterrupt:
        if not done:
            raise
    return table_of(scenario, done, asked=asked)


def recipe(scenario: Scenario) -> dict[str, object]:
    """Everything needed to repeat a result: scenario text, seed, version, parameter and trait values."""
    run = scenario.run
    p = resolve(scenario.parameters)
    return {
        "version": release(),
        "title": scenario.title,
        "question": scenario.question,
        "scenario": scenario.text,
        "stock_list": scenario.stock_list_text,
        "seed": run.seed,
        "trials": run.trials,
        "guesses": draws_in(run),
        "fixed": run.fixed,
        "lit_hours": scenario.lit_hours,
        "parameters": {name: float(p[name]) for name in p.dtype.names},
        "traits": {
            key: draw_traits(kind, seed=0, draw=0, fixed=True) for key, kind in scenario.species.items()
        },
        "fish": len(individuals(scenario.stock)),
        "rules": scenario.rules.texts(),
    }
