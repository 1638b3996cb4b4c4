"""The rock of a draft for the page: a grid to draw on, a picture, shelters, kilograms, lines of sight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

import tomlkit

from ....sim.run.drawing import parameters_of
from ....sim.run.set_ups import draw_of
from ....sim.scenario.reading import ScenarioError
from ....sim.scenario.scenario import Scenario
from ....sim.scenario.units import say_volume_l
from ....sim.species.species import library
from ....sim.tank.rockwork import Rock, describe_rock
from ....sim.tank.tank import Tank, build_tank
from ...document import Text, as_json
from ...document.plain import many
from ...film.page import player_part
from ...film.scene import SLABS, scene_json, scene_of_rock
from ...questions.check.drawn import DrawnTanks
from ...questions.check.understood import crevice_sentences
from ...questions.rock.amount import SOLID, Amount, amount_of
from ...questions.rock.amount_words import fit_sentences, laying_cautions, weight_words
from ...questions.rock.grid import is_bare
from ...questions.sources.source_counts import cited
from ..serving.refusals import CANNOT, RefusalError
from ..task import Draft
from ..viewing.drawn import Laid, drawn_rock
from ..viewing.read import alone, copies_of, scenario_of, shown, values_of
from .grid import anew_told, grid_told
from .sight import Place, sight_told

_KEPT = 3  # tanks: that which is looked at, the one before a change, another copy

View = dict[str, Any]


def rock_view(
    draft: Draft,
    which: int,
    place: Place | None,
    *,
    trial: int = 0,
    changes: Sequence[Mapping[str, Any]] = (),
) -> View:
    """Everything that is shown of the rock of a tank.

    Parameters
    ----------
    which : 0 the tank as it is, k its k-th copy.
    place : where a fish looks from: cm from the left, from the front and above the base; None: nowhere.
    trial : which simulated tank is shown.
    changes : made to the draft for this view alone, as /edit makes them: rock that is being moved.

    Returns
    -------
    dict
        Plain values: size (length, front to back, height, water; cm), trial, tanks, grid, anew, still,
        crevices (cm), admits, shown, weight, sight, cautions.

    Raises ScenarioError, RefusalError when the draft cannot be run; when there is no such copy or simulated
    tank.
    """
    if changes:
        from ..editing.edits import edited

        draft = edited(draft, which, changes)
    scenario = _copy_of(draft, which)
    tanks = scenario.run.trials
    if not 0 <= trial < tanks:
        raise RefusalError(CANNOT, f"there is no simulated tank {trial + 1}; use 1 to {tanks}")
    laid = Laid.of(scenario)
    return {
        **_picture(laid, trial),
        "trial": trial,
        "tanks": tanks,
        **_words(draft, which),
        "shown": as_json(_shown_sentences(scenario, drawn_rock(laid, trial), trial)),
        "sight": None if place is None else _sight(laid, trial, place),
    }


@lru_cache(maxsize=_KEPT)
def _built(laid: Laid, trial: int) -> Tank:
    """Lines of sight are worked out only where somebody asks for them: that takes longest."""
    return build_tank(laid.tank, drawn_rock(laid, trial), sight_cm=_sight_cm(laid, trial))


def _sight_cm(laid: Laid, trial: int) -> float:
    """How far a fish sees, in the guess of a trial."""
    return float(parameters_of(laid.scenario, draw_of(laid.scenario, trial)).sight_cm)


def _sight(laid: Laid, trial: int, place: Place) -> View:
    return sight_told(_built(laid, trial), spec=laid.tank, place=place, sight_cm=_sight_cm(laid, trial))


@lru_cache(maxsize=_KEPT)
def _picture(laid: Laid, trial: int) -> View:
    """Sizes, grid, picture and crevices of one simulated tank."""
    drawn, tank, rock = drawn_rock(laid, trial), laid.tank, laid.rock
    size = [tank.length_cm, tank.width_cm, tank.height_cm, tank.water_cm]
    scene = scene_of_rock(drawn, rock=rock, tank=tank)
    return {
        "size": size,
        "grid": grid_told(drawn, spec=rock, tank=tank),
        "anew": anew_told(drawn, spec=rock),
        "still": {"size": size, "slabs": SLABS, **scene_json(scene)},
        "crevices": [
            {
                **{axis: round(float(x), 1) for axis, x in zip("xyz", place, strict=True)},
                "mouth": round(hole.mouth_cm, 1),
                "depth": round(hole.depth_cm, 1),
            }
            for hole, place in zip(drawn.crevices, scene.mouths, strict=True)
        ],
    }


@lru_cache(maxsize=_KEPT)
def _words(draft: Draft, which: int) -> View:
    """What is said of the rock, over the first few simulated tanks as the command line says it."""
    scenario = _copy_of(draft, which)
    amount = amount_of(scenario)
    return {
        "admits": as_json(fit_sentences(amount)) if amount.drawn.most else [],
        "weight": _weight(scenario, amount),
        "cautions": [{"about": one.about, "text": one.text} for one in laying_cautions(scenario)],
    }


def _weight(scenario: Scenario, amount: Amount) -> View:
    if is_bare(scenario.rock) or amount.highest_cm.high <= 0:
        return {"pieces": [], "sources": []}
    told = weight_words(amount, head="What this rock comes to")
    sources = cited([SOLID.source, *(one.source for one in amount.weights)])
    return {"pieces": as_json(told), "sources": sources}


def _shown_sentences(scenario: Scenario, drawn: Rock, trial: int) -> list[Text]:
    """What the one tank in the picture holds, with its crevices by size."""
    summary = describe_rock(scenario.tank, drawn)
    mouths = tuple(hole.mouth_cm for hole in drawn.crevices)
    sizes = crevice_sentences(scenario, DrawnTanks((summary,), (mouths,)))
    head = (
        f"In the picture, simulated tank {trial + 1} of {scenario.run.trials}: "
        f"{say_volume_l(summary.water_litres)} of water and {many(summary.crevices, 'crevice')}."
    )
    return [head, *sizes] if not mouths else [f"{head} By the height of the mouth:", *sizes[1:]]


@lru_cache(maxsize=2 * _KEPT)
def _copy_of(draft: Draft, which: int) -> Scenario:
    """The tank as it is or one copy; problems of other copies do not matter."""
    values = values_of(draft.text) or {}
    copies = len(copies_of(values))
    if not 0 <= which <= copies:
        raise RefusalError(CANNOT, f"there is no copy {which}; use 0 for the tank as it is, or 1 to {copies}")
    try:
        return shown(alone(draft, values, which) if values else scenario_of(draft), min(which, 1))
    except ScenarioError as problem:
        if any(one.place[:1] != ("stock",) for one in problem.problems):
            raise
        return _fishless(draft, values, which)


def _fishless(draft: Draft, values: Mapping[str, Any], which: int) -> Scenario:
    """Tank and rock while the stock cannot be read, such as with a name half typed; nobody is in it.

    Raises ScenarioError when there is a problem with tank, rock or run as well.
    """
    kept = {key: values[key] for key in ("tank", "rock", "run", "parameters") if key in values}
    kept["run"] = {key: value for key, value in kept.get("run", {}).items() if key != "watch"}
    stand_in = {"stock": [{"species": next(iter(library())), "unsexed": 1}]}
    if which:
        own = copies_of(values)[which - 1]
        changed = {key: own[key] for key in ("name", "tank", "rock") if key in own}
        stand_in["alternative"] = [changed]
    text = tomlkit.dumps({**kept, **stand_in})
    found = shown(scenario_of(replace(draft, text=text, stock_list=None)), min(which, 1))
    return replace(found, stock=(), alternatives=())


@lru_cache
def player_script() -> str:
    """The parts of the film player that draw a tank and its fish, as a script of its own for the page.

    It sets ``window.rockshyTank``.
    """
    parts = "\n".join(map(player_part, ("decode", "place", "sight", "paint", "tank", "over", "words")))
    names = "Frame, TankView, Sprites, paintStill, canvasOf, doingText, clockText, markShape"
    shared = f"window.rockshyTank = Object.freeze({{ {names} }});"
    return f'"use strict";\n(() => {{\n{parts}\n{shared}\n}})();\n'
