"""Alternatives in a scenario file: what each makes of the base, and how its changes are said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from alternative_examples import BASE, CAVE, HOT, MILD, ROCK, WATCH, alternative, counts, other, with_
from reading_examples import FULL, STOCK, TANK, read
from rockshy import scenarios
from rockshy.analysis.commands.new import TEMPLATE
from rockshy.analysis.document import as_text
from rockshy.analysis.questions.check.drawn import draw_few
from rockshy.analysis.questions.check.understood import understood
from rockshy.sim.fish.population import individuals
from rockshy.sim.run.trials import run_trial
from rockshy.sim.scenario.reading import parse
from rockshy.sim.scenario.scenario import Alternative, RockSpec


def test_an_alternative_without_changes_is_the_base() -> None:
    scenario = read(with_(""))
    (same,) = scenario.alternatives
    assert same == Alternative("other", (), replace(scenario, alternatives=()))
    assert same.scenario.text == with_("")


def test_changes_of_the_stock_in_one_line_or_as_tables() -> None:
    inline = """
recount = [{species = "Hot Grazer", males = 1}]
remove = [{species = "mild grazer", fish = "female 2"}]
add = [{species = "cave brooder", females = 2, day = 3, length = "3 in"}]
"""
    tables = """
[[alternative.recount]]
species = "calidus"
males = 1
[[alternative.remove]]
species = "A. mildus"
fish = "Algaphilus mildus FEMALE 2"
[[alternative.add]]
species = "Cavicola calidus"
females = 2
day = 3
length = "3 in"
"""
    one = alternative(inline)
    assert one == replace(
        alternative(tables), scenario=replace(alternative(tables).scenario, text=with_(inline))
    )
    assert counts(one.scenario) == [(MILD, 1, 3, 0), (HOT, 1, 5, 0), (CAVE, 0, 2, 0)]
    assert one.scenario.stock[0].left_out == ("female 2",)
    assert list(one.scenario.species) == [MILD, HOT, CAVE]
    assert one.changes == (
        "without Algaphilus mildus female 2",
        "Algaphilus calidus: 1 male instead of 3",
        "Cavicola calidus: 2 females added, in on day 3, 7.6 cm (3 in) long",
    )


def test_a_single_change_needs_no_list() -> None:
    assert counts(other('remove = {species = "hot grazer", sex = "female"}')) == [
        (MILD, 1, 3, 0),
        (HOT, 3, 0, 0),
    ]


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("remove = [{HOT}]", "without CALIDUS (3 males, 5 females)"),
        ('remove = ["hot grazer"]', "without CALIDUS (3 males, 5 females)"),
        ('remove = "hot grazer"', "without CALIDUS (3 males, 5 females)"),
        (
            'remove = [{HOT, sex = "male"}]',
            "without the males of CALIDUS (3 males)",
        ),
        (
            "recount = [{HOT, males = 3, females = 6, holding = 2}]",
            "CALIDUS: 3 males as before, 6 females instead of 5, 2 holding instead of none",
        ),
        ("recount = [{HOT, males = 0}]", "CALIDUS: no males instead of 3"),
        (
            'replace = [{HOT, sex = "male", by = "cave brooder", length = [6, 7]}]',
            "Cavicola calidus instead of the males of CALIDUS: 3 males, 6 cm (2.4 in) to 7 cm (2.8 in) long",
        ),
        (
            "when = [{HOT, day = 0}]",
            "CALIDUS: in on day 0 instead of day 2",
        ),
        (
            'when = [{HOT, fish = "male 3", out = 4}]',
            "CALIDUS male 3: taken out on day 4 instead of never",
        ),
        ('rock = {cover = "60 %"}', "rock: cover 60 % instead of 40 %"),
        ("rock = {piles = 3}", "rock: piles 3 instead of 1"),
        ('rock = {height = "16 in"}', "rock: height 41 cm (16 in) instead of 35 cm (14 in)"),
        (
            'rock = {sketch = ["12", "10"]}',
            "rock: a sketch of 2 rows instead of 40 % cover, 35 cm (14 in) high, in 1 pile",
        ),
        ('tank = {length = "60 in"}', "tank: length 152 cm (60 in) instead of 122 cm (48 in)"),
        ('tank = {temperature = "78 F"}', "tank: temperature 25.6 C (78 F) instead of 26 C (79 F)"),
        ("tank = {temperature_effect = true}", "tank: temperature effect on instead of off"),
        ("run = {lit_hours = 12}", "run: lit hours a day 12 instead of 10"),
        ('run = {watch = "hot grazer"}', "watched: CALIDUS instead of Algaphilus mildus"),
    ],
)
def test_each_change_is_said_in_plain_words(body: str, said: str) -> None:
    body = body.replace("HOT", 'species = "hot grazer"')
    assert said.replace("CALIDUS", HOT) in alternative(body).changes


def test_rock_of_the_other_kind_takes_the_place_of_the_bases() -> None:
    hole = "[[rock.crevice]]\nfrom_left = 9\nfrom_front = 9\nmouth = 5\ndepth = 9\n"
    wood = hole.replace("crevice", "object").replace("mouth = 5\ndepth", "kind = 'wood'\nlength")
    wood += "front_to_back = 9\nheight = 9\n"
    sketched = TANK + '[rock]\nsketch = ["1100"]\nsketch_step = 6\npiece_size = 9\n' + hole + wood + STOCK
    drawn = other('rock = {cover = "50 %", height = 30}', base=sketched).rock
    assert drawn == RockSpec(cover=0.5, height_cm=30, piece_cm=9, objects=drawn.objects)
    assert len(drawn.objects) == 1
    again = alternative('rock = {sketch = ["2200"]}', base=sketched)
    assert (again.scenario.rock.sketch, again.scenario.rock.sketch_step_cm) == (("2200",), 6)
    assert again.scenario.rock.crevices == read(sketched).rock.crevices
    assert again.changes == ("rock: another sketch", "rock: crevices 1 listed as before")
    heaps = TANK + ROCK + "piles = 4\n" + hole + STOCK
    assert other('rock = {sketch = ["2200"]}', base=heaps).rock == RockSpec(sketch=("2200",))
    assert other('rock = {cover = "50 %"}', base=heaps).rock.piles == 4


def test_a_bases_volume_and_water_level_follow_the_sides() -> None:
    full = other('tank = {length = "6 ft", height = "60 cm"}', base=FULL).tank
    assert (full.length_cm, full.height_cm) == pytest.approx((182.88, 60))
    assert full.height_cm - full.water_cm == pytest.approx(50.5 - 45.72)
    assert other('tank = {height = "60 cm"}').tank.water_cm == 57.0
    assert other('tank = {height = "60 cm", water_level = 40}').tank.water_cm == 40.0


def test_the_run_takes_its_usual_settling_from_the_days_it_has() -> None:
    assert other("run = {days = 1}").run.settle_days == 0.5
    assert other("run = {days = 4}", base=BASE + "settle = 0.2\ntrials = 8\n").run.settle_days == 0.2


def test_the_species_watched_stays_the_bases() -> None:
    named = BASE.replace(WATCH, '[run]\nwatch = "hot grazer"\n')
    assert other("", base=named).run.watch == HOT
    assert other('run = {watch = "mildus"}', base=named).run.watch == MILD
    calm = '[species.Milder]\nlike = "mild grazer"\ntemper = 0.1\n'
    added = other('add = [{species = "Milder", males = 1}]', base=BASE.replace(WATCH, calm))
    assert added.run.watch == HOT  # the first of two as mild as each other, though another is milder now
    assert other("", base=BASE.replace(WATCH, "")).run.watch is None


def test_days_measured_stay_unless_days_are_the_change() -> None:
    fewer = alternative('remove = [{species = "hot grazer"}]')
    assert (fewer.scenario.run.days, fewer.scenario.run.settle_days) == (4, 3)
    assert fewer.changes[-1] == "measured on the same days as before"
    together = other('when = [{species = "hot grazer", day = 0}]')
    assert (together.run.days, together.run.settle_days) == (2, 1)
    later = other('when = [{species = "mild grazer", sex = "female", day = 5, out = "never"}]')
    assert [row.day for row in later.stock] == [0, 5, 2]


def test_alternatives_of_a_stock_list() -> None:
    text = (
        TANK
        + 'stock_list = "stock.csv"\n[[alternative]]\nname = "x"\nrecount = {species = "mildus", males = 2}\n'
    )
    text = 'stock_list = "stock.csv"\n' + text.replace('stock_list = "stock.csv"\n', "")
    scenario = read(text, stock_list_text="species,males,females\nmild grazer,1,3\n")
    (one,) = scenario.alternatives
    assert counts(one.scenario) == [(MILD, 2, 3, 0)]
    assert one.scenario.stock_list_text == scenario.stock_list_text != ""


def test_nobody_else_is_renumbered_in_any_alternative() -> None:
    for name in scenarios.names():
        base = scenarios.read(name)
        before = {one.label: one.row.length_cm for one in individuals(base.stock)}
        for one in base.alternatives:
            after = {fish.label: fish.row.length_cm for fish in individuals(one.scenario.stock)}
            assert set(after) & set(before)
            assert one.scenario.run.seed == base.run.seed
            assert one.scenario.text == base.text


def test_an_alternative_that_changes_nothing_runs_exactly_as_the_base() -> None:
    run = "[run]\ndays = 0.2\nsettle = 0\nlit_hours = 5\ntrials = 2\nseed = 4\n"
    stock = '[[stock]]\nspecies = "Tropheus moorii"\nmales = 2\nfemales = 1\n'
    same = (
        'recount = [{species = "Tropheus moorii", males = 2}]\ntank = {length = "4 ft"}\nrock = {piles = 1}\n'
    )
    base = parse(with_(same, base=TANK + ROCK + stock + run), name="x")
    (one,) = base.alternatives
    for left, right in zip(run_trial(base, 1), run_trial(one.scenario, 1), strict=True):
        assert (left.name, left.draw) == (right.name, right.draw)
        assert [fish.label for fish in left.people] == [fish.label for fish in right.people]
        for key, value in left.columns.items():
            assert np.array_equal(value, right.columns[key]), key


def test_check_says_them_and_run_leaves_them_alone() -> None:
    base = scenarios.read("which-change")
    said = " ".join(as_text(understood(base, draw_few(base, tanks=1))).split())
    assert "4 alternatives to this tank" in said
    for one in base.alternatives:
        assert f'"{one.name}"' in said
        assert all(change in said for change in one.changes)
    plain = replace(base, alternatives=())
    assert "alternative" not in as_text(understood(plain, draw_few(plain, tanks=1)))


def test_the_template_shows_one_that_can_be_used() -> None:
    head, block = TEMPLATE.split("#[[alternative]]")
    used = head + "\n".join(line.removeprefix("#") for line in f"[[alternative]]{block}".split("\n"))
    (one,) = parse(used, name="my-tank.toml").alternatives
    assert len(one.changes) == 2
    assert parse(TEMPLATE, name="my-tank.toml").alternatives == ()
