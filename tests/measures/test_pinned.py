"""The definition of pinned and worst off, one condition at a time, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fake_trials import HOT, MILD, blank_arm, changed, fish_list, random_trials, with_arms
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.pinned import (
    PinnedRule,
    by_cut,
    free_shares,
    hours_distribution,
    least_lost,
    pinned,
    pinned_hours,
    share_distribution,
    worst_off,
)
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, OWN_KIND, Arm, Trials

ONE = fish_list(mild=1, hot=0)


def stocked(**fields: np.ndarray) -> Arm:
    """One pinned mild fish: all four hours within one place, no territory, half an hour free of it."""
    arm = blank_arm(AS_STOCKED, fish=ONE)
    arm = changed(arm, hour_share=np.full((1, 1, 4), 0.9), hour_outside_s=np.full((1, 1, 4), 450.0))
    return changed(arm, **fields)


def left_alone(outside_s: float = 1800.0) -> Arm:
    arm = blank_arm(LEFT_ALONE, fish=ONE)
    return changed(arm, hour_outside_s=np.full((1, 1, 4), outside_s))


def hours(*values: float) -> np.ndarray:
    return np.array([[values]], dtype=float)


@pytest.mark.parametrize(
    ("fields", "held"),
    [
        ({"hour_share": hours(0.79, 0.80, 1.0, 0.0)}, [False, True, True, False]),
        # held a territory for 0 %, just under half, half and all of the hour
        ({"hour_owner_s": hours(0, 1799, 1800, 3600)}, [True, True, False, False]),
    ],
)
def test_an_hour_is_pinned_within_80_percent_and_not_as_an_owner(fields, held: list[bool]) -> None:
    assert pinned_hours(stocked(**fields)).tolist() == [[held]]


@pytest.mark.parametrize(
    ("fields", "outside_alone_s", "expected"),
    [
        ({}, 1800.0, True),
        ({"hour_share": hours(0.9, 0.9, 0.1, 0.1)}, 1800.0, True),  # half of the lit hours are enough
        ({"hour_share": hours(0.9, 0.1, 0.1, 0.1)}, 1800.0, False),
        ({}, 900.0, True),  # 450 s an hour outside its place: half of 900 counts, half of 899 does not
        ({}, 899.0, False),
        ({"hour_outside_s": hours(0, 0, 0, 0)}, 0.0, False),  # it stays put even when left alone
    ],
)
def test_a_fish_is_pinned_by_its_hours_and_its_freedom(fields, outside_alone_s, expected: bool) -> None:
    found = pinned(with_arms(stocked(**fields), left_alone(outside_alone_s)))
    assert bool(found.pinned[0, 0]) is expected


def test_hours_out_of_the_tank_do_not_count_and_short_ones_count_short() -> None:
    """In for 3600 s (not pinned) and 1800 s (pinned): a third of its lit time lay in pinned hours."""
    lit = hours(3600, 1800, 0, 0)
    found = pinned(with_arms(stocked(hour_lit_s=lit, hour_share=hours(0.5, 0.9, 0.0, 0.0)), left_alone()))
    assert found.hours[0, 0] == pytest.approx(1 / 3)
    assert pinned_hours(stocked(hour_lit_s=lit)).tolist() == [[[True, True, False, False]]]


def test_without_the_control_freedom_is_not_checked_and_that_is_said() -> None:
    free = stocked(hour_outside_s=hours(3600, 3600, 3600, 3600))
    without, beside = pinned(with_arms(free)), pinned(with_arms(free, left_alone()))
    assert (without.freedom_checked, beside.freedom_checked) == (False, True)
    assert without.pinned[0, 0] and not beside.pinned[0, 0]
    assert math.isnan(without.outside_alone[0, 0])


def shoal(held: list[bool], *, mild: int, hot: int = 0) -> Trials:
    """One trial with these fish pinned or not."""
    fish = fish_list(mild=mild, hot=hot)
    share = np.where(np.array(held)[None, :, None], 0.9, 0.1) * np.ones((1, len(held), 4))
    arm = changed(
        blank_arm(AS_STOCKED, fish=fish), hour_share=share, hour_outside_s=np.full(share.shape, 10.0)
    )
    return with_arms(arm, blank_arm(LEFT_ALONE, fish=fish))


@pytest.mark.parametrize(
    ("held", "expected"), [([True, False], True), ([False, False], False), ([True, True], True)]
)
def test_a_species_is_pinned_when_half_of_its_fish_are(held: list[bool], expected: bool) -> None:
    found, judged = pinned(shoal(held, mild=2)).species_pinned(species=MILD)
    assert found.tolist() == [expected] and judged.tolist() == [True]


def test_holding_females_do_not_count() -> None:
    """The third mild fish holds eggs: she is not counted; one of the other two is half of those that are."""
    by_her = pinned(shoal([False, False, True], mild=3))
    assert not by_her.pinned.any() and by_her.counts.tolist() == [[True, True, False]]
    assert by_her.count_fish(label=f"{MILD} 3").of == 0
    by_another = pinned(shoal([True, False, False], mild=3))
    assert by_another.count_species(species=MILD).hits == 1


def test_other_species_do_not_count_and_an_absent_one_is_not_judged() -> None:
    found = pinned(shoal([True, False, False], mild=1, hot=2))
    assert found.count_species(species=MILD).hits == 1 and found.count_species(species=HOT).hits == 0
    assert found.count_species(species="Simochromis diagramma").of == 0


def test_every_number_is_a_setting() -> None:
    trials = with_arms(
        stocked(hour_share=hours(0.9, 0.9, 0.1, 0.1), hour_owner_s=hours(1000, 0, 0, 0)), left_alone(900)
    )
    assert pinned(trials).pinned.all()
    for stricter in (
        PinnedRule(place_share=0.95),
        PinnedRule(owner_share=0.2),
        PinnedRule(hours_share=0.6),
        PinnedRule(freedom_ratio=0.4),
    ):
        assert not pinned(trials, rule=stricter).pinned.any(), stricter
    half = shoal([True, False], mild=2)
    assert pinned(half, rule=PinnedRule(species_share=0.6)).count_species(species=MILD).hits == 0
    with pytest.raises(ValueError, match="place_share is 80; use 0 to 1"):
        PinnedRule(place_share=80)


def test_trials_and_fish_are_matched_by_number_and_name() -> None:
    """The control lacks a trial and lists its fish the other way round."""
    fish = fish_list(mild=1, hot=1)
    arm = blank_arm(AS_STOCKED, fish=fish, trials=3)
    arm = changed(arm, hour_share=np.full((3, 2, 4), 0.9), hour_outside_s=np.full((3, 2, 4), 100.0))
    outside = np.full((2, 2, 4), 100.0)
    outside[1, 1] = 1000.0  # the mild fish, in trial 2 only
    alone = changed(
        blank_arm(LEFT_ALONE, fish=fish, trials=2), trial=np.array([1, 2]), hour_outside_s=outside
    )
    turned = type(fish)(fish.label[::-1], fish.species[::-1], fish.day_in, fish.day_out, fish.holding)
    alone = type(alone)(**{**vars(alone), "fish": turned})
    found = pinned(with_arms(arm, alone))
    assert found.trial.tolist() == [1, 2]
    assert found.pinned.tolist() == [[False, False], [True, False]]


def test_the_own_kind_control_is_judged_by_the_same_yardstick() -> None:
    trials = random_trials()
    found = pinned(trials, arm=OWN_KIND, rule=PinnedRule(hours_share=0.0, freedom_ratio=1.0))
    assert found.trial.tolist() == [0, 2, 3] and found.pinned.shape == (3, 3)
    free = found.outside <= found.outside_alone
    assert (found.pinned == (free & found.counts)).all()


def test_cuts_can_only_lower_the_count() -> None:
    cuts = by_cut(random_trials(seed=4, hours=3), species=MILD, cuts=(0.0, 0.6, 0.8, 1.0))
    hits = [count.hits for count in cuts.values()]
    assert hits == sorted(hits, reverse=True) and hits[0] > hits[-1]


def test_distribution_of_the_largest_share() -> None:
    """Bins hold their lower edge: 0.5, 0.8 and 1.0 lie in 50-60, 80-90 and 90-100 %."""
    arm = stocked(hour_share=hours(0.5, 0.8, 1.0, 0.95), hour_lit_s=hours(3600, 3600, 3600, 0))
    assert share_distribution(arm, group=Group()) == pytest.approx([0, 1 / 3, 0, 0, 1 / 3, 1 / 3])
    assert share_distribution(stocked(hour_share=np.full((1, 1, 4), 1 + 1e-12)), group=Group())[-1] == 1.0


def test_distribution_of_pinned_hours() -> None:
    trials = shoal([True, False, False, True], mild=2, hot=2)
    shares = hours_distribution(trials.arms[AS_STOCKED], group=Group(species=MILD))
    assert shares.tolist() == [0.5, 0.0, 0.0, 0.5]


def losing_trials() -> Trials:
    """Free seconds. Mild 1: 3600 and 0 against 7200 and 7200; mild 2: 7200, 7200 against 7200, 14400."""
    fish = fish_list(mild=2, hot=0)
    free = np.array([[3600.0, 7200.0], [0.0, 7200.0]])
    alone = np.array([[7200.0, 7200.0], [7200.0, 14400.0]])
    return with_arms(
        changed(blank_arm(AS_STOCKED, fish=fish, trials=2), free_s=free),
        changed(blank_arm(LEFT_ALONE, fish=fish, trials=2), free_s=alone),
    )


def test_worst_off_has_lost_most_of_its_free_swimming_time() -> None:
    """Mild 1 keeps 3600 of 14400 s: 75 % lost; mild 2 keeps 14400 of 21600 s: a third lost."""
    found = worst_off(losing_trials())
    assert found is not None
    assert [loss.label for loss in found.losses] == [f"{MILD} 1", f"{MILD} 2"]
    assert [loss.lost.value for loss in found.losses] == pytest.approx([0.75, 1 / 3])
    assert found.losses[0].by_trial.tolist() == [0.5, 1.0]
    assert found.losses[0].lost.low < 0.75 < found.losses[0].lost.high <= 1.0
    assert found.losses[0].lost.guess_low == pytest.approx(0.525)  # guess losses 0.5 and 1, 5th percentile
    assert found.worst_in_tank == (f"{MILD} 1", f"{MILD} 1")


def test_no_fish_loses_less_than_by_swimming_free_all_day() -> None:
    """Left alone mild 1 swims free 7200 of 14400 s, so at best it loses -100 %; nobody loses over 100 %."""
    trials = losing_trials()
    found = worst_off(trials)
    assert found is not None
    assert {loss.label: loss.lost.low for loss in found.losses}[f"{MILD} 1"] == pytest.approx(-1.0)
    assert all(loss.lost.high <= 1.0 for loss in found.losses)
    assert least_lost(free_shares(trials.arms[LEFT_ALONE])) == pytest.approx(-1.0)
    assert least_lost(np.array([[1.0, np.nan], [0.0, 0.8]])) == pytest.approx(-0.125)
    assert least_lost(np.zeros((0, 1))) == 0.0


def test_worst_off_is_not_the_most_chased() -> None:
    trials = losing_trials()
    chases = np.zeros((2, 2, 2), dtype=np.int64)
    chases[:, 0, 1] = 500
    arm = changed(trials.arms[AS_STOCKED], chases=chases)
    found = worst_off(with_arms(arm, trials.arms[LEFT_ALONE]))
    assert found is not None and found.losses[0].label == f"{MILD} 1"


def test_worst_off_needs_the_left_alone_control() -> None:
    assert worst_off(with_arms(losing_trials().arms[AS_STOCKED])) is None


def test_a_fish_that_gains_has_lost_less_than_nothing_and_a_still_one_is_last() -> None:
    trials = losing_trials()
    alone = changed(trials.arms[LEFT_ALONE], free_s=np.array([[0.0, 3600.0], [0.0, 3600.0]]))
    found = worst_off(with_arms(trials.arms[AS_STOCKED], alone))
    assert found is not None
    assert [loss.label for loss in found.losses] == [f"{MILD} 2", f"{MILD} 1"]
    assert found.losses[0].lost.value == pytest.approx(-1.0) and math.isnan(found.losses[1].lost.value)
