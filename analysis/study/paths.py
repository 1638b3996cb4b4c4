"""``paths.npz``: the movements of a few telling trials, run once more and kept, so that they can be shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.days import TICK_S
from ...sim.run.drawing import draw_trial_rock
from ...sim.run.keeping import KeptRun, kept_run
from ...sim.run.ledger import EVENTS
from ...sim.run.set_ups import draw_of
from ...sim.run.trials import model_of_trial
from ...sim.scenario.scenario import Scenario


def paths_of(scenario: Scenario, *, trials: Sequence[int], digest: str = "") -> dict[str, NDArray[Any]]:
    """Movements of trials of a scenario as stocked.

    Parameters
    ----------
    trials : their numbers, in the order in which they are to be shown; twice the same counts once.
    digest : of what the result was made from, so that :func:`are_paths_of` knows them again.

    Returns
    -------
    Arrays by name, as :mod:`rockshy.analysis.study.layout` lists them for ``paths.npz``.
    """
    numbers = list(dict.fromkeys(trials))
    arrays: dict[str, NDArray[Any]] = {
        "trials": np.array(numbers, np.int64),
        "digest": np.array(digest),
        "event_kinds": np.array(EVENTS),
        "tick_s": np.array(TICK_S),
    }
    for trial in numbers:
        for name, array in _paths_of_one(scenario, trial).items():
            arrays[f"trial_{trial}_{name}"] = array
    return arrays


def are_paths_of(paths: Mapping[str, NDArray[Any]] | None, *, trials: Sequence[int], digest: str) -> bool:
    """Whether stored movements are those of these trials of the result with this digest."""
    if paths is None or not {"trials", "digest"} <= set(paths):
        return False
    return str(paths["digest"]) == digest and paths["trials"].tolist() == list(dict.fromkeys(trials))


def _paths_of_one(scenario: Scenario, trial: int) -> dict[str, NDArray[Any]]:
    with model_of_trial(scenario, trial, keep=True) as model:
        run: KeptRun = kept_run(model)
    rock = draw_trial_rock(scenario, trial=trial, draw=draw_of(scenario, trial))
    tank, fish = model.tank, model.shoal.fish
    return {
        "moves": run.moves,
        "events": run.events,
        "stays": run.stays,
        "lit_ticks": np.array(model.lit_ticks, np.int64),
        "measured_from": np.array(model.measured_from, np.int64),
        "fish": np.array([one.label for one in model.people]),
        "species": np.array([one.species for one in model.people]),
        "male": fish.male.copy(),
        "length_cm": fish.length_cm.copy(),
        "edge_cm": np.array(tank.edge_cm),
        "shape": tank.shape,
        "cells": tank.xyz,
        "refuge_cell": tank.refuge_cell,
        "refuge_mouth_cm": tank.refuge_mouth_cm,
        "refuge_corner": tank.refuge_corner,
        "rock_top_cm": rock.top_cm,
        "rock_pieces": rock.pieces,
        "rock_boxes": rock.boxes,
    }
