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
from ..scenario.timeline import RockAnew
from ..tank.crevices import RockDraw
from ..tank.rockwork import Rock, draw_rock, full_rock
from ..tank.tank import Tank, WaterError, build_tank, open_water


def draw_tank(scenario: Scenario, *, trial: int = 0, draw: int = 0, laying: int | None = None) -> Tank:
    """The tank of one trial that is measured: its rock drawn by the trial, its crevices by the draw.

    ``laying``: 0 for the tank as the rock is laid first, 1 for the tank once it was laid anew, and so on;
    that of the last laying, which is measured, when None.
    """
    p = parameters_of(scenario, draw)
    rock = draw_trial_rock(scenario, trial=trial, draw=draw, laying=laying)
    return build_tank(scenario.tank, rock, sight_cm=p.sight_cm)


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
    """The tanks of one trial until its rock is laid for the last time, in order; mostly none."""
    return tuple(
        draw_tank(scenario, trial=trial, draw=draw, laying=k) for k in range(times_laid_anew(scenario))
    )


def times_laid_anew(scenario: Scenario) -> int:
    """How often all rock is taken out and laid anew."""
    return len(scenario.timeline.of(RockAnew))


def draw_trial_rock(scenario: Scenario, *, trial: int = 0, draw: int = 0, laying: int | None = None) -> Rock:
    """The rock that :func:`draw_tank` builds the tank of one trial from."""
    run = scenario.run
    p = parameters_of(scenario, draw)
    which = times_laid_anew(scenario) if laying is None else laying
    again = () if which == 0 else ("laid anew", *range(2, which + 1)[-1:])
    rng = generator(stream_key(run.seed, "trial", trial), "rock", *again)
    sizes = RockDraw(crevices_per_piece=p.crevices_a_piece)
    return draw_rock(scenario.tank, scenario.rock, rng=rng, draw=sizes)


def check_water(scenario: Scenario) -> None:
    """Make sure that the rock of every trial leaves water to swim in, before and after it is laid anew.

    Rock is drawn for that (some 20 ms a trial) only where a full layer of it would leave too little.

    Raises WaterError: it names the first trial in which too little is left.
    """
    try:
        open_water(scenario.tank, full_rock(scenario.tank, scenario.rock))
        return
    except WaterError:
        pass  # drawn rock leaves more
    trials = range(scenario.run.trials if scenario.rock.sketch is None else 1)
    layings = range(times_laid_anew(scenario) + 1)
    for trial, laying in itertools.product(trials, layings):
        rock = draw_trial_rock(scenario, trial=trial, laying=laying)  # no draw moves a stone
        try:
            open_water(scenario.tank, rock)
        except WaterError as problem:
            raise WaterError(problem.cells, cell_cm=problem.cell_cm, trial=trial) from None
