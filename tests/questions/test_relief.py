"""What helps: how trials are shared out, what is put forward, and what is not, in made-up tanks."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from fake_relief import (
    HOT,
    HOT_MALES,
    LESS,
    MILD,
    TALLER,
    World,
    another_scapegoat,
    base,
    chief_matters,
    first_hot_male,
    in_words,
    named,
    nothing_helps,
    plan,
    taller_costs_others,
    taller_while_sifting,
    there,
    tried,
    worse_without_females,
)
from rockshy.analysis.measures.registry import HIDDEN, LOST, RECEIVED
from rockshy.analysis.measures.row import BOTH, STOCKED
from rockshy.analysis.measures.victim import TANKS
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.compare.answer import answer_of as compared
from rockshy.analysis.questions.relief.answer import HARMS, HELPS, ITSELF, UNTOLD, WORSE, answer_of
from rockshy.analysis.questions.relief.brief import brief_of
from rockshy.analysis.questions.relief.changes import CHIEF
from rockshy.analysis.questions.relief.costs import cost_words
from rockshy.analysis.questions.relief.design import CONFIRMED_MOST, Design, ReliefError, plan_of
from rockshy.analysis.questions.relief.others import WORST
from rockshy.analysis.statistics.paired import paired_difference
from rockshy.sim.fish.population import Individual
from rockshy.sim.run.trials import Job, table_of
from rockshy.sim.scenario.scenario import Alternative, Scenario

# ---- how trials are shared out


def test_trials_are_halved_and_the_yardstick_is_run_once_a_trial() -> None:
    world, found = tried(chief_matters)
    first, sift, better, last = world.asked
    assert first == [Job(0, trial, BOTH) for trial in range(32)]
    assert {job.arms for job in itertools.chain(sift, better, last)} == {STOCKED}
    assert {job.trial for job in sift} == set(range(8))
    assert {job.trial for job in better} == set(range(8, 16))
    assert {job.trial for job in last} == set(range(16, 32))
    every = [job for batch in world.asked for job in batch]
    assert len(every) == len(set(every))
    assert Counter(one.trials for one in found.tried)[8] == len(found.tried) // 2
    assert sum(one.trials == 32 for one in found.tried) == sum(one.confirmed for one in found.tried)
    assert 1 <= sum(one.confirmed for one in found.tried) <= CONFIRMED_MOST
    assert found.tanks == len(every) + 32


def test_blocks_are_whole_rounds_of_guesses_where_they_can_be() -> None:
    for trials, block in ((16, 4), (31, 7), (32, 8), (64, 16), (100, 24)):
        shared = plan(trials=trials)
        assert shared.block == block
        numbers = [*shared.sift[0], *shared.sift[1], *shared.fresh]
        assert numbers == list(range(trials))
        assert len(shared.fresh) >= trials // 2
    with pytest.raises(ReliefError, match="at least 16"):
        plan_of(base(trials=15))


def test_order_of_ending_does_not_matter() -> None:
    _, found = tried(chief_matters)
    again = answer_of(plan(), World(loss=chief_matters, backwards=True))
    assert [(one.change.name, one.verdict, one.figures) for one in again.tried] == [
        (one.change.name, one.verdict, one.figures) for one in found.tried
    ]


# ---- what is put forward


def test_the_chief_chaser_of_each_tank_is_found_and_put_forward() -> None:
    world, found = tried(chief_matters)
    assert found.whom.name == f"{MILD} females"
    chief = named(found, CHIEF)
    assert chief.verdict == HELPS and chief.confirmed and not chief.worse
    lost = chief.figures[LOST].difference
    assert lost.trials == lost.better == 16
    assert lost.low < -LESS < lost.high
    one_male = named(found, f"one {HOT} male out")  # the chief in half of the tanks only
    assert -0.25 < one_male.gain < -0.05
    # in each trial it is another label that is out
    work = Design(plan(), None)
    work.carry_out(world)
    for new, old in work.pairs([one.name for one in work.changes].index(CHIEF)):
        gone = there(work.plan.scenario) - there(work.scenarios[new.which])
        assert gone == {first_hot_male(old.trial)}
    assert {first_hot_male(trial) for trial in range(32)} == set(HOT_MALES)


def test_the_chief_chaser_is_that_of_one_fish_and_it_is_that_one_which_is_helped() -> None:
    def own_chief(trial: int, label: str) -> str:
        return HOT_MALES[(trial + int(label[-1])) % 2]

    def own_chief_matters(scenario: Scenario, fish: Individual, trial: int) -> float:
        relief = LESS if fish.species == MILD and own_chief(trial, fish.label) not in there(scenario) else 0.0
        return nothing_helps(scenario, fish, trial) - relief

    found = answer_of(plan(), World(loss=own_chief_matters, chief=own_chief))
    chief = named(found, CHIEF)
    assert chief.verdict == HELPS
    assert chief.gain == pytest.approx(-LESS, abs=0.03)  # over all of them it would be half as much


def test_where_nobody_is_chased_taking_out_the_chief_changes_nothing() -> None:
    world = World(loss=chief_matters, chief=lambda *_: "nobody")
    found = answer_of(plan(), world)
    lost = named(found, CHIEF).figures[LOST].difference
    assert (lost.value, lost.low, lost.high, lost.equal) == (0.0, 0.0, 0.0, lost.trials)
    assert named(found, CHIEF).verdict == UNTOLD


def test_what_helps_one_and_harms_another_is_not_put_forward() -> None:
    _, found = tried(taller_costs_others)
    taller = named(found, TALLER)
    assert taller.verdict == HARMS and not taller.confirmed
    assert {one.name for one in taller.worse if one.goal == LOST} >= {
        f"{HOT} males",
        f"{HOT} females",
        f"{HOT}, all of them",
    }
    assert not found.of(HELPS)
    text = in_words(found)
    assert text.index("Put forward: nothing") < text.index("makes others worse off") < text.index(TALLER)


def test_another_scapegoat_is_noticed_though_every_kind_does_better() -> None:
    _, found = tried(another_scapegoat, noise=0.01, shared=0.02)
    taller = named(found, TALLER)
    assert taller.verdict == HARMS and not found.of(HELPS)
    assert {one.name for one in taller.worse} == {WORST}


def test_luck_of_the_sift_is_not_put_forward() -> None:
    _, found = tried(taller_while_sifting)
    taller = named(found, TALLER)
    assert taller.confirmed and taller.verdict == UNTOLD
    assert abs(taller.gain) < 0.05  # though it gained 0.3 in every trial that chose it
    sifted = [row.after[LOST] - row.before[LOST] for row in taller.rows if not row.fresh]
    assert len(sifted) == 16 and np.mean(sifted) < -0.2


def test_hardly_anything_is_put_forward_where_nothing_helps() -> None:
    claims = 0
    for seed in range(6):
        found = answer_of(plan(trials=16), World(seed=seed))
        claims += len(found.of(HELPS)) > 0
        assert any(one.confirmed for one in found.tried)
    assert claims <= 2  # 0.15 expected at 2.5 %; more than 2 of 6 has a chance below one in a thousand


def test_where_nothing_helps_for_sure_it_is_said_what_comes_nearest() -> None:
    def unsure(scenario: Scenario, fish: Individual, trial: int) -> float:
        better = scenario.rock.height_cm > 20 and fish.species == MILD
        return nothing_helps(scenario, fish, trial) - better * (0.15 if trial % 2 else -0.05)

    _, found = tried(unsure, noise=0.001, shared=0.0)
    taller = named(found, TALLER)
    assert taller.verdict == UNTOLD and taller.confirmed
    said = brief_of(found)
    assert "Nothing that was tried helps them beyond doubt" in said.verdict and said.beside == ""
    assert said.sure.startswith(f"How sure: nearest comes {TALLER}, better in 8 of 16 simulated tanks;")


def test_a_change_for_the_worse_is_called_that() -> None:
    _, found = tried(worse_without_females)
    assert named(found, f"2 more females of {HOT}").verdict == WORSE


def test_intervals_hold_for_all_that_were_followed_up() -> None:
    _, found = tried(chief_matters)
    followed = [one for one in found.tried if one.confirmed]
    chief = named(found, CHIEF)
    assert chief.comparisons == len(followed) > 1
    fresh = [row for row in chief.rows if row.fresh]
    plain = paired_difference(
        [row.after[LOST] for row in fresh],
        base=[row.before[LOST] for row in fresh],
        draw=[row.draw for row in fresh],
    )
    wide = chief.figures[LOST].difference
    assert wide.value == plain.value
    assert wide.low < plain.low < plain.high < wide.high
    assert named(found, f"one {HOT} female out").comparisons in (len(found.tried), len(followed))


# ---- beside the other questions, and in order


def taller_helps(scenario: Scenario, fish: Individual, trial: int) -> float:
    """Taller rock helps the mild fish; without most of the stock they lose nothing at all."""
    if fish.species == MILD and not any(row.species == HOT for row in scenario.stock):
        return 0.0
    gain = LESS if scenario.rock.height_cm > 20 and fish.species == MILD else 0.0
    return nothing_helps(scenario, fish, trial) - gain


def test_compare_finds_the_same_difference_for_a_change_that_is_put_forward() -> None:
    """Given as an alternative, on the same trial numbers, fish by fish."""
    world = World(loss=taller_helps, noise=0.0)
    found = answer_of(plan(), world)
    taller = named(found, TALLER)
    assert taller.verdict == HELPS and taller.change.scenario is not None
    other = Alternative("taller", (), taller.change.scenario)
    scenario = replace(base(), alternatives=(other,))
    tables = [
        table_of(one, [world.outcomes(one, Job(0, trial, BOTH)) for trial in found.plan.fresh])
        for one in (scenario, other.scenario)
    ]
    chosen = compared(scenario, tables, group=found.whom).against[0].chosen
    assert chosen.name == found.whom.name
    for goal in (LOST, RECEIVED, HIDDEN):
        one, two = taller.figures[goal].difference, chosen.figures[goal].difference
        assert two.value == pytest.approx(one.value, abs=1e-12)
        assert (two.trials, two.better, two.worse) == (one.trials, one.better, one.worse)


def test_what_takes_out_most_of_the_stock_stands_behind_milder_changes_that_help_less() -> None:
    many = base("males = 2\nfemales = 2", "males = 3\nfemales = 3")
    found = answer_of(plan(scenario=many), World(loss=taller_helps))
    helps = found.of(HELPS)
    most = next(one for one in helps if 2 * one.change.cost.homes > 10)
    taller = named(found, TALLER)
    assert most.gain < taller.gain < 0
    assert helps.index(taller) < helps.index(most)
    said = brief_of(found)
    assert f"Best, short of taking out most of the fish: {TALLER}" in said.verdict
    assert said.beside == f"It takes: {cost_words(taller.change.cost)}."
    assert "6 fish to catch and house elsewhere" in cost_words(most.change.cost)


# ---- whom


def test_the_worst_off_are_chosen_by_the_first_tanks_alone() -> None:
    def turns(scenario: Scenario, fish: Individual, trial: int) -> float:
        is_worst = (fish.species == HOT) == (trial >= TANKS)
        return 0.8 if is_worst and fish.sex == "female" else 0.1

    found = answer_of(plan(), World(loss=turns))
    assert found.whom.name == f"{MILD} females"
    assert "worst off" in found.whom.why


def test_one_fish_described_apart_can_be_taken_out_itself() -> None:
    whom = asked_for(base(), "duboisi male 1")
    found = answer_of(plan(), World(loss=chief_matters), whom=whom)
    own = named(found, f"{MILD} male 1 out")
    assert own.verdict == ITSELF and not own.figures and own.trials == 8
    text = in_words(found)
    assert "that ends its trouble in this tank" in text
    assert named(found, CHIEF).verdict == HELPS


def test_whose_chief_is_picked_does_not_depend_on_how_they_fared() -> None:
    whom = asked_for(base(), "duboisi females")
    picked = Counter(whom.one(trial) for trial in range(600))
    assert set(picked) == set(whom.labels)
    assert min(picked.values()) > 150


def test_a_fish_that_is_out_before_measuring_cannot_be_helped() -> None:
    gone = base("males = 1\nfemales = 3", "males = 1\nfemales = 3\nout = 0.5")

    class Away(World):
        def outcomes(self, scenario: Scenario, job: Job):  # type: ignore[no-untyped-def]
            done = super().outcomes(scenario, job)
            for one in done:
                mild = [fish.species == MILD for fish in one.people]
                for name in ("lit_s", "free_s", "hidden_s", "hour_lit_s"):
                    one.columns[name][mild] = 0.0
            return done

    with pytest.raises(ReliefError, match="none is in the tank while it is measured"):
        answer_of(plan(scenario=gone), Away(), whom=asked_for(gone, "duboisi"))


def test_fish_that_are_bought_are_asked_too() -> None:
    def crowded(scenario: Scenario, fish: Individual, trial: int) -> float:
        return 0.6 if fish.label == f"{MILD} female 5" else nothing_helps(scenario, fish, trial)

    found = answer_of(plan(), World(loss=crowded, noise=0.0, shared=0.0))
    more = named(found, f"2 more females of {MILD}")
    assert more.added_lost == pytest.approx((0.5 + 0.6) / 2)
    assert np.isnan(named(found, CHIEF).added_lost)


# ---- stopped


@pytest.mark.parametrize("jobs", [80, 180, 240, 280])
def test_ctrl_c_answers_from_trials_that_all_have(jobs: int) -> None:
    world, whole = tried(chief_matters)
    found = answer_of(plan(), World(loss=chief_matters, stop_after=jobs))
    assert found.stopped
    batches = [len(batch) for batch in world.asked]
    if jobs < sum(batches[:3]):
        assert not found.of(HELPS)
    counts = {one.trials for one in found.tried}
    assert len(counts) <= 3  # of one batch all have as many
    for one in found.tried:
        same = named(whole, one.change.name)
        assert [row.after for row in one.rows] == [row.after for row in same.rows[: len(one.rows)]]
    in_words(found)


def test_ctrl_c_before_any_change_is_passed_on() -> None:
    for jobs in (0, 5, 32, 33):
        with pytest.raises(KeyboardInterrupt):
            answer_of(plan(), World(stop_after=jobs))
