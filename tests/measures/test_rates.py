"""Rates of tiny tables worked out by hand, and laws on random ones."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fake_trials import HOT, MILD, blank_arm, changed, fish_list, random_trials
from rockshy.analysis.measures.groups import Group, common_trials, kinds, members, single_fish, species
from rockshy.analysis.measures.pinned import PinnedRule
from rockshy.analysis.measures.rates import Tally, rate, rates, ratio, series, tally, trend
from rockshy.analysis.measures.registry import Measured
from rockshy.analysis.statistics.intervals import cluster_interval
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm

MILD_1, MILD_2, HOT_1 = f"{MILD} 1", f"{MILD} 2", f"{HOT} 1"


def of_arm(arm):
    return Tally(Measured(arm, None, PinnedRule()))


def two_tanks() -> Arm:
    """4 lit hours. Tank 0: the hot fish chases 8 and 4 times; tank 1: mild 1 chases mild 2 once."""
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=1), trials=2)
    chases = np.array([[[0, 0, 0], [0, 0, 0], [8, 4, 0]], [[0, 1, 0], [0, 0, 0], [0, 0, 0]]])
    hourly = np.zeros((2, 3, 4), dtype=np.int64)
    hourly[0, 0], hourly[0, 1], hourly[1, 1] = [5, 2, 1, 0], [2, 1, 1, 0], [0, 0, 0, 1]
    return changed(
        arm, chases=chases, hour_chased=hourly, sex=np.array([[0, 1, 0], [1, 1, 0]], dtype=np.int8)
    )


def test_chases_per_fish_and_lit_hour() -> None:
    table = of_arm(two_tanks())
    received = {
        group.name: series(table, measure="received", group=group).tolist()
        for group in single_fish(table.arm)
    }
    assert received == {MILD_1: [2.0, 0.0], MILD_2: [1.0, 0.25], HOT_1: [0.0, 0.0]}
    assert series(table, measure="given", group=Group(label=HOT_1)).tolist() == [3.0, 0.0]
    assert series(table, measure="received", group=Group(species=MILD)).tolist() == [1.5, 0.125]
    assert series(table, measure="received", group=Group()).tolist() == [1.0, 1 / 12]


def test_share_of_all_chases() -> None:
    table = of_arm(two_tanks())
    assert series(table, measure="share_received", group=Group(label=MILD_1)).tolist() == [8 / 12, 0.0]
    assert series(table, measure="share_received", group=Group(species=MILD)).tolist() == [1.0, 1.0]
    assert series(table, measure="share_given", group=Group(label=HOT_1)).tolist() == [1.0, 0.0]


def test_sex_is_that_of_the_trial() -> None:
    """Mild 1 is a male in tank 0 and a female in tank 1, where no mild male is left: nan, not 0."""
    table = of_arm(two_tanks())
    males = series(table, measure="received", group=Group(species=MILD, sex="male"))
    assert males[0] == 2.0 and math.isnan(males[1])
    females = series(table, measure="received", group=Group(species=MILD, sex="female"))
    assert females.tolist() == [1.0, 0.125]
    assert rate(table, measure="received", group=Group(species=MILD, sex="male")).trials == 1


def test_the_interval_is_over_tanks_and_not_from_the_pooled_count() -> None:
    found = rate(of_arm(two_tanks()), measure="received", group=Group(species=MILD))
    low, high = cluster_interval([1.5, 0.125], cluster=[0, 1])
    assert found.value == pytest.approx((1.5 + 0.125) / 2)
    assert (found.low, found.high) == (0.0, pytest.approx(high)) and low < 0


def test_a_fish_that_left_weighs_by_its_lit_time() -> None:
    """Mild 1 was in for 1 of 4 hours and chased 2 times: 2 an hour; the species 2 in 5 fish-hours."""
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=1))
    lit = arm.hour_lit_s.copy()
    lit[0, 0, 1:] = 0.0
    arm = changed(
        arm, chases=np.array([[[0, 0, 0], [0, 0, 0], [2, 0, 0]]]), hour_lit_s=lit, lit_s=lit.sum(axis=2)
    )
    table = of_arm(arm)
    assert series(table, measure="received", group=Group(label=MILD_1)).tolist() == [2.0]
    assert series(table, measure="received", group=Group(species=MILD)).tolist() == [0.4]


def test_a_fish_that_was_never_in_is_nobody() -> None:
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=1))
    lit = arm.lit_s.copy()
    lit[:, 0] = 0.0
    table = of_arm(changed(arm, lit_s=lit))
    assert [group.label for group in single_fish(table.arm)] == [MILD_2, HOT_1]
    assert members(table.arm, group=Group(species=MILD)).tolist() == [[False, True, False]]
    assert math.isnan(series(table, measure="hidden", group=Group(label=MILD_1))[0])


def test_hidden_meals_bites_and_territory() -> None:
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=1, hot=1))
    arm = changed(
        arm,
        hidden_s=np.array([[3600.0, 0.0]]),
        free_s=np.array([[7200.0, 14400.0]]),
        meals_missed=np.array([[1.0, 0.0]]),
        bites=np.array([[[0, 0], [6, 0]]]),
        hour_owner_s=np.array([[[0.0] * 4, [3600.0, 3600.0, 3600.0, 0.0]]]),
    )
    found = {name: one.value for name, one in rates(of_arm(arm), group=Group(species=MILD)).items()}
    assert found["hidden"] == 0.25 and found["free"] == 0.5 and found["missed"] == 0.5
    assert found["bites"] == 1.5 and found["territory"] == 0.0
    assert rate(of_arm(arm), measure="territory", group=Group(species=HOT)).value == 0.75
    assert math.isnan(found["share_received"])  # not one chase to share


def test_ratio_is_paired_by_the_number_of_the_trial() -> None:
    """As stocked 4, 9 and 100 chases in tanks 1, 2, 3; alone 2 and 3 in tanks 1 and 2: (4 + 9) / (2 + 3)."""
    stocked = blank_arm(AS_STOCKED, fish=fish_list(mild=2, hot=1), trials=3)
    chases = np.zeros((3, 3, 3), dtype=np.int64)
    chases[:, 2, 0] = [4, 9, 100]
    stocked = changed(stocked, chases=chases, trial=np.array([1, 2, 3]), draw=np.array([5, 5, 6]))
    alone = blank_arm(OWN_KIND, fish=fish_list(mild=2, hot=0), trials=3)
    few = np.zeros((3, 2, 2), dtype=np.int64)
    few[:, 1, 0] = [50, 2, 3]
    alone = changed(alone, chases=few)
    found = ratio(of_arm(stocked), control=of_arm(alone), group=Group(label=MILD_1))
    assert found.value == pytest.approx(13 / 5) and (found.trials, found.guesses) == (2, 1)
    assert math.isnan(ratio(of_arm(stocked), control=of_arm(alone), group=Group(label=HOT_1)).value)


def test_common_trials() -> None:
    trials = random_trials()
    here, there = common_trials(trials.arms[AS_STOCKED], other=trials.arms[LEFT_ALONE])
    assert here.tolist() == [0, 2, 3, 5] and there.tolist() == [0, 1, 2, 3]


def test_groups_follow_the_stock_list() -> None:
    arm = two_tanks()
    assert [group.name for group in kinds(arm)] == [f"{MILD} male", f"{MILD} female", f"{HOT} male"]
    assert [group.name for group in species(arm)] == [MILD, HOT]


@pytest.mark.parametrize("seed", range(5))
def test_laws(seed: int) -> None:
    """Given = received in the whole tank; shares add up to 1; the scale drops out of a ratio."""
    trials = random_trials(seed=seed)
    table, own = tally(trials, arm=AS_STOCKED), tally(trials, arm=OWN_KIND)
    everybody = Group()
    received = series(table, measure="received", group=everybody)
    assert received == pytest.approx(series(table, measure="given", group=everybody))
    parts = [series(table, measure="share_received", group=one) for one in single_fish(table.arm)]
    assert np.sum(parts, axis=0) == pytest.approx(np.ones(6))
    first = ratio(table, control=own, group=Group(species=MILD))
    scaled = [of_arm(changed(one.arm, chases=7 * one.arm.chases)) for one in (table, own)]
    second = ratio(scaled[0], control=scaled[1], group=Group(species=MILD))
    assert (first.value, first.low, first.high) == pytest.approx((second.value, second.low, second.high))


def hourly_arm(hourly: list[list[int]]) -> Arm:
    arm = blank_arm(AS_STOCKED, fish=fish_list(mild=1, hot=0), trials=len(hourly), hours=len(hourly[0]))
    return changed(arm, hour_chased=np.array(hourly, dtype=np.int64)[:, None, :])


def test_trend_compares_the_last_third_with_the_first() -> None:
    """First 2 of 7 hours against the last 2: means 10 and 3 in tank 0, 12 and 5 in tank 1: 7 less in both."""
    moved = trend(hourly_arm([[12, 8, 99, 99, 99, 4, 2], [12, 12, 0, 0, 0, 6, 4]]))
    assert moved is not None
    assert (moved.first.value, moved.last.value, moved.change.value) == (11.0, 4.0, -7.0)
    assert moved.direction == "falling"


def test_trend_directions() -> None:
    directions = {}
    for name, hourly in {
        "rising": [[1, 5, 9], [0, 5, 9], [1, 5, 8]],
        "steady": [[1, 5, 9], [9, 5, 1], [5, 5, 5]],
        "unknown": [[1, 5, 9]],
    }.items():
        moved = trend(hourly_arm(hourly))
        assert moved is not None
        directions[name] = moved.direction
    assert directions == {name: name for name in directions}
    assert trend(hourly_arm([[1, 2]])) is None


def test_trend_of_a_share_of_time_leaves_out_hours_out_of_the_tank() -> None:
    arm = hourly_arm([[0, 0, 0]])
    lit = arm.hour_lit_s.copy()
    lit[0, 0] = [1800.0, 3600.0, 3600.0]
    hidden = np.array([[[900.0, 0.0, 3600.0]]])
    moved = trend(changed(arm, hour_lit_s=lit), hourly=hidden, per_s=1.0)
    assert moved is not None and (moved.first.value, moved.last.value) == (0.5, 1.0)
