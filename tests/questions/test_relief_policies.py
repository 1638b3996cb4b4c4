"""What a keeper does over weeks: which deeds are tried, that they run as in compare, and what they take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from command_line import four_fish
from fake_relief import HOT, MILD, World, base, nothing_helps
from rockshy.analysis.measures.registry import LOST
from rockshy.analysis.measures.row import BOTH
from rockshy.analysis.measures.whom import asked_for
from rockshy.analysis.questions.compare.answer import answer_of as compared
from rockshy.analysis.questions.life.instead import lived_of
from rockshy.analysis.questions.relief.answer import ITSELF, Relief, Tried, answer_of
from rockshy.analysis.questions.relief.change import Change
from rockshy.analysis.questions.relief.changes import ordinary_changes
from rockshy.analysis.questions.relief.costs import Cost, cost_words
from rockshy.analysis.questions.relief.design import plan_of
from rockshy.analysis.questions.relief.policies import latest_arrivals
from rockshy.analysis.questions.relief.words import sentences
from rockshy.analysis.study.runner import Runner
from rockshy.sim.fish.population import Individual
from rockshy.sim.run.trials import Job, Outcome, each_job, table_of
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Alternative, Scenario
from rockshy.sim.scenario.timeline import WhenSeen

YOUNG = "males = 1\nfemales = 3"
SPAWNING = "[[event]]\nday = 1\nspawning = true\n[run]"
PINNED_OUT = "any fish that is pinned 2 looks in a row out for 1 week and back"


def over_weeks(scenario: Scenario, months: int | None) -> tuple[dict[str, Change], dict[str, str]]:
    changes, left_out = ordinary_changes(scenario, whom=asked_for(scenario, "duboisi"), months=months)
    return {one.name: one for one in changes}, {one.name: one.reason for one in left_out}


def test_deeds_of_weeks_are_tried_in_lives_alone() -> None:
    young = base(YOUNG, "males = 1\nfemales = 2\nunsexed = 2")
    young = parse(young.text.replace("[run]", SPAWNING), name="young.toml")
    days, months = over_weeks(young, None), over_weeks(young, 6)
    assert [one for one in months[0] if one not in days[0]] == [
        "when one of them keeps less than 50 % 2 looks in a row, its chief chaser out for 1 week",
        "when one of them keeps less than 50 % 2 looks in a row, its chief chaser out for 2 weeks",
        PINNED_OUT,
        "young males beyond one of a kind out for good as they show",
        "a holding female apart for 3 weeks and back",
        "a clear divider between them and all others for 2 weeks, from day 0 on",
        f"{MILD} in 4 weeks before all others",
    ]
    assert months[1] == days[1]
    grown = over_weeks(base(), 1)[1]
    assert "no fish of unknown sex" in grown["extra males out as they show"]
    assert "spawning = true" in grown["a holding female apart"]
    assert "needs 3 months" in grown[f"{MILD} in first by weeks"]


def test_weeks_count_once_the_last_fish_is_in_whatever_is_tried() -> None:
    assert lived_of([base()], 6, tried=latest_arrivals).since == 28.0
    assert lived_of([base()], 2, tried=latest_arrivals).since == 0.0


def test_a_rule_that_the_file_has_already_is_not_tried_against_it() -> None:
    rule = f'[[event]]\nwhen = "pinned"\nfish = "{MILD}"\nout = "it"\n[run]'
    scenario = parse(base().text.replace("[run]", rule), name="ruled.toml")
    assert 'two rules of when = "pinned"' in over_weeks(scenario, 6)[1]["a pinned fish out and back"]


@pytest.mark.thorough
def test_the_figures_are_those_of_compare_on_the_same_lives() -> None:
    tiny = parse(four_fish(title="Tiny", days=2, lit_hours=1, trials=16, seed=5), name="tiny.toml")
    plan, lived = replace(plan_of(tiny), months=1), lived_of([tiny], 1, tried=latest_arrivals)
    found = answer_of(plan, Runner(None, None, None, lived.work))
    policies = [one for one in found.tried if one.change.cost.by_rule or one.change.cost.divider]
    names = [one for one in policies if one.verdict != ITSELF]
    assert len(policies) == 4 and len(names) == 3
    for tried in names:
        assert tried.change.scenario is not None
        base = replace(tiny, alternatives=(Alternative("rule", (), tried.change.scenario),))
        scenarios = [base, tried.change.scenario]
        trials = found.plan.fresh if tried.confirmed else range(tried.trials)
        jobs = [Job(which, trial, BOTH) for trial in trials for which in (0, 1)]
        done = {(job.which, job.trial): both for job, both in each_job(scenarios, jobs, work=lived.work)}
        as_it_is = [done[0, trial] for trial in trials]
        ruled = [(done[1, trial][0], done[0, trial][1]) for trial in trials]  # by the yardstick of relief
        tables = [table_of(one, those) for one, those in zip(scenarios, (as_it_is, ruled), strict=True)]
        told = compared(base, tables, group=found.whom, months=1).against[0].chosen.figures[LOST].difference
        assert told.value == pytest.approx(tried.figures[LOST].difference.value, abs=1e-12)


# ---- what a rule takes


def emptied(times: int, *, label: str = HOT) -> partial[Iterator[tuple[Job, tuple[Outcome, ...]]]]:
    """A world in which every rule takes some fish out for good, and that helps the mild ones a lot."""

    def loss(scenario: Scenario, fish: Individual, trial: int) -> float:
        helps = 0.3 if scenario.timeline.of(WhenSeen) and fish.species == MILD else 0.0
        return nothing_helps(scenario, fish, trial) - helps

    return partial(_by_rules, World(loss=loss), times, label)


def _by_rules(
    world: World, times: int, label: str, scenarios: Sequence[Scenario], jobs: Sequence[Job]
) -> Iterator[tuple[Job, tuple[Outcome, ...]]]:
    for job, outcomes in world(scenarios, jobs):
        if not scenarios[job.which].timeline.of(WhenSeen):
            yield job, outcomes
            continue
        netted = np.zeros((len(outcomes[0].people), 2), np.int64)
        who = [k for k, one in enumerate(outcomes[0].people) if one.label.startswith(label)][:times]
        netted[who, 0] = 1
        columns = [dict(one.columns) for one in outcomes]
        for own in columns:
            own["netted"] = netted
            own["lit_s"] = np.where(netted[:, 0] > 0, 0.3 * own["lit_s"], own["lit_s"])
        yield job, tuple(replace(one, columns=own) for one, own in zip(outcomes, columns, strict=True))


def rule_of(found: Relief) -> Tried:
    return next(one for one in found.tried if one.change.name == PINNED_OUT)


def test_what_a_rule_takes_is_counted_and_said() -> None:
    plan = replace(plan_of(base()), months=6)
    found = answer_of(plan, emptied(1))
    rule = rule_of(found)
    cost = rule.change.cost
    assert rule.gain < 0 and cost.netted == (1.0, 0.0) and rule.out_at_the_end == 1.0
    said = "the net 1.0 times a simulated tank on average; 1.0 out at the end, to house elsewhere"
    assert said in cost_words(cost)
    assert cost_words(Cost(by_rule=True)).startswith("nothing: in no simulated tank was it called for")


def test_a_rule_that_takes_nearly_all_of_them_out_is_never_first() -> None:
    many = base("males = 2\nfemales = 2", "males = 3\nfemales = 4")
    found = answer_of(replace(plan_of(many), months=6), emptied(7))
    rule = rule_of(found)
    milder = [one for one in found.tried if 2 * one.out_at_the_end <= 11]
    assert rule.out_at_the_end == 7.0
    assert found.tried.index(rule) > max(found.tried.index(one) for one in milder)


def test_a_rule_that_keeps_them_out_of_the_tank_is_told_to_take_the_fish_itself_out() -> None:
    found = answer_of(replace(plan_of(base()), months=6), emptied(4, label=MILD))
    rule = rule_of(found)
    assert rule.verdict == ITSELF and rule.away == pytest.approx(0.7)
    assert "out of the tank for 70 % of the time" in " ".join(sentences(rule))
