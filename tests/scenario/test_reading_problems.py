"""Every problem of a scenario is reported with its line, key, what was found and what is allowed."""

from __future__ import annotations

import pytest
from reading_examples import FULL, STOCK, TANK, problem, problems, read
from rockshy.sim.scenario.reading import ScenarioError


@pytest.mark.parametrize(
    ("line", "key", "word"),
    [
        ("length = nan", "tank.length", "a length"),
        ("length = inf", "tank.length", "a length"),
        ("length = true", "tank.length", "a length"),
        ('length = "1 mm"', "tank.length", "30 cm (12 in) to 400 cm (157 in)"),
        ('length = "50 m"', "tank.length", "30 cm (12 in) to 400 cm (157 in)"),
        ("length = [120]", "tank.length", "a length"),
        ("length = 2024-01-01", "tank.length", "a length"),
        (f"length = 0x{'f' * 5000}", "tank.length", "a length"),
        ('length = "1,200 mm"', "tank.length", "thousands"),
    ],
)
def test_bad_tank_length(line: str, key: str, word: str) -> None:
    found = problem(TANK.replace('length = "4 ft"', line) + STOCK)
    assert (found.line, found.key) == (2, key)
    assert word in found.allowed


def line_of(text: str, part: str, *, after: str) -> int:
    return text[: text.index(part, text.index(after))].count("\n") + 2


@pytest.mark.parametrize(
    ("extra", "key", "word"),
    [
        ("water_level = '60 cm'", "tank.water_level", "the tank's height"),
        ('temperature = "300 F"', "tank.temperature", "34 C"),
        ('volume = "200 US gal"', "tank.volume", "15 % below"),
        ('volume = "75 gal"', "tank.volume", "US gal"),
        ("cell = 1", "tank.cell", "3 cm"),
        ("temperature_effect = 1", "tank.temperature_effect", "true or false"),
        ("lenght = 3", "tank.lenght", "length"),
        ("[rock]\ncover = 40", "rock.cover", "40 %"),
        ("[rock]\ncover = '40'", "rock.cover", "40 %"),
        ("[rock]\ncover = true", "rock.cover", "share"),
        ("[rock]\ncover = 1\nheight = 50", "rock", "at least 10 %"),
        ("[rock]\ncover = 0.4\nheight = 0", "rock.height", "more than 0"),
        ("[rock]\nheight = 20", "rock.cover", "share"),
        ("[rock]\ncover = 0.4\nheight = 60", "rock.height", "the tank's height"),
        ("[rock]\nsketch_step = 4", "rock.sketch_step", "sketch"),
        ("[rock]\npiles = 2.5\ncover = 0.2\nheight = 9", "rock.piles", "whole"),
        ('[rock]\nsketch = ["99"]\nsketch_step = 5', "rock", "at least 10 %"),
        ('[rock]\nsketch = ["90"]\nsketch_step = 6', "rock.sketch", "rock no higher"),
        ('[rock]\nsketch = ["12", "1"]', "rock.sketch", "equal length"),
        ('[rock]\nsketch = ["1a"]', "rock.sketch", "digits"),
        ('[rock]\nsketch = ["²"]', "rock.sketch", "digits"),
        ("[rock]\nsketch = []", "rock.sketch", "digits"),
        ("[rock]\nsketch = ''", "rock.sketch", "digits"),
        ("[rock]\nsketch = 12", "rock.sketch", "digits"),
        ('[rock]\nsketch = ["12"]\npiles = 2', "rock.piles", "not both"),
        ("[rock.crevice]\nfrom_left = 1", "rock.crevice", "[[rock.crevice]]"),
        ("rock = 3", "tank.rock", "length"),
        ("[run]\ntrials = 20000", "run.trials", "10000"),
        ("[run]\ntrials = 4\nguesses = 8", "run.guesses", "number of trials"),
        ("[run]\ndays = 2\nsettle = 2", "run.settle", "lit hour"),
        ("[run]\nseed = -1", "run.seed", "whole"),
        ("[run]\nfixed = 'yes'", "run.fixed", "true or false"),
        ("[run]\nwatch = 'hot grazer'", "run.watch", "Algaphilus mildus"),
        ("[run]\ndays = '3'", "run.days", "a number"),
        ("[parameters]\nattack_rate_s = 9", "parameters.attack_rate_s", "from 0 to 1"),
        ("[parameters]\nattack_rate_s = true", "parameters.attack_rate_s", "a number"),
        ("[parameters]\nslow_half_life_d = 0", "parameters.slow_half_life_d", "from 0.05"),
        ("[parameters]\nmemory_step = 1.5", "parameters.memory_step", "from 0 to 1"),
        ("[parameters]\na.b = 1", "parameters.a.b", "parameters.toml"),
        ("[species.Mine]\ntemper = 2", "species.Mine.like", "library"),
        ("[species.Mine]\nlike = 'nobody'", "species.Mine.like", "library"),
        ("[species.'mild grazer']\nlike = 'hot grazer'", "species.mild grazer.like", "no"),
        ("[species.'mild grazer']\ntemper = nan", "species.mild grazer.temper", "a number"),
        ("[species.'mild grazer']\ntemper = 99", "species.mild grazer.temper", "10"),
        ("[species.'mild grazer']\ntemper = {low = 1}", "species.mild grazer.temper.value", "a number"),
        (
            "[species.'mild grazer']\ntemper = {value = 3, high = 1}",
            "species.mild grazer.temper",
            "between low and high",
        ),
        ("[species.'mild grazer']\ntemper = {value = 3, hi = 4}", "species.mild grazer.temper.hi", "high"),
        ("[species.'mild grazer']\nmating = 'flock'", "species.mild grazer.mating", "harem"),
        ("[species.'mild grazer']\nmaturity_cm = 11", "species.mild grazer.maturity_cm", "adult"),
        ("[species.'mild grazer']\ntempre = 1", "species.mild grazer.tempre", "temper"),
        ("[species]\nMine = 3", "species.Mine", "a table"),
        ("[species.'']\nlike = 'hot grazer'", "species.", "a name"),
        ("[species.'( x']\nlike = 'hot grazer'", "species.( x", "begins with a letter"),
    ],
)
def test_bad_extras(extra: str, key: str, word: str) -> None:
    text = TANK + extra + "\n" + STOCK
    found = problem(text)
    assert found.key == key
    assert found.line is not None
    assert word in found.allowed + found.nearest


@pytest.mark.parametrize(
    ("row", "key", "word"),
    [
        ("males = 10000", "stock.males", "120"),
        ("males = -1", "stock.males", "0"),
        ("males = true", "stock.males", "whole"),
        ("males = nan", "stock.males", "whole"),
        ("males = 1.5", "stock.males", "whole"),
        ("males = 0", "stock.males", "above 0"),
        ("males = 1\nholding = 1", "stock.holding", "females"),
        ("males = 1\nlength = '3-2 in'", "stock.length", "shorter length first"),
        ("males = 1\nlength = 0", "stock.length", "1 cm"),
        ("males = 1\nlength = [8, 9, 10]", "stock.length", "two"),
        ("males = 1\nlength = 40", "stock.length", "1.5 times"),
        ("males = 1\nday = 5\nout = 5", "stock.out", "after"),
        ("males = 1\nday = 900", "stock.day", "730"),
        ("males = 1\nout = 0.5", "stock", "stays longer"),
        ("mals = 1\nmales = 1", "stock.mals", "males"),
        ("males = 1\nseed = 1", "stock.seed", "seed in [run]"),
    ],
)
def test_bad_stock_rows(row: str, key: str, word: str) -> None:
    text = TANK + '[[stock]]\nspecies = "mild grazer"\n' + row + "\n"
    found = problem(text)
    assert found.key == key
    assert word in found.allowed + found.nearest
    if key != "stock":
        assert found.line == line_of(text, "\n" + key.removeprefix("stock.") + " =", after="[[stock]]")


def test_a_fish_longer_than_the_tank() -> None:
    short = TANK.replace("4 ft", "35 cm")
    found = problem(short + STOCK + "length = 36\n")
    assert "less than the length of the tank" in found.allowed
    own = '[species.Giant]\nlike = "hot grazer"\nlength_max_male_cm = 40\n'
    found = problem(short + own + '[[stock]]\nspecies = "Giant"\nmales = 1\n')
    assert "no length is given, and Giant can grow to 40 cm" in found.found


@pytest.mark.parametrize(
    ("species", "more", "word"),
    [
        ("cave brooder", "holding = 1\n", "mouth"),
        ("mild grazr", "", "mild grazer"),
        ("calidus", "", "Algaphilus calidus or Cavicola calidus"),
    ],
)
def test_a_species_that_cannot_be_so(species: str, more: str, word: str) -> None:
    found = problem(TANK + STOCK.replace("mild grazer", species) + more)
    assert word in found.allowed + found.nearest


def test_too_many_fish_in_all() -> None:
    found = problem(
        TANK + STOCK.replace("males = 1", "males = 70") + STOCK.replace("males = 1", "males = 70")
    )
    assert (found.found, found.allowed) == ("there are 146 fish in all", "at most 120")


def test_too_many_cells_names_an_edge_that_works() -> None:
    big = "[tank]\nlength = 400\nfront_to_back = 150\nheight = 120\n"
    found = problem(big + STOCK)
    assert found.key == "tank.cell"
    read(big + f'cell = "{found.nearest}"\n' + STOCK)


def test_objects_must_lie_in_the_tank() -> None:
    thing = "[[rock.object]]\nkind = 'wood'\nfrom_left = 100\nfrom_front = 5\n"
    thing += "length = 30\nfront_to_back = 9\nheight = 9\n"
    found = problem(TANK + thing + STOCK)
    assert (found.key, found.found) == ("rock.object.length", "it ends at 100 + 30 = 130 cm")


def test_one_mistake_does_not_breed_others() -> None:
    text = FULL.replace('length = "4 ft"', 'length = "four feet"', 1)
    assert [one.key for one in problems(text)] == ["tank.length"]


def test_every_problem_is_reported_at_once() -> None:
    text = (
        "titel = 'x'\n[tank]\nlength = nan\nheight = 50\n[rock]\ncover = 2\n"
        "[[stock]]\nspecies = 'nobody'\nmales = 10000\n[run]\ntrials = 0\n[tonk]\n"
    )
    found = [(one.line, one.key) for one in problems(text)]
    assert found == [
        (1, "titel"),
        (2, "tank.front_to_back"),
        (3, "tank.length"),
        (6, "rock.cover"),
        (8, "stock.species"),
        (9, "stock.males"),
        (11, "run.trials"),
        (12, "tonk"),
    ]


def test_the_message_says_it_all() -> None:
    with pytest.raises(ScenarioError) as caught:
        read(TANK.replace("front_to_back", "front_to_bak") + STOCK)
    lines = str(caught.value).split("\n")
    assert lines[0] == "my-tank.toml: 2 problems"
    assert lines[1].startswith("  line 1, tank.front_to_back is missing; write a length from 15 cm")
    assert lines[2].startswith("  line 3, tank.front_to_bak: there is no such field; use length")
    assert lines[2].endswith(". Did you mean front_to_back?")


@pytest.mark.parametrize("stock", ["", "[stock]\nspecies = 'mild grazer'\n", "stock = 3\n", "stock = []\n"])
def test_no_stock(stock: str) -> None:
    text = stock + TANK if stock.startswith("stock =") else TANK + stock
    found = problem(text)
    assert found.key == "stock"
    assert "[[stock]]" in found.allowed
