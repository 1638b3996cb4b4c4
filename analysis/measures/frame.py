"""Every measure of every fish, pair and tank as one long table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...sim.run.table import Arm, Trials
from ..statistics.intervals import Floats
from .groups import SEXES
from .pinned import PinnedRule
from .rates import Tally, tally
from .registry import FISH, LOST, MEASURES, PAIR, TANK, Measure, Parts

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = {
    "scenario": "title of the scenario",
    "set_up": "as stocked, own kind (the watched species by itself) or left alone (nobody attacks)",
    "trial": "number of the simulated tank, counted from 0: trial 7 is simulated tank 8 of the screens",
    "draw": "which guess at what nobody has measured",
    "fish": "label of the fish; empty for a whole tank",
    "other": "of an act between two fish the one it was done to; empty otherwise",
    "species": "species of the fish",
    "sex": "male or female; what an unsexed fish turned out to be in this tank",
    "window": "whole: all of the measured time; hour k or day k: its k-th lit hour or day, counted from 1",
    "measure": "name of the measure, see the units",
    "value": "in the unit of the measure; empty where it cannot be told",
}


def to_frame(
    trials: Trials, *, hours: bool = False, days: bool = False, rule: PinnedRule | None = None
) -> pd.DataFrame:
    """One row a scenario, set-up, trial, fish, window and measure.

    Parameters
    ----------
    trials : see :func:`rockshy.sim.run.trials.run_trials`.
    hours : the measured lit hours one by one too, for the measures that are known by hour.
    days : the measured days too, for the same measures; each begins at the hour of the day at which
        measuring does, and the last may be shorter.
    rule : the definition of pinned; the project's own when None.

    Returns
    -------
    pandas.DataFrame
        With the columns of :data:`COLUMNS`; units and meanings are in ``frame.attrs``, by measure. Fish that
        were not in the tank while it was measured, and pairs without an act, have no row.
        The mean of a fish's rows is the answer's figure, but for "lost": there the answer divides sums over
        trials, so that a tank in which it would hardly swim weighs little.

    Raises
    ------
    ValueError
        With ``days`` when the lit hours of a day are not known, or are no whole number.
    """
    import pandas as pd

    lengths = {"hour": 1} if hours else {}
    lengths |= {"day": _hours_of_a_day(trials)} if days else {}
    pieces = [
        pd.DataFrame(piece, columns=list(COLUMNS))
        for name in trials.arms
        for piece in _pieces(trials, name, lengths, rule)
    ]
    frame = pd.concat(pieces, ignore_index=True)
    there = [MEASURES[name] for name in dict.fromkeys(frame["measure"])]
    frame.attrs["units"] = {one.name: one.unit for one in there}
    frame.attrs["meanings"] = {one.name: one.meaning for one in there}
    return frame


def dictionary() -> pd.DataFrame:
    """What the columns of the long table and the measures in it mean: column or measure, unit, meaning."""
    import pandas as pd

    columns = [(name, "", meaning, "") for name, meaning in COLUMNS.items()]
    measures = [(one.name, one.unit, one.meaning, one.better) for one in MEASURES.values()]
    return pd.DataFrame(columns + measures, columns=["name", "unit", "meaning", "better"])


def _hours_of_a_day(trials: Trials) -> int:
    found = trials.recipe.get("lit_hours")
    if not isinstance(found, int | float) or found < 1 or found != int(found):
        raise ValueError(
            f"days: the recipe of the trials has {'no' if found is None else found} lit hours a day; use "
            "trials with a whole number of them"
        )
    return int(found)


def _pieces(
    trials: Trials, name: str, lengths: Mapping[str, int], rule: PinnedRule | None
) -> Iterator[dict[str, Any]]:
    table = tally(trials, arm=name, rule=rule)
    for measure in MEASURES.values():
        if measure.name == LOST and table.run.alone is None:
            continue
        parts = table.parts(measure.name)
        yield _piece(trials, table, measure, parts, "whole")
        if lengths and measure.hours is not None:
            by_hour = measure.hours(table.run)
            for window, length in lengths.items():
                for k, first in enumerate(range(0, by_hour.top.shape[2], length), 1):
                    within = slice(first, first + length)
                    one = Parts(*(part[:, :, within].sum(axis=2) for part in by_hour))
                    yield _piece(trials, table, measure, one, f"{window} {k}")


def _piece(trials: Trials, table: Tally, measure: Measure, parts: Parts, window: str) -> dict[str, Any]:
    arm = table.arm
    top, bottom = parts
    if measure.of == FISH and bottom.ndim == 1:
        bottom = np.broadcast_to(bottom[:, None], top.shape)
    values = top if measure.of == PAIR else measure.value(top, bottom, rule=table.run.rule)
    there = np.nonzero(_told(measure, arm, top, bottom))
    trial = there[0]
    found = {
        "scenario": trials.title,
        "set_up": arm.name,
        "trial": arm.trial[trial],
        "draw": arm.draw[trial],
        "window": window,
        "measure": measure.name,
        "value": values[there],
    }
    if measure.of == TANK:
        return found | {"fish": "", "other": "", "species": "", "sex": ""}
    label, species = np.array(arm.fish.label), np.array(arm.fish.species)
    sex = np.array(SEXES)[arm.sex[trial, there[1]]]
    other = label[there[2]] if measure.of == PAIR else ""
    return found | {"fish": label[there[1]], "other": other, "species": species[there[1]], "sex": sex}


def _told(measure: Measure, arm: Arm, top: Floats, bottom: Floats) -> NDArray[np.bool_]:
    """Which values get a row: fish that were in, pairs with an act, every tank."""
    if measure.of == TANK:
        return np.ones(len(arm.trial), dtype=bool)
    return (arm.lit_s > 0) if measure.of == FISH else (top > 0) & (bottom > 0)
