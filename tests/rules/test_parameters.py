"""Every number of every rule says its unit, range, source and meaning, and every rule names its source."""

import importlib
import inspect
import pkgutil
import re
from pathlib import Path
from typing import get_type_hints

import numpy as np
import pytest
from rockshy.analysis.questions.sources import description
from rockshy.sim import parse, rules
from rockshy.sim.rules.support import parameter_record, parameters
from rockshy.sim.rules.support.parameter_record import Parameters
from rockshy.sim.rules.support.parameters import draw_between, load, names, resolve
from rockshy.sim.scenario.reading import ScenarioError
from rockshy.sim.species.sources import is_known

PARAMETERS = load()


@pytest.mark.parametrize("name", PARAMETERS)
def test_a_parameter_has_a_value_in_its_range_a_unit_a_known_source_and_a_meaning(name):
    it = PARAMETERS[name]
    assert it.low <= it.value <= it.high
    assert it.draw in parameters.HOW_DRAWN
    assert it.low < it.high, "what is known exactly needs no parameter"
    assert it.draw != "log" or it.low > 0
    assert it.unit
    assert len(it.meaning.split()) >= 3
    assert is_known(it.source), it.source


@pytest.mark.parametrize(
    ("ending", "unit"), [("_s", "s"), ("_cm", "cm"), ("_h", "h"), ("_d", "d"), ("rate_s", "1/s")]
)
def test_a_unit_in_a_name_is_the_unit(ending, unit):
    per_cm = {"fear_leash_cm", "food_pull_cm"}
    found = [one for one in PARAMETERS.values() if one.name.endswith(ending) and one.name not in per_cm]
    assert found
    for one in found:
        assert one.unit.removeprefix("lit ") == ("1/s" if one.name.endswith("rate_s") else unit), one.name
    assert {PARAMETERS[name].unit for name in per_cm} == {"1/cm"}


def test_every_parameter_is_used_by_some_rule():
    used = "".join(inspect.getsource(module) for module in rule_modules())
    for module in ("run.day", "fish.population", "fish.traits", "run.model", "run.drawing"):
        used += inspect.getsource(importlib.import_module(f"rockshy.sim.{module}"))
    assert [name for name in PARAMETERS if not re.search(rf"\bp\.{name}\b", used)] == []


def rule_modules():
    return [
        importlib.import_module(f"{rules.__name__}.{found.name}")
        for found in pkgutil.iter_modules(rules.__path__)
        if not found.ispkg
    ]


def public_rules():
    """Name and function of every public rule, as it is written."""
    for module in rule_modules():
        for name, value in vars(module).items():
            fn = getattr(value, "py_func", value)
            if inspect.isfunction(fn) and fn.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{module.__name__.rsplit('.', 1)[1]}.{name}", fn


def source_line(fn):
    """What stands behind ``Source:`` in a docstring, to the end of its paragraph."""
    found = re.search(r"Source: (.+?)(?:\n\s*\n|\Z)", inspect.getdoc(fn) or "", re.DOTALL)
    return " ".join(found.group(1).split()).removesuffix(".") if found else ""


@pytest.mark.parametrize(("name", "fn"), [pytest.param(*it, id=it[0]) for it in public_rules()])
def test_every_rule_names_a_known_source(name, fn):
    source = source_line(fn)
    assert source, f"{name} has no line 'Source:'"
    assert is_known(source), f"{name}: {source}"


def test_sources_that_are_not_known_are_noticed():
    def rule():
        """Something. Source: Nobody1900 (data)."""

    assert source_line(rule) == "Nobody1900 (data)"
    assert not is_known(source_line(rule))
    assert len(list(public_rules())) > 50


def test_types_know_the_parameters_of_the_table_and_no_others():
    assert list(get_type_hints(Parameters)) == names()
    text = Path(parameter_record.__file__).read_text(encoding="utf-8")
    assert text == description.parameter_record(text), (
        "python -m rockshy.analysis.questions.sources.description makes it anew"
    )


# ---- values for a guess


def test_defaults_are_taken_where_nothing_is_drawn():
    p = resolve({})
    assert list(p.dtype.names) == names()
    for name, one in PARAMETERS.items():
        assert p[name] == one.value
    assert p.tick_s == 1.0


def test_a_value_of_the_scenario_is_never_drawn_and_leaves_all_other_draws_alone():
    free = resolve({}, seed=3, draw=2, fixed=False)
    bound = resolve({"tolerance": 0.51}, seed=3, draw=2, fixed=False)
    assert bound.tolerance == 0.51 != free.tolerance
    assert [name for name in names() if bound[name] != free[name]] == ["tolerance"]


def test_drawn_values_fill_their_ranges_and_what_is_fixed_stays():
    """200 guesses: both outer tenths of each range are reached, on the scale on which it is drawn."""
    drawn = np.array([list(resolve({}, seed=1, draw=draw, fixed=False)) for draw in range(200)])
    for column, (name, one) in zip(drawn.T, PARAMETERS.items(), strict=False):
        if one.draw == "fixed":
            assert (column == one.value).all(), name
            continue
        scale = np.log if one.draw == "log" else np.asarray
        share = (scale(column) - scale(one.low)) / (scale(one.high) - scale(one.low))
        assert 0.0 <= share.min() < 0.1, name
        assert 0.9 < share.max() <= 1.0, name
        assert abs(share.mean() - 0.5) < 4 * np.sqrt(1 / 12 / 200), name


def test_parameters_are_drawn_independently():
    """Largest of all pairwise correlations over 300 guesses, under 5 standard errors."""
    drawn = np.array([list(resolve({}, seed=1, draw=draw, fixed=False)) for draw in range(300)])
    loose = [k for k, one in enumerate(PARAMETERS.values()) if one.draw != "fixed"]
    table = np.corrcoef(drawn[:, loose].T)
    assert abs(table[np.triu_indices(len(loose), 1)]).max() < 5 / np.sqrt(300)


@pytest.mark.parametrize(("how", "middle"), [("uniform", 5.05), ("log", 1.0)])
def test_draws_between_two_bounds(how, middle):
    assert draw_between(0.1, 10.0, how, 0.0) == pytest.approx(0.1)
    assert draw_between(0.1, 10.0, how, 0.5) == pytest.approx(middle)
    assert draw_between(0.1, 10.0, how, 1.0) == pytest.approx(10.0)
    assert draw_between(3.0, 3.0, how, 0.7) == 3.0


def test_a_value_out_of_its_range_is_noticed_when_the_file_is_read():
    entry = {"value": 5.0, "range": [1.0, 2.0], "unit": "s", "draw": "log"}
    with pytest.raises(ValueError, match=r"parameters.toml \[x\]: the value must lie in its range"):
        parameters._entry("x", {**entry, "source": "assumption", "meaning": ""}, "parameters.toml")


# ---- values of a file

DIVIDED_BY = (
    *("claim_s", "claim_fade_h", "individual_distance", "provocation_half", "let_be_odds", "contest_s"),
    *("chase_s", "fright_half_life_s", "persistence_cm", "eat_s", "hunger_h", "graze_h", "notice_s"),
)


@pytest.mark.parametrize("name", DIVIDED_BY)
def test_what_a_rule_divides_by_may_not_be_zero_in_a_file(name):
    with pytest.raises(ScenarioError, match=f"parameters.{name} is 0"):
        parse(f"{TANK}{name} = 0", name="x")
    parse(f"{TANK}{name} = {PARAMETERS[name].low}", name="x")


@pytest.mark.parametrize("name", ["tolerance", "claim_beaten", "memory_step", "known_experience"])
def test_a_share_is_never_above_one_in_a_file(name):
    with pytest.raises(ScenarioError, match=f"parameters.{name} is 1.1; use .*from 0 to 1"):
        parse(f"{TANK}{name} = 1.1", name="x")
    for least in (0, 1):
        parse(f"{TANK}{name} = {least}", name="x")


TANK = """[tank]
length = 80
front_to_back = 40
height = 40
[[stock]]
species = "Tropheus moorii"
males = 1
[parameters]
"""
