"""Rock and tank of one trial: the rock is drawn by the trial, its crevices by the draw."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from typing import Any

from ..fish.population import draw_traits
from ..rules.support.parameters import resolve
from ..rules.support.possible import possible
from ..rules.support.random_numbers import generator, stream_key
from ..rules.support.rule_set import Rules
from ..scenario.scenario import Scenario
from ..scenario.timeline import Standing, standings
from ..tank.crevices import RockDraw
from ..tank.rockwork import Rock, changed_rock, draw_rock, full_rock
from ..tank.tank import Tank, WaterError, build_tank, open_water


def draw_tank(scenario: Scenario, *, trial: int = 0, draw: int = 0, laying: int | None = None) -> Tank:
    """The tank of one trial that is measured: its rock drawn by the trial, its crevices by the draw.

    ``laying``: 0 for the tank as it is first, 1 for the tank once an event changed what stands in it, and so
    on; the last one, which is measured, when None.
    """
    p = parameters_of(scenario, draw)
    rock = draw_trial_rock(scenario, trial=trial, draw=draw, laying=laying)
    divider = standings_of(scenario)[-1 if laying is None else laying].divider
    return build_tank(scenario.tank, rock, divider=divider, sight_cm=p.sight_cm)


def standings_of(scenario: Scenario) -> tuple[Standing, ...]:
    """What stands in the tank, at first and after each event that changes it."""
    return standings(scenario.rock, scenario.timeline.events)


def parameters_of(
    scenario: Scenario, draw: int, *, tick_s: float = 1.0, instead: Mapping[str, float] | None = None
) -> Any:
    """The parameters of the rules in one draw of a scenario; see :func:`resolve`.

    What a scenario gives no values for comes from those that published work does not rule out, unless it
    wants them wide. That was found under the project's rules and says nothing of others. ``instead``: set
    whatever the scenario says.
    """
    run = scenario.run
    narrowed = not run.wide and scenario.rules == Rules()
    given = {**(possible(run.seed, draw) if narrowed else {}), **scenario.given_at(draw)}
    settled = {**scenario.parameters, **(instead or {})}
    return resolve(settled, seed=run.seed, draw=draw, fixed=run.fixed, tick_s=tick_s, given=given)


def traits_of(scenario: Scenario, draw: int) -> dict[str, dict[str, float]]:
    """The numeric traits of each species in one draw of a scenario."""
    run = scenario.run
    return {
        key: draw_traits(kind, seed=run.seed, draw=draw, fixed=run.fixed, given=scenario.given_at(draw, key))
        for key, kind in scenario.species.items()
    }


def draw_tanks_before(scenario: Scenario, *, trial: int = 0, draw: int = 0) -> tuple[Tank, ...]:
    """The tanks of one trial until what stands in it changes for the last time, in order; mostly none."""
    changes = len(standings_of(scenario)) - 1
    return tuple(draw_tank(scenario, trial=trial, draw=draw, laying=k) for k in range(changes))


def draw_trial_rock(scenario: Scenario, *, trial: int = 0, draw: int = 0, laying: int | None = None) -> Rock:
    """The rock that :func:`draw_tank` builds the tank of one trial from.

    Rock that is added to or taken from follows from what lay before, change by change.
    """
    seed = stream_key(scenario.run.seed, "trial", trial)
    p = parameters_of(scenario, draw)
    sizes = RockDraw(crevices_per_piece=p.crevices_a_piece)
    stands = standings_of(scenario)
    stands = stands if laying is None else stands[: laying + 1]
    which = stands[-1].laying
    again = () if which == 0 else ("laid anew", *range(2, which + 1)[-1:])
    amounts = [rock for rock, _ in itertools.groupby(one.rock for one in stands if one.laying == which)]
    rock = draw_rock(scenario.tank, amounts[0], rng=generator(seed, "rock", *again), draw=sizes)
    for k, amount in enumerate(amounts[1:], 1):
        rng, more = generator(seed, "rock", *again), generator(seed, "rock", *again, "more", k)
        rock = changed_rock(scenario.tank, rock, amount, rng=rng, more=more, draw=sizes)
    return rock


def check_water(scenario: Scenario) -> None:
    """Make sure that the rock of every trial leaves water to swim in, whatever events make of the tank.

    Rock is drawn for that (some 20 ms a trial) only where a full layer of it would leave too little.

    Raises WaterError: it names the first trial in which too little is left.
    """
    stands = standings_of(scenario)
    try:
        for one in stands:
            open_water(scenario.tank, full_rock(scenario.tank, one.rock), divider=one.divider)
        return
    except WaterError:
        pass  # drawn rock leaves more
    trials = range(scenario.run.trials if scenario.rock.sketch is None else 1)
    for trial, laying in itertools.product(trials, range(len(stands))):
        rock = draw_trial_rock(scenario, trial=trial, laying=laying)  # no draw moves a stone
        try:
            open_water(scenario.tank, rock, divider=stands[laying].divider)
        except WaterError as problem:
            cells, cell_cm, divided = problem.cells, problem.cell_cm, problem.divided
            raise WaterError(cells, cell_cm=cell_cm, trial=trial, divided=divided) from None
