"""Scenarios side by side: the goals against hand arithmetic, and batches that plans decide."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from command_line import Patch
from fake_compare import BASE, FEWER, NOTHING, club, simulated_as, table
from fake_trials import HOT, MILD, blank_arm, changed, fish_list, random_trials, with_arms
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.pinned import pinned
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import GOALS
from rockshy.analysis.questions.compare.design import ARMS, Design, equally, paired_goal, run_side_by_side
from rockshy.analysis.statistics.paired import Difference
from rockshy.analysis.statistics.sharing import Sharer
from rockshy.analysis.study.kept import Kept
from rockshy.analysis.study.recipe import recipe_of
from rockshy.analysis.study.runner import each_kept_job
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE, Trials
from rockshy.sim.scenario.scenario import Scenario

Handed = list[tuple[int, int]]
MILD_GROUP = Group(species=MILD)


def two_fish() -> Trials:
    """One mild and one hot fish, 2 trials; left alone both swim free for half of their lit time."""
    fish = fish_list(mild=1, hot=1)
    lit = np.array([[10.0, 20.0], [10.0, 0.0]])  # the hot fish is out in trial 1
    stocked = changed(
        blank_arm(AS_STOCKED, fish=fish, trials=2),
        lit_s=3600 * lit,
        free_s=3600 * np.array([[1.0, 8.0], [5.0, 0.0]]),
        hidden_s=3600 * np.array([[9.0, 3.0], [4.0, 0.0]]),
        chases=np.array([[[0, 4], [20, 0]], [[0, 0], [0, 0]]]),
    )
    alone = changed(blank_arm(LEFT_ALONE, fish=fish, trials=2), lit_s=3600 * lit, free_s=1800 * lit)
    return with_arms(stocked, alone)


@pytest.mark.parametrize(
    ("goal", "mild", "all_fish"),
    [
        # lost: 1 - (1/10) / 0.5; all fish: 1 - (9/30) / 0.5
        ("lost", [0.8, 0.0], [0.4, 0.0]),
        ("received", [2.0, 0.0], [24 / 30, 0.0]),
        ("hidden", [0.9, 0.4], [12 / 30, 0.4]),
    ],
)
def test_goals_are_as_by_hand(goal: str, mild: list[float], all_fish: list[float]) -> None:
    trials = two_fish()
    assert values_of(trials, measure=goal, group=MILD_GROUP) == pytest.approx(mild)
    assert values_of(trials, measure=goal, group=Group()) == pytest.approx(all_fish)
    hot = values_of(trials, measure=goal, group=Group(label=f"{HOT} 1"))
    assert np.isfinite(hot[0])
    assert np.isnan(hot[1])  # it was not in


def test_lost_is_nan_where_it_swims_nowhere_even_left_alone() -> None:
    trials = two_fish()
    alone = trials.arms[LEFT_ALONE]
    none = changed(alone, free_s=alone.free_s * np.array([[0.0, 1.0], [1.0, 1.0]]))
    found = values_of(with_arms(trials.arms[AS_STOCKED], none), measure="lost", group=MILD_GROUP)
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(0.0)


def test_a_fish_that_swims_more_than_left_alone_lost_less_than_nothing() -> None:
    trials = two_fish()
    stocked = changed(trials.arms[AS_STOCKED], free_s=trials.arms[AS_STOCKED].lit_s * 0.75)
    found = values_of(with_arms(stocked, trials.arms[LEFT_ALONE]), measure="lost", group=MILD_GROUP)
    assert found == pytest.approx([-0.5, -0.5])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_pinned_is_judged_as_in_the_answer(seed: int) -> None:
    trials = random_trials(seed=seed)
    arm = trials.arms[AS_STOCKED]
    loose = changed(arm, hour_share=np.ones_like(arm.hour_share), hour_outside_s=0.4 * arm.hour_outside_s)
    trials = Trials(trials.title, MILD, "", {**trials.arms, AS_STOCKED: loose}, 6)
    held = pinned(trials)
    here = np.searchsorted(arm.trial, held.trial)
    beyond = np.setdiff1d(np.arange(len(arm.trial)), here)
    for name in (MILD, HOT):
        found = values_of(trials, measure="pinned", group=Group(species=name))
        expected, judged = held.species_pinned(species=name)
        assert judged.all()
        assert found[here].tolist() == expected.astype(float).tolist()
        assert np.isnan(found[beyond]).all()  # trials without the fish left alone
    for i, label in enumerate(arm.fish.label):
        found = values_of(trials, measure="pinned", group=Group(label=label))[here]
        assert np.isnan(found).all() if arm.fish.holding[i] else found.tolist() == held.pinned[:, i].tolist()
    assert held.pinned.any()
    assert not held.pinned[:, ~arm.fish.holding].all()


def test_several_fish_are_taken_together() -> None:
    trials = two_fish()
    both = Group(labels=frozenset(trials.arms[AS_STOCKED].fish.label), title="both")
    one = Group(labels=frozenset([f"{MILD} 1", "nobody"]), title="one")
    for goal in GOALS:
        np.testing.assert_array_equal(
            values_of(trials, measure=goal, group=both), values_of(trials, measure=goal, group=Group())
        )
        np.testing.assert_array_equal(
            values_of(trials, measure=goal, group=one), values_of(trials, measure=goal, group=MILD_GROUP)
        )


def test_an_unknown_goal_and_a_missing_yardstick_are_refused() -> None:
    trials = two_fish()
    with pytest.raises(ValueError, match="use one of lost, received"):
        values_of(trials, measure="peace", group=Group())
    with pytest.raises(ValueError, match="left alone"):
        values_of(with_arms(trials.arms[AS_STOCKED]), measure="lost", group=Group())


# ---- differences


def differences(other: Trials, *, base: Trials, group: Group) -> dict[str, Difference]:
    """Each goal of a group: ``other`` less ``base``."""
    both = (other, base)
    values = {goal: [values_of(one, measure=goal, group=group) for one in both] for goal in GOALS}
    return {goal: paired_goal(new, base=old, goal=goal, tables=both) for goal, (new, old) in values.items()}


def test_differences_are_paired_over_the_trials_that_both_have() -> None:
    base = table(club(), trials=[0, 1, 2, 5])
    other = table(club(FEWER).alternatives[0].scenario, trials=[1, 2, 3, 5, 6])
    found = differences(other, base=base, group=MILD_GROUP)
    assert tuple(found) == GOALS
    assert {one.trials for one in found.values()} == {3}
    assert found["lost"].value == pytest.approx(-0.4)  # two hot males fewer, the same luck
    assert found["lost"].half_width == pytest.approx(0.0, abs=1e-12)
    assert found["hidden"].value == pytest.approx(-0.8 * 0.4)
    assert found["pinned"].value == -1.0
    assert (found["lost"].better, found["lost"].worse) == (3, 0)


# ---- batches


def both() -> list[Scenario]:
    scenario = club(FEWER)
    return [scenario, scenario.alternatives[0].scenario]


def test_equal_shares_run_every_trial_of_every_scenario(monkeypatch: Patch) -> None:
    ran = simulated_as(monkeypatch)
    told: Handed = []
    found = run_side_by_side(both(), plan=equally(3, scenarios=2), progress=lambda *of: told.append(of))
    assert ran == [(7, 0), (5, 0), (7, 1), (5, 1), (7, 2), (5, 2)]
    assert told == [(done, 6) for done in range(1, 7)]
    for one, scenario in zip(found, both(), strict=True):
        expected = table(scenario, trials=3)
        assert tuple(one.arms) == ARMS
        np.testing.assert_array_equal(one.arms[AS_STOCKED].free_s, expected.arms[AS_STOCKED].free_s)
        assert (one.done, one.asked) == (3, 3)


def test_a_plan_sees_all_values_by_trial_number_once_a_batch_is_complete(monkeypatch: Patch) -> None:
    simulated_as(monkeypatch)
    seen: list[list[list[float]]] = []
    batches: list[Handed] = [[(1, 1), (0, 1), (0, 0), (1, 0)], [(1, 2), (1, 3)], []]

    def plan(values: Sequence[np.ndarray]) -> Handed:
        seen.append([one.tolist() for one in values])
        return batches[len(seen) - 1]

    work = Design(both(), plan, goal="hidden", group=MILD_GROUP)
    work.carry_out(each_kept_job)
    expected = [values_of(table(one, trials=4), measure="hidden", group=MILD_GROUP) for one in both()]
    assert [[len(one) for one in values] for values in seen] == [[0, 0], [2, 2], [2, 4]]
    np.testing.assert_array_equal(seen[-1][0], expected[0][:2])
    np.testing.assert_array_equal(seen[-1][1], expected[1])
    assert len(work.done) == 6 and not work.stopped


def test_a_plan_that_leaves_a_number_out_is_refused(monkeypatch: Patch) -> None:
    simulated_as(monkeypatch)
    plans = iter([[(0, 0), (1, 0), (0, 2)]])
    with pytest.raises(ValueError, match=r"the trials \[0, 2\]; use 0, 1, 2 and so on"):
        run_side_by_side(both(), plan=lambda _: next(plans))


def test_a_plan_that_forgets_a_scenario_is_refused(monkeypatch: Patch) -> None:
    simulated_as(monkeypatch)
    plans = iter([[(0, 0)], []])
    with pytest.raises(ValueError, match="1 of 2 scenarios"):
        run_side_by_side(both(), plan=lambda _: next(plans))


@pytest.mark.parametrize("jobs", [2, 3, 5, 9])
def test_ctrl_c_leaves_the_trials_that_all_have(monkeypatch: Patch, jobs: int) -> None:
    simulated_as(monkeypatch, stop_after=jobs)
    stops: list[str] = []
    found = run_side_by_side(both(), plan=equally(5, scenarios=2), on_stop=lambda: stops.append("stopped"))
    assert stops == ["stopped"]
    assert [one.arms[AS_STOCKED].trial.tolist() for one in found] == [list(range(jobs // 2))] * 2


def test_ctrl_c_before_every_scenario_has_a_trial_answers_nothing(monkeypatch: Patch) -> None:
    simulated_as(monkeypatch, stop_after=1)
    with pytest.raises(KeyboardInterrupt):
        run_side_by_side(both(), plan=equally(5, scenarios=2))


def test_a_run_that_was_broken_off_takes_the_same_decisions(monkeypatch: Patch, tmp_path: Path) -> None:
    scenario = club(FEWER, NOTHING, base=BASE.replace("trials = 8", "trials = 40"))
    scenarios = [scenario, *(one.scenario for one in scenario.alternatives)]

    def run(kept: Kept | None) -> tuple[list[Handed], list[Trials]]:
        sharer = Sharer(3, budget=60, draw=np.arange(30) % 4, first=4, batch=6)
        handed: list[Handed] = []

        def plan(values: Sequence[np.ndarray]) -> Handed:
            handed.append(sharer.next_batch(values))
            return handed[-1]

        return handed, run_side_by_side(scenarios, plan=plan, group=MILD_GROUP, kept=kept)

    simulated_as(monkeypatch)
    expected, whole = run(None)
    recipe = recipe_of("compare", scenario)
    ran = simulated_as(monkeypatch, stop_after=14)
    with Kept(tmp_path / "out", recipe=recipe) as kept:
        run(kept)
    assert len(ran) == 14
    ran = simulated_as(monkeypatch)
    with Kept(tmp_path / "out", recipe=recipe) as kept:
        handed, found = run(kept)
    assert handed == expected
    assert len(ran) == sum(len(batch) for batch in expected) - 14
    for one, two in zip(found, whole, strict=True):
        np.testing.assert_array_equal(one.arms[AS_STOCKED].free_s, two.arms[AS_STOCKED].free_s)
