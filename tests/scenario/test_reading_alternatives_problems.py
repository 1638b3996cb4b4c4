"""Alternatives that cannot be: every mistake is reported at its own line; all that is written is answered."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from alternative_examples import BASE, START, with_, wrong
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_examples import LIBRARY, PARAMETERS, STOCK, problem, problems, read
from rockshy.sim.fish.population import individuals
from rockshy.sim.scenario.reading import LIMITS, ScenarioError, load
from rockshy.sim.scenario.reading.limits import MOST_ALTERNATIVES, MOST_CHANGES
from rockshy.sim.scenario.reading.restock import COUNTS


@pytest.mark.parametrize(
    ("body", "key", "word"),
    [
        ("colour = 1", "colour", "name, tank"),
        ("recout = []", "recout", "recount"),
        ("males = 1", "males", "recount = [{species"),
        ("cover = 0.5", "cover", "rock = {cover = ...}"),
        ("remove = 'hot grazr'", "remove.species", "hot grazer"),
        ("remove = ['hot grazr']", "remove.species", "hot grazer"),
        ("remove = ['hot grazer', 3]", "remove", "[[alternative.remove]]"),
        ("remove = 3", "remove", "[[alternative.remove]]"),
        ("remove = [{}]", "remove.species", "text"),
        ("remove = [{species = 3}]", "remove.species", "text"),
        ("remove = [{species = 'hot grazr'}]", "remove.species", "hot grazer"),
        (
            "remove = [{species = 'cave brooder'}]",
            "remove.species",
            "a species of the stock: Algaphilus mildus",
        ),
        ("remove = [{HOT, fish = 'male 4'}]", "remove.fish", "male 1 to 3, female 1 to 5"),
        ("remove = [{HOT, fish = 'mael 2'}]", "remove.fish", "male 2"),
        ("remove = [{HOT, fish = 2}]", "remove.fish", "text"),
        ("remove = [{HOT, sex = 'males'}]", "remove.sex", "male, female or unsexed"),
        ("remove = [{HOT, sex = 'unsexed'}]", "remove.sex", "male, female"),
        ("remove = [{HOT, sex = 'male', fish = 'male 1'}]", "remove.fish", "not both"),
        ("remove = [{HOT, males = 1}]", "remove.males", "species, sex or fish"),
        ("remove = [{HOT, fish = 'male 2'}, {HOT, fish = 'male 2'}]", "remove.fish", "male 1, male 3"),
        ("recount = [{HOT}]", "recount.males", "at least one of males"),
        ("recount = [{HOT, males = '2'}]", "recount.males", "whole number"),
        ("recount = [{HOT, males = -1}]", "recount.males", "from 0 to 120"),
        ("recount = [{HOT, male = 1}]", "recount", "males"),
        ("recount = [{HOT, holding = 6}]", "recount.holding", "number of females, 5"),
        ("replace = [{HOT}]", "replace.by", "text"),
        ("replace = [{HOT, by = 'cave broder'}]", "replace.by", "cave brooder"),
        ("replace = [{HOT, by = 'hot grazer'}]", "replace.by", "another species"),
        ("replace = [{HOT, by = 'cave brooder', length = 40}]", "replace.length", "1.5 times"),
        (
            "replace = [{species = 'mildus', by = 'hot grazer'}, {HOT, by = 'mildus'}]",
            "replace.species",
            "recount both",
        ),
        ("when = [{HOT}]", "when.day", "never"),
        ("when = [{HOT, day = 731}]", "when.day", "730"),
        ("when = [{HOT, out = 'nevr'}]", "when.out", "a number"),
        ("when = [{HOT, out = 1}]", "when.out", "after the day in"),
        ("add = [{HOT}]", "add.males", "above 0"),
        ("add = [{species = 'nobody', males = 1}]", "add.species", "library"),
        ("add = [{HOT, males = 1, length = 40}]", "add.length", "1.5 times"),
        ("add = [{species = 'cave brooder', females = 1, holding = 1}]", "add.holding", "mouth"),
        ("tank = 3", "tank", "[alternative.tank]"),
        ("tank = {length = '50 m'}", "tank.length", "400 cm"),
        ("tank = {lenght = 90}", "tank.lenght", "length"),
        ("tank = {height = 30}", "rock.height", "the tank's height"),
        ("tank = {volume = '500 L'}", "tank.volume", "15 % below"),
        ("tank = {cell = 3, length = 400, front_to_back = 150}", "tank.cell", "at most 25000"),
        ("rock = {cover = 60}", "rock.cover", "60 %"),
        ("rock = {height = 60}", "rock.height", "the tank's height"),
        ("rock = {cover = 1, height = 50}", "rock", "at least 10 %"),
        ("rock = {cover = 0.3, sketch = ['1']}", "rock.cover", "not both"),
        ("rock = {sketch = ['1a']}", "rock.sketch", "digits"),
        ("rock = {crevice = [{from_left = 300}]}", "rock.crevice", "the tank's length"),
        ("run = {trials = 8}", "run.trials", "the same simulated tanks"),
        ("run = {seed = 8}", "run.seed", "the same simulated tanks"),
        ("run = {guesses = 8}", "run.guesses", "the same simulated tanks"),
        ("run = {fixed = true}", "run.fixed", "the same simulated tanks"),
        ("run = {settle = 2}", "run.settle", "lit hour"),
        ("run = {watch = 'cave brooder'}", "run.watch", "a species of the stock"),
        ("remove = [{species = 'mildus'}]", "", 'run = {watch = "its name"}'),
        ("remove = [{species = 'mildus'}, {HOT}]", "", "leave at least one"),
        ("recount = [{species = 'mildus', females = 120}]", "", "at most 120"),
        ("when = [{species = 'mildus', out = 1}, {HOT, out = 2.5}]", "", "stays longer"),
    ],
)
def test_every_kind_of_mistake(body: str, key: str, word: str) -> None:
    found = problems(with_(body.replace("HOT", "species = 'hot grazer'")))
    expected = f"alternative.{key}".rstrip(".")
    assert any(word in one.allowed + one.nearest for one in found if one.key.startswith(expected))
    assert all(one.line is not None and one.line >= START for one in found)


def test_a_fish_longer_than_the_alternatives_tank() -> None:
    own = '[species.Giant]\nlike = "hot grazer"\nlength_max_male_cm = 40\n'
    own += '[[stock]]\nspecies = "Giant"\nmales = 1\n'
    found = wrong("tank = {length = 36}\nrock = {cover = 0}", base=BASE + own)
    assert (found.line, found.key) == ((BASE + own).count("\n") + 1, "alternative")
    assert "Giant can grow to 40 cm" in found.found


def test_a_replaced_fish_does_not_hold_what_it_cannot() -> None:
    found = wrong(
        "recount = [{species = 'cave brooder', holding = 1}]",
        base=BASE + STOCK.replace("mild grazer", "cave brooder"),
    )
    assert "does not hold eggs" in found.allowed


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("", "1 to 80"),
        ("   ", "1 to 80"),
        ("x" * 81, "1 to 80"),
        ("Other", f"line {START + 1} has this one"),
    ],
)
def test_names_are_short_and_unique(name: str, word: str) -> None:
    text = f"{with_('')}[[alternative]]\nname = {json.dumps(name)}\n"
    found = problem(text)
    assert (found.line, found.key) == (START + 3 + 1, "alternative.name")
    assert word in found.allowed


def test_a_name_is_text_whatever_it_holds() -> None:
    unseen = f"{BASE}[[alternative]]\nname = {json.dumps(chr(0x200B) + 'a')}\n"
    assert read(unseen).alternatives[0].name.isprintable()
    name = "<b>$x$</b> {0} %s"
    assert read(f"{BASE}[[alternative]]\nname = '{name}'\n").alternatives[0].name == name
    assert problem(f"{BASE}[[alternative]]\n").key == "alternative.name"
    assert problem(f"{BASE}[alternative]\nname = 'x'\n").nearest == "[[alternative]]"


def test_no_more_than_can_be_meant() -> None:
    rows = [f"[[alternative]]\nname = 'n{k}'\n" for k in range(MOST_ALTERNATIVES + 1)]
    assert len(read(BASE + "".join(rows[:-1])).alternatives) == MOST_ALTERNATIVES
    assert problem(BASE + "".join(rows)).allowed == f"at most {MOST_ALTERNATIVES}"
    many = ", ".join(["{species = 'mildus', males = 1}"] * (MOST_CHANGES + 1))
    assert wrong(f"recount = [{many}]").key == "alternative.recount"


def test_problems_of_base_and_alternatives_come_together() -> None:
    bad = BASE.replace('cover = "40 %"', "cover = 3").replace("hot grazer", "hot grazr")
    text = with_("rock = {height = 60}\nremove = [{species = 'hot grazer'}, {species = 'nobody'}]", base=bad)
    text += "[[alternative]]\nname = 'two'\nrun = {seed = 1}\ntank = {height = 30, cell = 99}\n"
    found = [(one.line, one.key) for one in problems(text)]
    cover = bad[: bad.index("cover")].count("\n") + 1
    row = bad[: bad.index("hot grazr")].count("\n") + 1
    assert found == [
        (cover, "rock.cover"),
        (row, "stock.species"),
        (START + 2, "alternative.rock.height"),
        (START + 3, "alternative.remove.species"),
        (START + 6, "alternative.run.seed"),
        (START + 7, "alternative.tank.cell"),
    ]


def test_a_base_that_is_wrong_is_not_reported_again() -> None:
    bad = BASE.replace("height = 35", "height = 80")
    for body in (
        "tank = {length = 90}",
        "rock = {piles = 2}",
        "run = {days = 3}",
        'remove = {species = "mildus"}',
    ):
        assert problem(with_(body, base=bad)).key == "rock.height"


def test_a_file_from_the_disk(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(with_("rock = {piles = 2}"), encoding="utf-8")
    assert load(path, library=LIBRARY, parameters=PARAMETERS).alternatives[0].scenario.rock.piles == 2


# ---- whatever is written

NAMES = ["mild grazer", "hot grazer", "cave brooder", "Algaphilus mildus", "calidus", "never", "male", ""]
VALUES = st.one_of(
    st.sampled_from([*NAMES, "male 1", "female 3", "male 9", "60 %", "40 cm", "6 ft", "200 L", "2-3 in"]),
    st.integers(-2, 130),
    st.floats(allow_nan=False, allow_infinity=False, width=16),
    st.booleans(),
)
FIELDS = ["species", "sex", "fish", *COUNTS, "length", "day", "out", "by", "x"]
ENTRIES = st.dictionaries(st.sampled_from(FIELDS), VALUES, max_size=4)
KEYS = {
    name: [key.split(".")[1] for key in LIMITS if key.startswith(f"{name}.")] + ["sketch", "watch"]
    for name in ("tank", "rock", "run")
}
TABLES = {name: st.dictionaries(st.sampled_from(keys), VALUES, max_size=3) for name, keys in KEYS.items()}
CHANGES = {key: st.lists(ENTRIES, max_size=2) for key in ("remove", "recount", "replace", "when", "add")}
ALTERNATIVES = st.fixed_dictionaries(
    {"name": st.sampled_from(["a", "b", "A", "c", ""])}, optional={**CHANGES, **TABLES}
)


def written(value: object) -> str:
    """A value as TOML in one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {written(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    return json.dumps(value)


@settings(max_examples=150, deadline=None)
@given(st.lists(ALTERNATIVES, min_size=1, max_size=3))
def test_whatever_is_written_is_read_or_answered(many: list[dict[str, object]]) -> None:
    blocks = [
        "[[alternative]]\n" + "".join(f"{key} = {written(value)}\n" for key, value in one.items())
        for one in many
    ]
    text = BASE + "".join(blocks)
    tomllib.loads(text)
    try:
        scenario = read(text)
    except ScenarioError as error:
        assert all(one.line is not None and one.line >= START for one in error.problems)
        assert all(one.key.startswith("alternative") and one.allowed for one in error.problems)
        return
    assert len(scenario.alternatives) == len(many)
    for one in scenario.alternatives:
        made = one.scenario
        assert made.run.watch in (None, *made.species)
        assert list(made.species) == list(dict.fromkeys(row.species for row in made.stock))
        assert 0 < len(individuals(made.stock)) <= 120
        assert (made.run.seed, made.run.trials) == (scenario.run.seed, scenario.run.trials)
        assert made.last_change_day + made.run.settle_days < made.last_change_day + made.run.days
