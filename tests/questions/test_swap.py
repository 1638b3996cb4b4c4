"""Each species of the library instead of one: three lists and nothing finer."""

from __future__ import annotations

import pytest
from fake_compare import club, made_up
from fake_trials import HOT, MILD
from rockshy.analysis.document import as_text
from rockshy.analysis.measures.groups import Group
from rockshy.analysis.measures.registry import LOST
from rockshy.analysis.questions.compare.swap import (
    Swap,
    SwapPlan,
    base_jobs,
    for_victim,
    plan_swap,
    swap_jobs,
    swap_of,
)
from rockshy.analysis.questions.compare.swap_words import swap_words
from rockshy.analysis.statistics.multiple import CALMER, UNTOLD, WORSE
from rockshy.sim.fish.population import Individual
from rockshy.sim.run.table import AS_STOCKED, LEFT_ALONE
from rockshy.sim.scenario.scenario import Scenario


def swapped(
    scenario: Scenario, species: str, *, tempers: dict[str, float], goal: str = LOST, trials: int = 8
) -> tuple[SwapPlan, Swap]:
    """The answer where each species beside the others costs them so much of their free swimming."""
    plan = plan_swap(scenario, species, goal=goal)

    def lost(here: Scenario, fish: Individual) -> float:
        beside = {row.species for row in here.stock} - {MILD}
        return max(tempers.get(key, 0.3) for key in beside or [HOT]) if fish.species == MILD else 0.1

    jobs = [*base_jobs(trials), *swap_jobs(plan, trials)]
    done = [(job, made_up(plan.scenarios[job.which], job.trial, arms=job.arms, lost=lost)) for job in jobs]
    return plan, swap_of(scenario, plan, done)


def test_species_are_sorted_into_three_lists_by_the_alphabet() -> None:
    tempers = {
        HOT: 0.3,
        "Tropheus moorii": 0.6,
        "Petrochromis macrognathus": 0.6,
        "Eretmodus cyanostictus": 0.1,
    }
    plan, found = swapped(club(), HOT, tempers=tempers)
    assert found.of(CALMER) == ("Eretmodus cyanostictus",)
    assert found.of(WORSE) == ("Petrochromis macrognathus", "Tropheus moorii")
    assert set(found.of(UNTOLD)) == set(plan.tried) - {*found.of(CALMER), *found.of(WORSE)}
    assert HOT not in found.verdicts
    assert list(found.verdicts) == sorted(found.verdicts)
    said = as_text(swap_words(found))
    assert max(len(line) for line in said.splitlines()) <= 100
    flat = " ".join(said.split())
    assert "temperaments of all species are assumptions" in flat
    assert "Holm" in flat
    assert "Worse for them (2 species)" in flat
    assert "Test the water first" in flat


def test_a_species_comes_in_the_same_sexes_and_is_no_fish_that_is_judged() -> None:
    plan = plan_swap(club(), HOT)
    assert plan.count == "3 males and 1 female"
    for scenario in plan.scenarios[1:]:
        (new,) = [row for row in scenario.stock if row.species != MILD] or [scenario.stock[-1]]
        assert (new.males, new.females, new.length_cm) == (3, 1, None)
    assert plan.others.labels == {f"{MILD} male 1", f"{MILD} female 1", f"{MILD} female 2"}
    assert MILD in plan.tried  # more of the mild ones; those that were there are judged


def test_when_the_mild_species_is_swapped_the_rest_is_judged() -> None:
    plan = plan_swap(club(), MILD)
    assert plan.others.name == "all other fish"
    assert all(label.startswith(HOT) for label in plan.others.labels)
    with pytest.raises(ValueError, match="no such fish is left"):
        plan_swap(club(), HOT, group=Group(species=HOT))


def test_it_is_judged_for_the_victim_unless_that_is_swapped() -> None:
    """The mild male and females lose the same, so the first kind of them is the victim."""
    scenario = club()
    done = [(job, made_up(scenario, job.trial, arms=job.arms, luck=0.0)) for job in base_jobs(4)]
    plan = plan_swap(scenario, HOT)
    assert for_victim(plan, scenario, done).others.name == f"{MILD} male"
    assert for_victim(plan_swap(scenario, MILD), scenario, done).others.name == "all other fish"
    asked = plan_swap(scenario, HOT, group=Group(species=MILD))
    assert for_victim(asked, scenario, done) is asked


def test_only_the_tank_as_it_is_is_left_alone_too() -> None:
    plan = plan_swap(club(), HOT)
    assert {job.arms for job in base_jobs(2)} == {(AS_STOCKED, LEFT_ALONE)}
    jobs = swap_jobs(plan, 2)
    assert {job.arms for job in jobs} == {(AS_STOCKED,)}
    assert [job.trial for job in jobs] == [0] * len(plan.tried) + [1] * len(plan.tried)
