"""Every measure says what it is, and no figure of it leaves its bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fake_trials import random_trials
from rockshy.analysis.measures.frame import dictionary
from rockshy.analysis.measures.pinned import PinnedRule
from rockshy.analysis.measures.rates import tally
from rockshy.analysis.measures.registry import (
    FISH,
    GOALS,
    HIGHER,
    LOWER,
    MEASURES,
    NEITHER,
    PAIR,
    TANK,
    Measure,
)

EACH = pytest.mark.parametrize("one", MEASURES.values(), ids=MEASURES)


@EACH
def test_every_measure_has_unit_direction_and_meaning(one: Measure) -> None:
    assert one.unit.strip() and len(one.meaning.split()) > 1
    assert one.better in (LOWER, HIGHER, NEITHER)
    assert one.of in (FISH, PAIR, TANK)
    assert one.bounds[0] < one.bounds[1]


def test_names_are_keys_and_goals_are_better_the_lower() -> None:
    assert all(name == one.name for name, one in MEASURES.items())
    assert len({one.meaning for one in MEASURES.values()}) == len(MEASURES)
    assert {MEASURES[goal].better for goal in GOALS} == {LOWER}


@EACH
def test_no_value_leaves_the_bounds(one: Measure) -> None:
    top, bottom = tally(random_trials()).parts(one.name)
    bottom = np.broadcast_to(bottom[:, None] if bottom.ndim < top.ndim else bottom, top.shape)
    values = one.value(top, bottom, rule=PinnedRule())
    known = values[np.isfinite(values)]
    assert len(known) and known.min() >= one.bounds[0] and known.max() <= one.bounds[1]
    assert np.array_equal(np.isnan(values), bottom == 0)


@EACH
def test_hours_add_up_to_the_whole(one: Measure) -> None:
    run = tally(random_trials()).run
    if one.hours is None:
        return
    for whole, by_hour in zip(one.parts(run), one.hours(run), strict=True):
        np.testing.assert_allclose(by_hour.sum(axis=2), whole)


def test_the_dictionary_holds_every_column_and_measure() -> None:
    told = dictionary()
    assert set(MEASURES) <= set(told["name"])
    assert all(told["meaning"].str.len() > 0)
    assert not any(isinstance(unit, float) and math.isnan(unit) for unit in told["unit"])
