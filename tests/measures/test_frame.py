"""The long table: its figures are those of the answer, its sums agree, hours and days add up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from fake_trials import MILD, blank_arm, fish_list, random_trials, with_arms
from rockshy.analysis.measures.frame import COLUMNS, to_frame
from rockshy.analysis.measures.pinned import worst_off
from rockshy.analysis.measures.rates import RATES
from rockshy.analysis.measures.registry import LOST, MEASURES, PINNED_FISH, RECEIVED
from rockshy.analysis.questions.answer.answer import answer
from rockshy.sim.run.table import AS_STOCKED, Trials

HOURS, DAY = 8, 3  # measured, and lit in a day: the third day is short


@pytest.fixture(scope="module")
def trials() -> Trials:
    made = random_trials(hours=HOURS)
    return replace(made, recipe={**made.recipe, "lit_hours": float(DAY)})


@pytest.fixture(scope="module")
def frame(trials: Trials) -> pd.DataFrame:
    return to_frame(trials, hours=True, days=True)


def whole(frame: pd.DataFrame, measure: str, set_up: str = AS_STOCKED) -> pd.DataFrame:
    return frame[(frame.measure == measure) & (frame.set_up == set_up) & (frame.window == "whole")]


def test_columns_units_and_meanings_are_told(frame: pd.DataFrame, trials: Trials) -> None:
    assert list(frame.columns) == list(COLUMNS)
    assert set(frame.set_up) == set(trials.arms)
    assert frame.attrs["units"] == {name: MEASURES[name].unit for name in set(frame.measure)}
    assert set(frame.attrs["meanings"]) == set(frame.measure) == set(MEASURES)
    keys = [name for name in COLUMNS if name not in ("species", "sex", "value")]
    assert not frame.duplicated(keys).any()


def test_means_of_fish_are_those_of_the_answer(frame: pd.DataFrame, trials: Trials) -> None:
    for one in answer(trials).fish:
        for set_up, figures in one.figures.items():
            for measure in RATES:
                rows = whole(frame, measure, set_up)
                mean = rows[rows.fish == one.label].value.mean()
                assert mean == pytest.approx(figures[measure].value, nan_ok=True), (one.label, measure)


def test_lost_and_pinned_are_those_of_the_answer(frame: pd.DataFrame, trials: Trials) -> None:
    lost = whole(frame, LOST)
    for loss in worst_off(trials).losses:
        known = lost[(lost.fish == loss.label) & lost.value.notna()].value
        np.testing.assert_allclose(known, loss.by_trial[np.isfinite(loss.by_trial)])
    for one in answer(trials).fish:
        held = whole(frame, PINNED_FISH)
        held = held[(held.fish == one.label) & held.value.notna()]
        count = one.pinned[AS_STOCKED]
        assert (held.value.sum(), len(held)) == (count.hits, count.of)


def test_chases_of_pairs_sum_to_what_each_received_and_gave(frame: pd.DataFrame, trials: Trials) -> None:
    arm = trials.arms[AS_STOCKED]
    pairs = whole(frame, "chases")
    for column, measure in (("other", RECEIVED), ("fish", "given")):
        acts = pairs.groupby(["trial", column]).value.sum()
        rates = whole(frame, measure).set_index(["trial", "fish"]).value * HOURS
        both = rates.to_frame("rate").join(acts.rename_axis(["trial", "fish"]).rename("acts")).fillna(0.0)
        np.testing.assert_allclose(both.rate, both.acts)
    assert pairs.value.sum() == arm.chases.sum()


@pytest.mark.parametrize(("window", "lengths"), [("hour", [1] * HOURS), ("day", [DAY, DAY, HOURS - 2 * DAY])])
def test_windows_add_up_to_the_whole(frame: pd.DataFrame, window: str, lengths: list[int]) -> None:
    keys = ["set_up", "trial", "fish", "measure"]
    part = frame[frame.window.str.startswith(window)].copy()
    assert set(part.window) == {f"{window} {k + 1}" for k in range(len(lengths))}
    assert set(part.measure) == {name for name, one in MEASURES.items() if one.hours is not None}
    number = part.window.str.split().str[1].astype(int) - 1
    part["value"] *= np.array(lengths)[number] / HOURS  # every fish is lit through every hour here
    sums = part.groupby(keys).value.sum()
    all_of_it = frame[(frame.window == "whole") & frame.measure.isin(part.measure)].set_index(keys).value
    pd.testing.assert_series_equal(sums, all_of_it.sort_index(), check_names=False)


def test_without_asking_there_is_only_the_whole(trials: Trials) -> None:
    assert set(to_frame(trials).window) == {"whole"}


@pytest.mark.parametrize("lit_hours", [None, 10.5, "ten"])
def test_days_are_refused_where_their_lit_hours_are_not_known(trials: Trials, lit_hours: object) -> None:
    with pytest.raises(ValueError, match="days: .* lit hours a day; use .* a whole number"):
        to_frame(replace(trials, recipe={"lit_hours": lit_hours}), days=True)


def test_fish_that_are_out_and_pairs_without_an_act_have_no_row() -> None:
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=0), trials=1)
    gone = arm.lit_s.copy()
    gone[0, 1] = 0.0
    frame = to_frame(with_arms(replace(arm, lit_s=gone, hour_lit_s=gone[:, :, None] * np.ones(4) / 4)))
    assert set(frame.fish) == {f"{MILD} 1", ""}
    assert "chases" not in set(frame.measure)
    assert LOST not in set(frame.measure), "nobody was left alone"
