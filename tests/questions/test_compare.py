"""What if: the numbers and the words of a base beside its alternatives, and species instead of one."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from fake_compare import ALONE, BASE, FEWER, GONE, LATER, NOTHING, Rule, club, per_hot_male, table, tables
from fake_trials import HOT, MILD
from rockshy.analysis.document import as_text
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.pinned import worst_off
from rockshy.analysis.measures.rates import values_of
from rockshy.analysis.measures.registry import GOALS, HIDDEN, LOST, PINNED, RECEIVED
from rockshy.analysis.questions.compare.answer import (
    OTHERS,
    WORST,
    Against,
    Comparison,
    answer_of,
    chances,
    figure,
    worst_in_tank,
)
from rockshy.analysis.questions.compare.design import equally, paired_goal, run_side_by_side
from rockshy.analysis.questions.compare.files import rows_text, whole_json
from rockshy.analysis.questions.compare.plans import Shared
from rockshy.analysis.questions.compare.words import best_sentences, document_of, hidden_behind, sentence
from rockshy.sim.fish.population import Individual
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.scenario.scenario import Scenario

MILD_GROUP = Group(species=MILD)


def told(
    *alternatives: str, goal: str = LOST, group: Group = MILD_GROUP, trials: int = 8, **how: object
) -> Comparison:
    scenario = club(*alternatives)
    return answer_of(scenario, tables(scenario, trials=trials, **how), group=group, goal=goal)


def only(*alternatives: str, **how: object) -> Against:
    (one,) = told(*alternatives, **how).against  # type: ignore[arg-type]
    return one


def spared_but(label: str) -> Rule:
    """Every mild fish gains by fewer hot males, except one."""

    def rule(scenario: Scenario, fish: Individual) -> float:
        changed = per_hot_male(scenario, fish)
        return 0.9 if fish.label == label and changed < 0.5 else changed

    return rule


# ---- the figures


def test_an_alternative_is_compared_in_every_goal_with_its_interval_and_its_counts() -> None:
    one = only(FEWER)
    lost = one.chosen.figures[LOST]
    assert one.chosen.name == MILD
    assert tuple(one.chosen.figures) == GOALS
    assert lost.before - lost.after == pytest.approx(0.4)  # two hot males at 0.2
    assert lost.difference.value == pytest.approx(-0.4)
    assert (lost.difference.better, lost.difference.worse, lost.difference.trials) == (8, 0, 8)
    assert lost.told
    assert lost.narrowed == pytest.approx(1.0)  # the luck is all shared
    assert one.chosen.figures[PINNED].before == 1.0
    assert one.chosen.figures[PINNED].after == 0.0
    assert one.chosen.figures[HIDDEN].difference.value == pytest.approx(-0.4 * ALONE)


def test_the_range_over_guesses_wants_two_tanks_of_each() -> None:
    once, twice = only(FEWER, trials=4), only(FEWER, trials=8)
    assert np.isnan(once.chosen.figures[LOST].guess_low)
    assert twice.chosen.figures[LOST].guess_low == pytest.approx(-0.4)


def test_with_a_tank_to_a_guess_their_range_is_shown_where_guesses_decide() -> None:
    scenario = club(FEWER, base=BASE.replace("trials = 8\nguesses = 4", "trials = 72"))
    base, other = tables(scenario, trials=72)
    draw, rng = base.arms[AS_STOCKED].draw, np.random.default_rng(0)
    by_guess, by_luck = rng.uniform(0.0, 0.4, 64)[draw], rng.uniform(0.0, 0.4, 72)

    def shown(values: np.ndarray, goal: str) -> bool:
        return bool(np.isfinite(figure(values, np.zeros(72), goal, other, base).guess_low))

    assert shown(by_guess + by_luck / 10, LOST) and not shown(by_luck, LOST)
    assert not shown((by_guess > 0.2).astype(float), PINNED)  # of one tank 0 or 1 and nothing between


def test_nothing_is_said_to_differ_where_only_luck_does() -> None:
    scenario = club(NOTHING)
    base = table(scenario)
    other = table(scenario.alternatives[0].scenario, also="another luck")
    found = answer_of(scenario, [base, other], group=MILD_GROUP)
    (one,) = found.against
    assert not one.chosen.figures[LOST].told
    assert one.worse == ()
    assert "no difference is seen" in sentence(one, found)
    assert f"({100 * one.chosen.figures[LOST].difference.value:+.0f})" in as_text(document_of(found))


def test_nothing_changed_is_said_in_one_sentence() -> None:
    found = told(NOTHING)
    assert found.against[0].same
    assert sentence(found.against[0], found) == "nothing changed in any simulated tank."
    assert all(
        figure.difference.value == 0.0
        for group in found.against[0].groups
        for figure in group.figures.values()
    )


def test_the_real_simulator_differs_by_exactly_nothing_where_nothing_changes() -> None:
    scenario = club(NOTHING, base=BASE.replace("days = 0.4", "days = 0.2").replace("males = 3", "males = 1"))
    scenarios = [scenario, scenario.alternatives[0].scenario]
    pair = run_side_by_side(scenarios, plan=equally(2, scenarios=2))
    found = answer_of(scenario, pair, group=MILD_GROUP).against[0]
    assert pair[0].arms[AS_STOCKED].free_s.any()
    assert found.same
    for group in found.groups:
        for one in group.figures.values():
            assert one.difference.value == 0.0
            assert (one.difference.better, one.difference.worse) == (0, 0)


def test_a_species_beside_the_mild_one_is_told_too() -> None:
    one = only(FEWER)
    assert [(group.role, group.name) for group in one.groups][1:] == [("chosen", MILD), (OTHERS, HOT)]
    asked = only(FEWER, group=Group(species=HOT))
    assert [(group.role, group.name) for group in asked.groups][1:] == [("chosen", HOT), ("mild", MILD)]
    assert asked.chosen.name == HOT


def test_whoever_is_not_in_an_alternative_has_no_figures_there() -> None:
    label = f"{MILD} female 2"
    found = told(GONE, FEWER, group=Group(label=label, species=MILD))
    gone, fewer = found.against
    assert all(figure.difference.trials == 0 for figure in gone.chosen.figures.values())
    assert fewer.chosen.figures[LOST].difference.trials == 8
    assert np.isnan(found.best[1])
    assert found.best[0] + found.best[2] == pytest.approx(1.0)
    assert f"{label} is not in this tank" in sentence(gone, found)
    assert "not in it" in as_text(document_of(found))


def test_as_many_tables_as_scenarios_are_wanted() -> None:
    with pytest.raises(ValueError, match="use 2, the base's first"):
        answer_of(club(FEWER), [table(club())], group=MILD_GROUP)


def test_the_mean_of_each_scenario_keeps_to_what_can_be() -> None:
    pinned = told(FEWER, goal=PINNED)
    assert [one.value for one in pinned.levels] == [1.0, 0.0]
    assert 0.0 < pinned.levels[0].low < pinned.levels[0].high == 1.0
    assert 0.0 == pinned.levels[1].low < pinned.levels[1].high < 1.0
    lost = told(FEWER, luck=0.9)
    assert all(one.high <= 1.0 for one in lost.levels)


def test_unequal_numbers_of_tanks_are_pointed_out() -> None:
    scenario = club(FEWER)
    pair = [table(scenario, trials=8), table(scenario.alternatives[0].scenario, trials=4)]
    said = as_text(document_of(answer_of(scenario, pair, group=MILD_GROUP)))
    assert "4 to 8 simulated tanks of each" in said
    assert "differences over those that both have" in said
    assert "differences over those that both have" not in as_text(document_of(told(FEWER)))


# ---- the worst-off fish


def test_the_worst_off_fish_is_that_of_each_tank_whichever_it_is() -> None:
    trials = table(club(), luck=0.2)
    worst = worst_in_tank(trials)
    arm = trials.arms[AS_STOCKED]
    each = np.array([values_of(trials, measure=LOST, group=Group(label=label)) for label in arm.fish.label])
    np.testing.assert_allclose(worst[LOST], each.max(axis=0))
    first = each.argmax(axis=0)
    assert len(set(first.tolist())) > 1
    hidden = arm.hidden_s / arm.lit_s
    np.testing.assert_allclose(worst[HIDDEN], hidden[np.arange(8), first])


def test_a_change_that_is_nothing_but_other_luck_does_not_seem_to_help_the_worst_off() -> None:
    """A fish that was picked because it did worst in these tanks would seem to gain by any change."""
    scenario = club(NOTHING)
    picked, each = [], []
    for turn in range(12):
        pair = [table(scenario, also=f"{which} {turn}", luck=0.2) for which in ("base", "other")]
        found = answer_of(scenario, pair, group=MILD_GROUP).against[0]
        group = found.of(WORST)
        assert group is not None
        each.append(group.figures[LOST].difference.value)
        ranked = worst_off(pair[0])
        assert ranked is not None
        label = ranked.losses[0].label
        values = [values_of(one, measure=LOST, group=Group(label=label)) for one in pair]
        picked.append(float((values[1] - values[0]).mean()))
    assert np.mean(picked) < -0.04
    assert abs(np.mean(each)) < 0.025


def test_the_worst_off_fish_of_each_scenario_is_named() -> None:
    victim = f"{MILD} male 1"
    found = told(FEWER, lost=spared_but(victim))
    assert found.worst.label.startswith(MILD)
    worst = found.against[0].worst
    assert (worst.label, worst.fish) == (f"{MILD} male", 1)
    assert worst.lost.value == pytest.approx(0.9, abs=0.05)
    assert found.worst.lost.value == pytest.approx(0.6, abs=0.05)
    said = as_text(document_of(found))
    assert "The fish described alike that lost most" in said
    assert "T. duboisi male" in said


def test_a_fish_that_a_better_mean_hides_is_pointed_out() -> None:
    victim = f"{MILD} male 1"
    found = told(FEWER, lost=spared_but(victim))
    one = found.against[0]
    assert one.chosen.figures[LOST].difference.improved
    assert [fate.label for fate in one.worse] == [f"{MILD} male"]
    assert one.judged == 4  # males and females of both, those described alike together
    (line,) = hidden_behind(one)
    assert line.startswith(f"Look twice: {MILD} are better off on the mean")
    assert f"{MILD} male (" in line
    assert "Holm" in line
    assert f"worse off than before: {MILD} male" in sentence(one, found)


def test_many_fish_looked_at_do_not_make_one_worse_off_by_luck() -> None:
    """P values are corrected: a fish that alone would be told is not told among many."""
    scenario = club(NOTHING)

    def told_alone(turn: int) -> tuple[bool, bool]:
        pair = [table(scenario, trials=4, also=f"{which} {turn}") for which in ("base", "other")]
        found = answer_of(scenario, pair, group=MILD_GROUP).against[0]
        fish = [Group(label=label) for label in pair[0].arms[AS_STOCKED].fish.label]
        alone = [
            paired_goal(
                *(values_of(pair[1], measure=LOST, group=one),),
                base=values_of(pair[0], measure=LOST, group=one),
                goal=LOST,
                tables=(pair[1], pair[0]),
            )
            for one in fish
        ]
        return any(one.told and one.value > 0 for one in alone), bool(found.worse)

    turns = [told_alone(turn) for turn in range(20)]
    assert sum(alone for alone, _ in turns) > sum(corrected for _, corrected in turns)
    assert sum(corrected for _, corrected in turns) <= 2


# ---- which is best


def test_the_chance_to_be_the_best_is_shared_among_base_and_alternatives() -> None:
    found = told(NOTHING, FEWER)
    assert sum(found.best) == pytest.approx(1.0)
    assert found.best[2] > 0.99
    assert best_sentences(found)[0] == "Best: one hot male (chance over 99 %)."


def test_an_open_race_is_said_to_be_open() -> None:
    scenario = club(NOTHING)
    pair = [table(scenario, trials=4), table(scenario.alternatives[0].scenario, trials=4, also="other luck")]
    said = best_sentences(answer_of(scenario, pair, group=MILD_GROUP))[0]
    assert "not settled" in said


def test_chances_leave_out_whoever_has_no_value() -> None:
    one, none = np.array([1.0, 2.0, 3.0, 4.0]), np.full(4, np.nan)
    found = chances([one, none, one - 1 - 0.01 * one], draw=np.arange(4), fixed=False)
    assert np.isnan(found[1])
    assert found[2] > 0.9
    assert np.isnan(chances([none, one], draw=np.arange(4), fixed=False)).all()


# ---- the words


def test_the_words_fit_the_page_and_begin_with_the_short_answer() -> None:
    found = told(NOTHING, FEWER, LATER)
    said = as_text(document_of(found))
    assert max(len(line) for line in said.splitlines()) <= 100
    places = [
        said.index(part)
        for part in ("Short answer", "worst-off fish of each", f"  {MILD} (as you asked", "hot ones later\n")
    ]
    assert places == sorted(places)
    assert "model scale" in said
    assert "histories diverge; nothing more is claimed" in " ".join(said.split())
    assert "Test the water first" in " ".join(said.split())
    assert said.count("In a sentence:") == 3
    assert "better in 8 of 8 simulated tanks" in " ".join(said.split())


def test_a_falling_chase_rate_is_never_told_without_hiding_and_pinning() -> None:
    """A fish that gives up is chased less: the sentence says that it hides no less."""

    def lost(scenario: Scenario, fish: Individual) -> float:
        return 0.6 if fish.species == MILD else 0.1

    scenario = club(FEWER)
    base, other = tables(scenario, lost=lost)
    arm = other.arms[AS_STOCKED]
    fewer = replace(other, arms={**other.arms, AS_STOCKED: replace(arm, chases=arm.chases // 3)})
    found = answer_of(scenario, [base, fewer], group=MILD_GROUP, goal=RECEIVED)
    said = sentence(found.against[0], found)
    assert re.search(
        r"is chased less \(by [0-9.]+ an hour\), with no difference seen in hiding and pinning", said
    )
    block = as_text(document_of(found)).split("What if: ")[1]
    assert all(word in block for word in ("chased/h", "hidden, of lit time", "pinned, of the tanks"))


def test_a_gain_that_costs_something_else_says_both() -> None:
    scenario = club(FEWER)
    base, other = tables(scenario)
    arm = other.arms[AS_STOCKED]
    hides = replace(other, arms={**other.arms, AS_STOCKED: replace(arm, hidden_s=arm.lit_s - 1.0)})
    found = answer_of(scenario, [base, hides], group=MILD_GROUP)
    said = sentence(found.against[0], found)
    assert "swims free more (by 40 %), is chased less (by" in said
    assert "and is pinned less often (by 100 %) but hides more (by" in said


def test_the_worth_of_the_same_seeds_is_reported() -> None:
    said = as_text(document_of(told(FEWER)))
    lines = said.split("What the same seeds were worth")[1].splitlines()
    (line,) = [line for line in lines if line.startswith("  one hot male")]
    assert line.count("100 %") >= 2


def test_files_hold_every_tank_and_no_number_that_is_none() -> None:
    scenario = club(FEWER)
    pair = tables(scenario)
    found = answer_of(scenario, pair, group=Group(species=HOT))
    lines = rows_text(pair, names=found.names, group=Group(species=HOT)).splitlines()
    assert lines[0].startswith("tank,trial,guess,whose,lost_share")
    assert len(lines) == 1 + 2 * 8 * 3  # tanks, trials, worst-off fish and both species
    assert lines[1].startswith("the tank as it is,0,0,worst-off fish,0.")
    told_ = whole_json(scenario, found, shared=Shared(("a", "b"), (8, 4), 16, "", 0.99))
    assert told_["shared_out"]["saved"] == 4  # type: ignore[index]
    assert "nan" not in repr(told_["against"])
