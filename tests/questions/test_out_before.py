"""Fish in and out on dated days: who is out before measuring begins is said, the rest is answered."""

from __future__ import annotations

import json
import random
import re
from dataclasses import replace
from functools import cache

import pytest
from command_line import Patch
from fake_trials import HOT, MILD
from rockshy.analysis.asking.errors import RefusedError
from rockshy.analysis.asking.fish import group_of, whom_of
from rockshy.analysis.document import as_text
from rockshy.analysis.measures.rates import Group
from rockshy.analysis.measures.victim import victim_in
from rockshy.analysis.measures.whom import kinds_of
from rockshy.analysis.questions.answer.answer import answer, run_json, words
from rockshy.analysis.questions.answer.brief import first_lines
from rockshy.analysis.questions.answer.telling import telling_trials
from rockshy.analysis.questions.compare.answer import answer_of
from rockshy.analysis.questions.compare.design import ARMS, equally, run_side_by_side
from rockshy.analysis.questions.compare.words import document_of
from rockshy.analysis.questions.rock.design import check_counts
from rockshy.analysis.report.making import report_of
from rockshy.analysis.talk.facts import best_of
from rockshy.sim import parse
from rockshy.sim.fish.population import individuals, measured_individuals
from rockshy.sim.run.model import TankModel
from rockshy.sim.run.set_ups import watched
from rockshy.sim.run.table import AS_STOCKED
from rockshy.sim.run.trials import run_trials
from rockshy.sim.scenario.scenario import Scenario

THIRD = "Simochromis diagramma"
KINDS = (MILD, HOT, THIRD, "Tropheus moorii")
NAN = re.compile(r"\bnan\b", re.IGNORECASE)
RUN = "[run]\ndays = 0.5\nsettle = 0.25\nlit_hours = 4\ntrials = 2\nguesses = 2\n"


def scenario_of(*rows: str, run: str = RUN, more: str = "") -> Scenario:
    stock = "".join(f"[[stock]]\n{row}\n" for row in rows)
    tank = '[tank]\nlength = "60 cm"\nfront_to_back = "30 cm"\nheight = "30 cm"\n'
    rock = '[rock]\ncover = 0.3\nheight = "15 cm"\n'
    return parse(f'title = "A club tank"\n{tank}{rock}{stock}{run}{more}', name="club.toml")


def row(species: str, **fields: float) -> str:
    return "\n".join([f'species = "{species}"', *(f"{key} = {value}" for key, value in fields.items())])


BULLY_OUT = (row(HOT, males=1, out=0.1), row(MILD, males=1, females=1), row(THIRD, males=1, day=0.2))
MILD_OUT = (row(HOT, males=1), row(MILD, males=1, females=2, out=0.1), row(THIRD, males=1, day=0.2))


def random_stock(seed: int) -> list[str]:
    """Rows with days in and out; the first stays, so that somebody is measured."""
    draw = random.Random(seed)
    rows = [row(draw.choice(KINDS), males=1, day=draw.choice([0, 0.1]))]
    for _ in range(draw.randint(1, 3)):
        day = draw.choice([0, 0, 0.1, 0.3])
        counts = {"males": draw.randint(0, 1), "females": draw.randint(0, 2), "unsexed": draw.randint(0, 1)}
        counts["females"] += not sum(counts.values())
        out = {"out": day + draw.choice([0.05, 0.2, 0.25, 0.4, 0.6])} if draw.random() < 0.7 else {}
        rows.append(row(draw.choice(KINDS), day=day, **counts, **out))
    return rows


@pytest.mark.parametrize("seed", range(6))
def test_any_dated_stock_is_answered(seed: int) -> None:
    scenario = scenario_of(*random_stock(seed))
    trials = run_trials(scenario)
    found = answer(trials, alike=kinds_of(scenario))
    said = "\n".join([as_text(words(found)), *first_lines(found, scenario)])
    assert not NAN.search(said)
    assert not re.search(r"guessesleft|[a-z]own kind", said)
    json.dumps(run_json(found, question=""), allow_nan=False)
    assert set(telling_trials(trials)) <= {0, 1}
    there = {one.label for one in measured_individuals(scenario)}
    assert {one.label for one in found.fish} == there
    assert sorted(label for one in found.alike for label in one.labels) == sorted(there)
    assert {one.species for one in found.species} == {one.species for one in found.fish}
    assert found.species[0].species == found.watch
    assert sum(out for out, _ in found.gone.values()) == len(individuals(scenario.stock)) - len(there)
    for text in (as_text(words(found)), " ".join(first_lines(found, scenario))):
        assert ("Out before measuring begins" in text) == bool(found.gone)


@pytest.mark.parametrize("out", [0.4499, 0.45, 0.45003, 0.4501])
def test_who_is_measured_is_who_the_model_measures(out: float) -> None:
    """Measuring begins on day 0.45; a fish that leaves within that second is out."""
    scenario = scenario_of(row(MILD, males=1, day=0.2), row(HOT, males=1, out=out))
    with TankModel(scenario, arm=AS_STOCKED) as model:
        lit = model.run().hours.lit.sum(axis=1)
        there = {one.label for one, ticks in zip(model.people, lit, strict=True) if ticks}
    assert {one.label for one in measured_individuals(scenario)} == there


def test_the_bully_out_is_said_and_the_rest_is_answered() -> None:
    found = answer(run_trials(scenario_of(*BULLY_OUT)))
    assert found.gone == {HOT: (1, 1)}
    assert f"Out before measuring begins: {HOT} (its only fish)." in " ".join(as_text(words(found)).split())
    assert [one.species for one in found.species] == [found.watch, *{MILD, THIRD} - {found.watch}]


def test_the_mildest_is_one_that_is_there_and_it_is_said() -> None:
    gone = scenario_of(*MILD_OUT, run=f'{RUN}watch = "{MILD}"\n')
    species, why = watched(gone)
    assert species != MILD
    named = f"{MILD}, named in the scenario, is out before measuring begins"
    assert why == f"the mildest of those that stay; {named}"
    unnamed = replace(gone, run=replace(gone.run, watch=None))
    assert watched(unnamed)[0] == species and "those that stay" in watched(unnamed)[1]
    stays = scenario_of(row(HOT, males=1), row(MILD, males=1), row(THIRD, males=1, out=2))
    assert "of the stock" in watched(stays)[1]
    assert group_of(gone, None) is None


def test_every_question_looks_at_one_that_is_there() -> None:
    gone = scenario_of(*MILD_OUT, run=f'{RUN}watch = "{MILD}"\n')
    whom = victim_in(run_trials(gone), kinds_of(gone))
    assert whom.species != MILD
    check_counts(gone, whom.species)
    with pytest.raises(RefusedError, match="out before day 0.45, when measuring begins"):
        whom_of(gone, MILD)


ALTERNATIVE = f'[[alternative]]\nname = "mild out"\nwhen = [{{species = "{MILD}", out = 0.05}}]\n'


@cache
def compared() -> tuple[Scenario, list]:
    scenario = scenario_of(
        row(HOT, males=1), row(MILD, males=1, females=1), run=f'{RUN}watch = "{MILD}"\n', more=ALTERNATIVE
    )
    scenarios = [scenario, scenario.alternatives[0].scenario]
    return scenario, run_side_by_side(scenarios, plan=equally(2, scenarios=2), arms=ARMS)


def test_an_alternative_that_takes_the_watched_species_out_says_so() -> None:
    scenario, tables = compared()
    for group in (Group(species=MILD), Group(species=HOT)):
        found = answer_of(scenario, tables, group=group)
        said = as_text(document_of(found))
        assert not NAN.search(said)
        mark = "as you asked" if group.species == MILD else "mild species"
        assert f"{MILD} ({mark}): not in this tank" in said
        assert "to say which is best" not in said or group.species == HOT
    mild = answer_of(scenario, tables, group=Group(species=MILD))
    assert f"{MILD} is not in mild out: there is nothing to compare." in " ".join(
        as_text(document_of(mild)).split()
    )
    assert best_of(mild) is None


def test_a_report_of_an_alternative_without_the_mild_ones(monkeypatch: Patch) -> None:
    monkeypatch.setattr("rockshy.analysis.report.making._pictures", lambda *_: [])  # of the base alone
    scenario, tables = compared()
    text = re.sub(r"<[^>]*>", " ", report_of(scenario, tables, command="rockshy report", with_film=False))
    assert "not in this tank" in text and not NAN.search(text)


def test_one_fish_alone_is_no_worst_off_fish() -> None:
    scenario = scenario_of(row(MILD, females=1), row(HOT, males=1, out=0.01))
    found = answer(run_trials(scenario))
    said = "\n".join([as_text(words(found)), *first_lines(found, scenario)])
    assert f"The only fish: {MILD} female 1" in said
    assert "worst-off fish belonged" not in said and "Worst" not in said
    assert re.search(r"guesses +own kind +left alone", said)


def test_columns_of_one_control_stand_apart_and_too_few_guesses_are_named() -> None:
    scenario = scenario_of(row(MILD, males=1, females=1))
    said = as_text(words(answer(run_trials(scenario))))
    assert re.search(r"as stocked +95 % +guesses +left alone", said)
    assert "Too few guesses (2) for the 95 % to say much" in said
    fixed = replace(scenario, run=replace(scenario.run, fixed=True, trials=4))
    assert "Too few" not in as_text(words(answer(run_trials(fixed))))
